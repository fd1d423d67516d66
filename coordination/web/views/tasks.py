"""The sheet of one task for those who see the whole site, and everything that is done to a task or a requirement."""

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from coordination.access.permissions import may
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
    AnswerForm,
    ConcessionForm,
    EndingForm,
    WithdrawForm,
)
from coordination.web.guards import guard
from coordination.web.refused import in_words
from coordination.web.shapes.refusal_reasons import reasons_of
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
    return redirect(page_of(request, visitor, task))


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
        return page_again(request, visitor, work.uid, reasons=refused.sentences)
    except Refusal as refusal:
        return _refused(request, visitor, work.uid, refusal)
    return redirect(f"{page_of(request, visitor, work.uid)}#need-{requirement}")


def _start(request: HttpRequest, visitor: Visitor, task: Task, now: datetime) -> str:
    ticked, other = taking_over(request), for_other(request)
    actions.start_task(visitor.project, visitor, now, task.uid, taking_over=ticked, for_other=other)
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
    form = _whole(AnswerForm(request.POST, known=reasons_of(row, look_at(visitor.project, now))))
    outcome = form.cleaned_data["outcome"]
    actions.review_requirement(visitor.project, visitor, now, row.uid, outcome, reasons=form.why())
    return _("Accepted.") if outcome == "accepted" else _("Refused; the work goes back with your reasons.")


def _take_back(request: HttpRequest, visitor: Visitor, row: Requirement, now: datetime) -> str:
    posted = request.POST.copy()
    posted["outcome"] = "refused"
    form = _whole(AnswerForm(posted, known=reasons_of(row, look_at(visitor.project, now))))
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
    actions.grant_concession(
        visitor.project,
        visitor,
        now,
        row.uid,
        reason=told["reason"],
        scope=told["scope"],
        expires_on=told["expires_on"],
        quantity=told["quantity"],
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


def taking_over(request: HttpRequest) -> list[UUID]:
    """The offers of which the form says that beginning takes them over."""
    try:
        return [UUID(text) for text in request.POST.getlist("takes_over")]
    except ValueError:
        raise Http404 from None


def _refused(request: HttpRequest, visitor: Visitor, task: UUID, refusal: Refusal) -> HttpResponse:
    scene = look_at(visitor.project, timezone.now())
    missing = [reason for reason in refusal.reasons if isinstance(reason, Missing)]
    lines = missing_for(visitor, scene, missing)
    return page_again(request, visitor, task, scene, reasons=in_words(refusal), missing=lines)


def page_again(
    request: HttpRequest, visitor: Visitor, task: UUID, scene: Scene | None = None, **more: Any
) -> HttpResponse:
    """The page it was pressed on, with what was refused on top."""
    now = scene or look_at(visitor.project, timezone.now())
    show_page: Callable[..., HttpResponse] = own_page if _is_own(request, visitor) else whole_page
    context: Mapping[str, Any] = {"reasons": [], "missing": [], **more}
    return show_page(request, visitor, now, seen_task(visitor, now, task), status=422, **context)


def page_of(request: HttpRequest, visitor: Visitor, task: UUID) -> str:
    name = "my-task" if _is_own(request, visitor) else "task"
    return reverse(name, args=[visitor.project.uid, task])


def _is_own(request: HttpRequest, visitor: Visitor) -> bool:
    """Whether it was pressed on the phone page; whoever does not see the whole site has no other."""
    on_the_phone_page = request.POST.get("page") == "mine" and may(visitor, "see own tasks")
    return on_the_phone_page or not may(visitor, "see the project")
