"""As planned against as built: windows between baselines, what each one's slip is made of, and who it lies with."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from coordination.access.models import Project
from coordination.access.permissions import may
from coordination.access.refusals import NotVisible
from coordination.access.visitors import Visitor
from coordination.dates.actions import ask_for_baseline
from coordination.dates.delay_account import delay_account
from coordination.dates.delay_causes import enter_cause, take_cause_back
from coordination.dates.models import DelayCause
from coordination.dates.refusals import CauseRefused
from coordination.gates.calendars import local_day
from coordination.handover.papers_wanted import usual_paper
from coordination.pictures.delay_chart import end_chart, gate_chart
from coordination.projects.models import Task
from coordination.projects.queries import standing_facts
from coordination.web.forms.base import SheetForm
from coordination.web.forms.delay import BaselineForm, CauseForm
from coordination.web.guards import guard
from coordination.web.refused import in_words
from coordination.web.shapes.companies import trade_names
from coordination.web.shapes.delay_lines import CLEARED, Delay, delay_lines
from coordination.web.shapes.delay_words import ENTERED, RULE
from coordination.web.shapes.papers import paper
from coordination.web.texts import language_read, said
from coordination.web.views.handover import SANDBOX


@require_http_methods(["GET", "HEAD", "POST"])
def show(request: HttpRequest, project: UUID) -> HttpResponse:
    """The account; the coordinator and the contractor keep baselines and enter causes."""
    if request.method != "POST":
        return _page(request, guard(request, project, "see the project"))
    visitor, now = guard(request, project, "set a date"), timezone.now()
    doing = request.POST.get("doing", "")
    if doing == "back":
        return _take_back(request, visitor)
    if doing not in ("cause", "baseline"):
        raise Http404
    form = _cause_form(visitor, request.POST) if doing == "cause" else BaselineForm(request.POST)
    if not form.is_valid():
        return _page(request, visitor, doing, form)
    if isinstance(form, CauseForm):
        try:
            enter_cause(visitor.project, visitor, now, form.told, uid=form.cleaned_data["key"])
        except CauseRefused as refusal:
            return _page(request, visitor, doing, form, in_words(refusal))
        messages.success(request, _("The cause was entered, and counts from now on."))
    else:
        today = local_day(visitor.project, now)
        ask_for_baseline(visitor.project, visitor, now, reason=form.cleaned_data["reason"], today=today)
        messages.success(request, _("Today’s dates were kept as a baseline."))
    return redirect("delay", project)


@require_safe
@never_cache
def download(request: HttpRequest, project: UUID) -> HttpResponse:
    """The account on paper, for a meeting."""
    visitor, now = guard(request, project, "see the project"), timezone.now()
    told = _told(visitor, _names(visitor.project))
    drawings: dict[str, bytes] = {}
    if told.end_picture:
        drawings["drawing/end.svg"] = end_chart(told.end_picture, "paper", prefix="end").encode()
    if told.gate_picture:
        drawings["drawing/gates.svg"] = gate_chart(told.gate_picture, "paper", prefix="gates").encode()
    title = _("As planned and as built: %(project)s") % {"project": visitor.project.name}
    context = {
        "told": told,
        "rule": RULE,
        "project": visitor.project,
        "size": usual_paper(visitor.project.code_set),
        "day": local_day(visitor.project, now),
        "end": "drawing/end.svg" in drawings,
        "gates": "drawing/gates.svg" in drawings,
    }
    made = paper("paper/delay.html", context, drawings, title=title, language=language_read(), made_at=now)
    response = HttpResponse(made, content_type="application/pdf")
    response.headers["Content-Disposition"] = 'attachment; filename="as-planned-as-built.pdf"'
    response.headers["Content-Security-Policy"] = SANDBOX
    return response


def _take_back(request: HttpRequest, visitor: Visitor) -> HttpResponse:
    try:
        uid = UUID(request.POST.get("cause", ""))
        take_cause_back(visitor.project, visitor, timezone.now(), uid)
    except (ValueError, NotVisible):
        raise Http404 from None
    messages.success(request, _("The cause counts no more; the record keeps it."))
    return redirect("delay", visitor.project.uid)


def _names(site: Project) -> dict[str, str]:
    """The words of each task, also of those that have left the plan; of a gate also by ``gate cleared: KEY``."""
    found = {}
    for task in Task.objects.filter(project=site):
        found[task.key] = said(task.derived["text"])
        if task.is_gate:
            found[CLEARED + task.derived["milestone_of"]] = found[task.key]
    return found


def _told(visitor: Visitor, names: Mapping[str, str]) -> Delay:
    site = visitor.project
    facts = {key: said(each.text) for key, each in standing_facts(site).definitions.items()}
    found = delay_account(site, local_day(site, timezone.now()))
    return delay_lines(found, names, facts, trade_names(site, everybody=True))


def _cause_form(visitor: Visitor, data: Any = None) -> CauseForm:
    rows = Task.objects.filter(project=visitor.project, retired_in__isnull=True, is_gate=False).order_by("pk")
    tasks = [(row.key, said(row.derived["text"])) for row in rows]
    return CauseForm(
        data, tasks=tasks, today=local_day(visitor.project, timezone.now()), auto_id="id_cause_%s"
    )


def _page(
    request: HttpRequest, visitor: Visitor, doing: str = "", sent: SheetForm | None = None,
    reasons: list[str] | None = None,
) -> HttpResponse:  # fmt: skip
    site, names = visitor.project, _names(visitor.project)
    told = _told(visitor, names)
    writes = may(visitor, "set a date")
    entered = DelayCause.objects.filter(project=site, taken_back_at__isnull=True).order_by("first", "pk")
    pictures = {}
    for form in ("sheet", "phone"):
        if told.end_picture:
            pictures[f"end_{form}"] = mark_safe(end_chart(told.end_picture, form, prefix=f"end-{form}"))  # type: ignore[arg-type]
        if told.gate_picture:
            pictures[f"gates_{form}"] = mark_safe(gate_chart(told.gate_picture, form, prefix=f"gates-{form}"))  # type: ignore[arg-type]
    context = {
        "told": told,
        "rule": RULE,
        "may_write": writes,
        "cause_form": sent if doing == "cause" else _cause_form(visitor) if writes else None,
        "baseline_form": sent if doing == "baseline" else BaselineForm(auto_id="id_baseline_%s"),
        "entered": [(row, names[row.task], ENTERED[row.kind]) for row in entered],
        "doing": doing,
        "form": sent,
        "reasons": reasons,
        "missing": None,
        **pictures,
    }
    return render(request, "delay/show.html", context, status=422 if sent else 200)
