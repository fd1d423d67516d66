"""The queue of a reviewer or deputy: one thing at a time, with what was asked beside what came; then the next."""

from datetime import datetime
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from coordination.access.permissions import Scope, may
from coordination.access.refusals import Refusal
from coordination.access.visitors import Visitor
from coordination.gates.actions import review_requirement
from coordination.gates.queries import look_at
from coordination.projects.queries import standing_facts, standing_plan
from coordination.web.forms.evidence import AnswerForm
from coordination.web.guards import guard
from coordination.web.refused import in_words
from coordination.web.shapes.refusal_reasons import reasons_of
from coordination.web.shapes.review_lines import next_after, under_review, waiting_for


@require_safe
@never_cache
def queue(request: HttpRequest, project: UUID) -> HttpResponse:
    """The one asked for with ``?look=``, else the one that is due first."""
    visitor = guard(request, project, "see the project")
    context = _queue(visitor, timezone.now(), look=request.GET.get("look", ""))
    return render(request, "reviews/queue.html", context)


@require_POST
def review(request: HttpRequest, project: UUID, requirement: UUID) -> HttpResponse:
    """Accept or refuse what waits under one requirement; the answer is the next one."""
    visitor, now = guard(request, project, "see the project"), timezone.now()
    scene = look_at(visitor.project, now)
    row = scene.requirement(requirement)
    if not may(visitor, "review evidence", Scope(accepts=row.accepts, deputy=row.deputy)):
        raise Http404
    form = AnswerForm(request.POST, known=reasons_of(row, scene))
    try:
        if not form.is_valid():
            return _again(request, visitor, now, requirement, [_("Accept it, or refuse it with reasons.")])
        outcome = form.cleaned_data["outcome"]
        review_requirement(
            visitor.project,
            visitor,
            now,
            requirement,
            outcome,
            reasons=form.why(),
            marks=form.cleaned_data["marks"],
        )
    except Refusal as refusal:
        return _again(request, visitor, now, requirement, in_words(refusal))
    told = _("Accepted.") if outcome == "accepted" else _("Refused; the work goes back with your reasons.")
    if request.htmx:  # type: ignore[attr-defined]
        context = {**_queue(visitor, now), "told": told}
        return render(request, "reviews/part.html", context)
    messages.success(request, told)
    return redirect("reviews", project)


def _queue(visitor: Visitor, at: datetime, *, look: str = "") -> dict[str, Any]:
    scene, plan = look_at(visitor.project, at), standing_plan(visitor.project)
    lines = waiting_for(visitor, scene, plan, at)
    chosen = next((line for line in lines if str(line.uid) == look), lines[0] if lines else None)
    following = next_after(lines, chosen) if chosen else None
    return {
        "lines": [line for line in lines if line is not chosen],
        "looked_at": under_review(chosen, visitor, scene, plan, standing_facts(visitor.project))
        if chosen
        else None,
        "following": following,
        "number": len(lines),
    }


def _again(
    request: HttpRequest, visitor: Visitor, at: datetime, requirement: UUID, reasons: list[str]
) -> HttpResponse:
    """The same one with why the word was not taken; what was written stays."""
    typed = {
        "ticked": request.POST.getlist("reasons"),
        "ticked_marks": request.POST.getlist("marks"),
        "typed": request.POST.get("words", ""),
    }
    context = {**_queue(visitor, at, look=str(requirement)), "reasons": reasons, **typed}
    name = "reviews/part.html" if request.htmx else "reviews/queue.html"  # type: ignore[attr-defined]
    return render(request, name, context, status=422)
