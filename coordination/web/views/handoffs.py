"""Answering what is held out: the receiver's own word, and accepting in the place of one who let the time pass."""

from collections.abc import Iterator
from dataclasses import dataclass
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from coordination.access.permissions import Scope, may
from coordination.access.refusals import Refusal
from coordination.access.visitors import Visitor
from coordination.evidence.arrivals import take_in
from coordination.gates import actions
from coordination.gates.actions.answering import Seen
from coordination.gates.queries import Scene, look_at
from coordination.projects.models import Task
from coordination.web.forms.evidence import HandoffForm, InTheirPlaceForm
from coordination.web.guards import guard
from coordination.web.refused import in_words
from coordination.web.shapes.handoffs import handoff_of
from coordination.web.shapes.refusal_reasons import Reasons, reasons_of_handoff
from coordination.web.uploads import left_out, takes_files
from coordination.web.views.tasks import FormRefused, for_other, page_again, page_of


@takes_files
@require_POST
def answer(request: HttpRequest, project: UUID, offer: UUID, task: UUID) -> HttpResponse:
    """Accept or refuse what is offered, for the task that builds on it; a refusal may bring photos."""
    visitor, now = guard(request, project), timezone.now()
    scene = look_at(visitor.project, now)
    taker = _receiver(scene, task)
    if not may(visitor, "answer a handoff", Scope(receivers=frozenset({taker.trade}))):
        raise Http404
    about = _About(request, visitor, scene, taker)
    form = HandoffForm(request.POST, request.FILES, known=_known(scene, offer))
    if not form.is_valid():
        return _answered(about, offer, [*left_out(request), *FormRefused(form).sentences])
    outcome = form.cleaned_data["outcome"]
    try:
        if wrong := left_out(request):
            return _answered(about, offer, wrong)
        actions.answer_handoff(
            visitor.project,
            visitor,
            now,
            offer,
            task,
            outcome=outcome,
            reasons=form.why(),
            photos=list(_photos(form, visitor)) if outcome == "refused" else (),
            marks=form.cleaned_data["marks"],
            for_other=for_other(request),
        )
    except Refusal as refusal:
        return _answered(about, offer, in_words(refusal))
    return _answered(about, offer, [], _answer_words(outcome))


@require_POST
def in_their_place(request: HttpRequest, project: UUID, offer: UUID, task: UUID) -> HttpResponse:
    """Accept for a receiver who has not answered in time, with the reason."""
    visitor, now = guard(request, project, "accept for a silent receiver"), timezone.now()
    scene = look_at(visitor.project, now)
    about, form = _About(request, visitor, scene, _receiver(scene, task)), InTheirPlaceForm(request.POST)
    if not form.is_valid():
        return _answered(about, offer, FormRefused(form).sentences)
    reason = form.cleaned_data["reason"]
    try:
        actions.accept_for_the_silent(visitor.project, visitor, now, offer, task, reason=reason)
    except Refusal as refusal:
        return _answered(about, offer, in_words(refusal))
    told = _("Accepted in their place. The record says so, with your name and your reason.")
    return _answered(about, offer, [], told)


def _receiver(scene: Scene, uid: UUID) -> Task:
    taker = next((row for row in scene.holding.tasks if row.uid == uid), None)
    if taker is None:
        raise Http404
    return taker


def _known(scene: Scene, offer: UUID) -> Reasons:
    found = next((row for row in scene.holding.offers if row.uid == offer), None)
    return reasons_of_handoff(scene.holding.task[found.task_id], scene) if found else ()


def _photos(form: HandoffForm, visitor: Visitor) -> Iterator[Seen]:
    """Each photo, kept. Raises FileRefused for the first that is none."""
    for file in form.cleaned_data["photos"]:
        name = file.name or ""
        arrived = take_in(visitor.project, file, kind="photo", file_name=name)
        yield Seen(arrived.blob, name[:200], arrived.image, arrived.taken_at)


@dataclass(frozen=True)
class _About:
    """Who answers what: the request, the visitor, how it stood, and the receiving task."""

    request: HttpRequest
    visitor: Visitor
    scene: Scene
    taker: Task


def _answered(about: _About, offer: UUID, reasons: list[str], told: str = "") -> HttpResponse:
    """The article as it stands now; without script the page it was pressed on."""
    request, visitor, taker = about.request, about.visitor, about.taker
    if not request.htmx:  # type: ignore[attr-defined]
        if reasons:
            return page_again(request, visitor, taker.uid, reasons=reasons)
        messages.success(request, told)
        return redirect(page_of(request, visitor, taker.uid))
    line = handoff_of(visitor, about.scene, offer, taker.uid)
    if reasons and line is not None:
        typed = {
            "typed": request.POST.get("words", ""),
            "ticked": request.POST.getlist("reasons"),
            "ticked_marks": request.POST.getlist("marks"),
        }
        context = {"handoff": line, "wrong": reasons, "page": request.POST.get("page", ""), **typed}
        return render(request, "components/handoff.html", context, status=422)
    context = {"words": told, "reasons": reasons, "href": page_of(request, visitor, taker.uid)}
    return render(request, "tasks/answered.html", context, status=422 if reasons else 200)


def _answer_words(outcome: str) -> str:
    if outcome == "accepted":
        return _("Accepted. You build on it from here.")
    return _("Refused. It goes back with your reasons.")
