"""Work of a project's own: its effect on the dates first, kept only when it is meant."""

from collections.abc import Sequence
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coordination.access.refusals import Refusal
from coordination.dates.models import OwnLink
from coordination.dates.what_if import Comparison, Supposed, what_if
from coordination.gates.actions import add_work
from coordination.gates.own_work import OwnWork, own_work
from coordination.gates.queries import Scene, look_at
from coordination.gates.sentences import TRADES, trade_words
from coordination.projects.queries import standing_plan
from coordination.scheduling.calendars import OutOfHorizon
from coordination.scheduling.network import NetworkError
from coordination.web.forms.own_work import OwnWorkForm
from coordination.web.guards import guard
from coordination.web.previews import confirmed, preview
from coordination.web.refused import in_words
from coordination.web.shapes.own_gates import gate_choices
from coordination.web.texts import said


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest, project: UUID) -> HttpResponse:
    """The form; sent, the effect first."""
    visitor = guard(request, project, "add work")
    site = visitor.project
    scene = look_at(site, timezone.now())
    if request.method != "POST":
        return _page(request, scene, OwnWorkForm(choices=_choices(scene), initial={"accepts": "coordinator"}))
    form = OwnWorkForm(request.POST, choices=_choices(scene))
    if not form.is_valid():
        return _page(request, scene, form, status=422)
    wish = form.wish()
    try:
        if confirmed(request):
            task = add_work(site, visitor, timezone.now(), wish)
            messages.success(request, _("The work stands; no change of plan takes it away."))
            return redirect("task", project, task.uid)
        made = own_work(scene.holding, wish)
    except Refusal as refusal:
        return _page(request, scene, form, reasons=in_words(refusal), status=422)
    told = [_("New work: %(name)s, %(trade)s") % {"name": wish.name, "trade": trade_words(wish.trade)}]
    return preview(request, site, _effect(scene, made), told=told, back=reverse("own-work", args=[project]))


def _effect(scene: Scene, made: OwnWork) -> Comparison | None:
    links = tuple(
        OwnLink(before=before, after=after, kind=kind, lag=0, unit="working")
        for before, after, kind in made.pairs
    )
    try:
        return what_if(scene.holding.project, scene.holding.today, Supposed(work=(made.task,), links=links))
    except (NetworkError, OutOfHorizon):
        return None


def _choices(scene: Scene) -> dict[str, list[tuple[str, object]]]:
    places = {place.key: said(place.text) for place in standing_plan(scene.holding.project).places}
    boxes = gate_choices(scene, places)
    return {
        "place": list(places.items()),
        "trade": [(key, trade_words(key)) for key in TRADES],
        "after": boxes["accepted"],
        "before": boxes["before"],
    }


def _page(
    request: HttpRequest,
    scene: Scene,
    form: OwnWorkForm,
    *,
    reasons: Sequence[str] = (),
    status: int = 200,
) -> HttpResponse:
    context = {"form": form, "reasons": reasons, "work": bool(scene.holding.tasks), "sent": form.is_bound}
    return render(request, "packages/own.html", context, status=status)
