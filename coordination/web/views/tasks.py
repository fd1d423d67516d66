"""The sheet of one task for those who see the whole site, and everything that is done to a task or a requirement."""

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from coordination.access.permissions import Scope, may
from coordination.access.refusals import Refusal
from coordination.access.visitors import Visitor
from coordination.evidence.entering import EnteredFor
from coordination.evidence.models import Evidence
from coordination.gates import actions
from coordination.gates.models import Concession
from coordination.gates.queries import Scene, look_at
from coordination.projects.models import Requirement, Task
from coordination.readiness import Missing
from coordination.web.forms.evidence import (
    REASONS_OF_HANDOFF,
    REASONS_OF_REVIEW,
    AnswerForm,
    ConcessionForm,
    EndingForm,
    WithdrawForm,
)
from coordination.web.guards import guard
from coordination.web.refused import in_words
from coordination.web.shapes.handoffs import handoff_of
from coordination.web.shapes.task_sheets import missing_for
from coordination.web.uploads import takes_files
from coordination.web.views.task_pages import handed_in, own_page, seen_task, whole_page

Doing = Callable[[HttpRequest, Visitor, Task, datetime], str]
DoingForRequirement = Callable[[HttpRequest, Visitor, Requirement, datetime], str]


class FormRefused(Exception):
    """What was posted is not whole; the form says what is wrong."""

    def __init__(self, form: forms.Form) -> None:
        super().__init__()
        self.form = form

    @property
    def sentences(self) -> list[str]:
        """Every error, with the name of its field where the form shows one."""
        return [
            f"{self.form[name].label}: {error}"
            if name in self.form.fields and self.form[name].label
            else str(error)
            for name, errors in self.form.errors.items()
            for error in errors
        ]


@require_safe
@never_cache
def show(request: HttpRequest, project: UUID, task: UUID) -> HttpResponse:
    """Requirements, evidence, reviews, concessions, and what it waits for."""
    visitor = guard(request, project, "see the project")
    scene = look_at(visitor.project, timezone.now())
    return whole_page(request, visitor, scene, seen_task(visitor, scene, task))


@require_POST
def do(request: HttpRequest, project: UUID, task: UUID, verb: str) -> HttpResponse:
    """Begin a task, or finish it and pass it on."""
    visitor, now = guard(request, project), timezone.now()
    doing = {"start": _start, "offer": _offer}.get(verb)
    if doing is None:
        raise Http404
    work = seen_task(visitor, look_at(visitor.project, now), task)
    try:
        messages.success(request, doing(request, visitor, work, now))
    except Refusal as refusal:
        return _refused(request, visitor, task, refusal)
    return redirect(_page(request, visitor, task))


@takes_files
@require_POST
def do_requirement(request: HttpRequest, project: UUID, requirement: UUID, verb: str) -> HttpResponse:
    """Hand in, review, take back an acceptance, withdraw, concede, end a concession."""
    visitor, now = guard(request, project), timezone.now()
    if verb in {"hand-in", "document"}:
        return handed_in(request, visitor, requirement, mine=False)
    doing = {
        "review": _review,
        "take-back": _take_back,
        "withdraw": _withdraw,
        "concede": _concede,
        "end-concession": _end_concession,
    }.get(verb)
    if doing is None:
        raise Http404
    scene = look_at(visitor.project, now)
    row = scene.requirement(requirement)
    work = seen_task(visitor, scene, scene.holding.task[row.task_id].uid)
    try:
        messages.success(request, doing(request, visitor, row, now))
    except FormRefused as refused:
        return _page_again(request, visitor, work.uid, reasons=refused.sentences)
    except Refusal as refusal:
        return _refused(request, visitor, work.uid, refusal)
    return redirect(f"{_page(request, visitor, work.uid)}#need-{requirement}")


@require_POST
def answer_handoff(request: HttpRequest, project: UUID, offer: UUID, task: UUID) -> HttpResponse:
    """Accept or refuse what is offered, for the task that builds on it."""
    visitor, now = guard(request, project), timezone.now()
    scene = look_at(visitor.project, now)
    taker = next((row for row in scene.holding.tasks if row.uid == task), None)
    if taker is None or not may(visitor, "answer a handoff", Scope(receivers=frozenset({taker.trade}))):
        raise Http404
    form = AnswerForm(request.POST, known=REASONS_OF_HANDOFF)
    reasons: list[str] = []
    if form.is_valid():
        try:
            actions.answer_handoff(
                visitor.project,
                visitor,
                now,
                offer,
                task,
                outcome=form.cleaned_data["outcome"],
                reasons=form.why(),
                for_other=for_other(request),
            )
        except Refusal as refusal:
            reasons = in_words(refusal)
    else:
        reasons = FormRefused(form).sentences
    return _answered(request, visitor, scene, taker=taker, offer=offer, form=form, reasons=reasons)


def _answered(
    request: HttpRequest,
    visitor: Visitor,
    scene: Scene,
    *,
    taker: Task,
    offer: UUID,
    form: AnswerForm,
    reasons: list[str],
) -> HttpResponse:
    """The article as it stands now; without script the page of the receiving task."""
    if reasons and not request.htmx:  # type: ignore[attr-defined]
        return _page_again(request, visitor, taker.uid, reasons=reasons)
    if not request.htmx:  # type: ignore[attr-defined]
        messages.success(request, _answer_words(form))
        return redirect(_page(request, visitor, taker.uid))
    line = handoff_of(visitor, scene, offer, taker.uid)
    if reasons and line is not None:
        context = {
            "handoff": line,
            "action": line.action,
            "reasons": line.reasons,
            "wrong": reasons,
            "typed": request.POST.get("words", ""),
        }
        return render(request, "components/handoff.html", context, status=422)
    href = _page(request, visitor, taker.uid)
    context = {"words": _answer_words(form), "reasons": reasons, "href": href}
    return render(request, "tasks/answered.html", context, status=422 if reasons else 200)


