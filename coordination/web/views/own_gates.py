"""A gate of a project's own: wished, its effect on the dates shown, kept only when it is meant."""

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
from coordination.access.visitors import Visitor
from coordination.dates.what_if import Comparison, Supposed, what_if
from coordination.gates.actions import add_gate
from coordination.gates.own_gates import OwnGate, own_gate
from coordination.gates.queries import Scene, look_at
from coordination.projects.queries import standing_plan
from coordination.scheduling.calendars import OutOfHorizon
from coordination.scheduling.network import NetworkError
from coordination.web.forms.own_gates import OwnGateForm
from coordination.web.guards import guard
from coordination.web.previews import confirmed, preview
from coordination.web.refused import in_words
from coordination.web.shapes.own_gates import gate_choices, wish_words
from coordination.web.texts import said


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest, project: UUID) -> HttpResponse:
    """The form; sent, the effect first, and the gate only when it is confirmed."""
    visitor = guard(request, project, "add a gate")
    site, now = visitor.project, timezone.now()
    scene = look_at(site, now)
    if request.method != "POST":
        return _page(request, scene, OwnGateForm(choices=_choices(scene), initial={"clears": "contractor"}))
    form = OwnGateForm(request.POST, choices=_choices(scene))
    if not form.is_valid():
        return _page(request, scene, form, status=422)
    wish = form.wish()
    try:
        if confirmed(request):
            return _added(request, visitor, form)
        made = own_gate(scene.holding, wish)
    except Refusal as refusal:
        return _page(request, scene, form, reasons=in_words(refusal), status=422)
    return preview(
        request,
        site,
        _effect(scene, made),
        told=wish_words(wish.name, len(wish.before), len(wish.conditions)),
        notes=[
            _("Work behind a gate may not begin before it is cleared; a link of your own only moves dates.")
        ],
        back=reverse("own-gate", args=[project]),
        names={made.gate.key: wish.name},
    )


def _added(request: HttpRequest, visitor: Visitor, form: OwnGateForm) -> HttpResponse:
    gate = add_gate(visitor.project, visitor, timezone.now(), form.wish())
    messages.success(request, _("The gate stands; nothing behind it may begin until it is cleared."))
    return redirect("gate", visitor.project.uid, gate.task.uid)


def _effect(scene: Scene, made: OwnGate) -> Comparison | None:
    """Gates and visits with the wished gate among them; None where there are no dates."""
    supposed = Supposed(work=(made.task,), links=tuple(made.wished))
    try:
        return what_if(scene.holding.project, scene.holding.today, supposed)
    except (NetworkError, OutOfHorizon):
        return None


def _choices(scene: Scene) -> dict[str, list[tuple[str, object]]]:
    places = {place.key: said(place.text) for place in standing_plan(scene.holding.project).places}
    return gate_choices(scene, places)


def _page(
    request: HttpRequest, scene: Scene, form: OwnGateForm, *, reasons: Sequence[str] = (), status: int = 200
) -> HttpResponse:
    context = {"form": form, "reasons": reasons, "work": bool(scene.holding.tasks), "sent": form.is_bound}
    return render(request, "gates/own.html", context, status=status)
