"""A remark taken up: what somebody wrote becomes work of the project, with a place and an owner."""

from collections.abc import Sequence
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coordination.access.refusals import Refusal
from coordination.gates.own_work import WorkWish
from coordination.gates.sentences import TRADES, trade_words
from coordination.handover.actions import take_up_remark
from coordination.handover.models import Remark, RemarkTaken
from coordination.projects.queries import standing_plan
from coordination.web.forms.inspections import ItemForm
from coordination.web.guards import guard
from coordination.web.refused import in_words
from coordination.web.texts import said

MOST_WORDS = 160


@require_http_methods(["GET", "HEAD", "POST"])
def take_up(request: HttpRequest, project: UUID, remark: UUID) -> HttpResponse:
    """The form, begun with the remark's own words; sent, the work stands."""
    visitor = guard(request, project, "take up a remark")
    site = visitor.project
    found = Remark.objects.filter(uid=remark, clearing__gate__task__project=site).first()
    if found is None:
        raise Http404
    taken = RemarkTaken.objects.filter(remark=found).select_related("task").first()
    if taken is not None:
        return redirect("task", project, taken.task.uid)
    offered = {
        "places": [(place.key, said(place.text)) for place in standing_plan(site).places],
        "trades": [(key, trade_words(key)) for key in TRADES],
    }
    if request.method != "POST":
        form = ItemForm(initial={"text": found.body[:MOST_WORDS], "place": "site"}, **offered)
        return _page(request, found, form)
    form = ItemForm(request.POST, **offered)
    if not form.is_valid():
        return _page(request, found, form, status=422)
    told = form.cleaned_data
    wish = WorkWish(told["text"], told["place"], told["trade"], due=told["due"])
    try:
        made = take_up_remark(site, visitor, timezone.now(), remark, wish)
    except Refusal as refusal:
        return _page(request, found, form, in_words(refusal), status=422)
    messages.success(request, _("The remark is work now; it moves no gate by that."))
    return redirect("task", project, made.task.uid)


def _page(
    request: HttpRequest, remark: Remark, form: ItemForm, reasons: Sequence[str] = (), *, status: int = 200
) -> HttpResponse:
    context = {"remark": remark, "form": form, "reasons": reasons, "sent": form.is_bound}
    return render(request, "handover/take_up.html", context, status=status)