def _answer_words(form: AnswerForm) -> str:
    if form.cleaned_data.get("outcome") == "accepted":
        return _("Accepted. You build on it from here.")
    return _("Refused. It goes back with your reasons.")


def _start(request: HttpRequest, visitor: Visitor, task: Task, now: datetime) -> str:
    actions.start_task(visitor.project, visitor, now, task.uid, for_other=for_other(request))
    return _("Begun. Hand in what it must show as you go.")


def _offer(request: HttpRequest, visitor: Visitor, task: Task, now: datetime) -> str:
    offer = actions.offer_task(
        visitor.project,
        visitor,
        now,
        task.uid,
        note=request.POST.get("note", ""),
        crew_waiting=bool(request.POST.get("crew_waiting")),
        for_other=for_other(request),
    )
    return _("Passed on. The answer is awaited.") if offer else _("Done.")


def _review(request: HttpRequest, visitor: Visitor, row: Requirement, now: datetime) -> str:
    form = _whole(AnswerForm(request.POST, known=REASONS_OF_REVIEW))
    outcome = form.cleaned_data["outcome"]
    actions.review_requirement(visitor.project, visitor, now, row.uid, outcome, reasons=form.why())
    return _("Accepted.") if outcome == "accepted" else _("Refused; the work goes back with your reasons.")


def _take_back(request: HttpRequest, visitor: Visitor, row: Requirement, now: datetime) -> str:
    form = _whole(AnswerForm({**request.POST.dict(), "outcome": "refused"}, known=REASONS_OF_REVIEW))
    actions.take_back_acceptance(visitor.project, visitor, now, row.uid, form.why())
    return _("The acceptance was taken back; the work goes back with your reasons.")


def _withdraw(request: HttpRequest, visitor: Visitor, row: Requirement, now: datetime) -> str:
    told = _whole(WithdrawForm(request.POST)).cleaned_data
    if not Evidence.objects.filter(uid=told["evidence"], requirement=row).exists():
        raise Http404
    actions.withdraw_evidence(visitor.project, visitor, now, told["evidence"], told["reason"])
    return _("Withdrawn. It stays in the record and counts no more.")


def _concede(request: HttpRequest, visitor: Visitor, row: Requirement, now: datetime) -> str:
    told = _whole(ConcessionForm(request.POST)).cleaned_data
    task = Task.objects.get(pk=row.task_id)
    actions.grant_concession(
        visitor.project,
        visitor,
        now,
        row.uid,
        kind="concession" if task.begun_on else "deviation permit",
        reason=told["reason"],
        scope=told["scope"],
        expires_on=told["expires_on"],
    )
    return _("You have spoken for a concession. It stands once every role that is named has spoken.")


def _end_concession(request: HttpRequest, visitor: Visitor, row: Requirement, now: datetime) -> str:
    told = _whole(EndingForm(request.POST)).cleaned_data
    if not Concession.objects.filter(uid=told["concession"], requirement=row).exists():
        raise Http404
    actions.end_concession(visitor.project, visitor, now, told["concession"], told["reason"])
    return _("Taken back. What rested on it is missing again.")


def _whole(form: Any) -> Any:
    if not form.is_valid():
        raise FormRefused(form)
    return form


def for_other(request: HttpRequest) -> EnteredFor | None:
    """What the form says of on whose word it is entered; None where it has no such field."""
    if "source" not in request.POST:
        return None
    return EnteredFor(request.POST["source"][:120], request.POST.get("company", "")[:120])


def _refused(request: HttpRequest, visitor: Visitor, task: UUID, refusal: Refusal) -> HttpResponse:
    scene = look_at(visitor.project, timezone.now())
    missing = [reason for reason in refusal.reasons if isinstance(reason, Missing)]
    lines = missing_for(visitor, scene, missing)
    return _page_again(request, visitor, task, scene, reasons=in_words(refusal), missing=lines)


def _page_again(
    request: HttpRequest, visitor: Visitor, task: UUID, scene: Scene | None = None, **more: Any
) -> HttpResponse:
    """The page it was pressed on, with what was refused on top."""
    now = scene or look_at(visitor.project, timezone.now())
    show_page: Callable[..., HttpResponse] = own_page if _is_own(request, visitor) else whole_page
    context: Mapping[str, Any] = {"reasons": [], "missing": [], **more}
    return show_page(request, visitor, now, seen_task(visitor, now, task), status=422, **context)


def _page(request: HttpRequest, visitor: Visitor, task: UUID) -> str:
    name = "my-task" if _is_own(request, visitor) else "task"
    return reverse(name, args=[visitor.project.uid, task])


def _is_own(request: HttpRequest, visitor: Visitor) -> bool:
    """Whether it was pressed on the phone page; whoever does not see the whole site has no other."""
    on_the_phone_page = request.POST.get("page") == "mine" and may(visitor, "see own tasks")
    return on_the_phone_page or not may(visitor, "see the project")
