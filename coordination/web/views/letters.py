"""The letter about an open question: on the page, as plain text, as PDF, in one's own mail."""

import re
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from coordination.access.visitors import Visitor
from coordination.gates.calendars import local_day
from coordination.handover.papers_wanted import usual_paper
from coordination.web.guards import guard
from coordination.web.shapes.letters import Letter, letter_about, open_question
from coordination.web.shapes.papers import paper
from coordination.web.texts import language_read
from coordination.web.views.handover import SANDBOX

ENGINEER = "engineer"


@require_safe
@never_cache
def show(request: HttpRequest, project: UUID, fact: str) -> HttpResponse:
    """The letter, and every way to send it."""
    _visitor, letter = _letter(request, project, fact)
    engineer = request.GET.get("to") == ENGINEER
    context = {
        "letter": letter,
        "fact": fact,
        "to_engineer": engineer,
        "query": f"?to={ENGINEER}" if engineer else "",
    }
    return render(request, "letters/show.html", context)


@require_safe
@never_cache
def plain(request: HttpRequest, project: UUID, fact: str) -> HttpResponse:
    """The letter as plain text."""
    _visitor, letter = _letter(request, project, fact)
    return _file(letter.text.encode(), "text/plain; charset=utf-8", fact, "txt")


@require_safe
@never_cache
def download(request: HttpRequest, project: UUID, fact: str) -> HttpResponse:
    """The letter as PDF."""
    visitor, letter = _letter(request, project, fact)
    now = timezone.now()
    made = paper(
        "paper/letter.html",
        {"letter": letter, "size": usual_paper(visitor.project.code_set), "project": visitor.project},
        {},
        title=letter.subject,
        language=language_read(),
        made_at=now,
    )
    return _file(made, "application/pdf", fact, "pdf")


def _letter(request: HttpRequest, project: UUID, fact: str) -> tuple[Visitor, Letter]:
    """Who asks and the letter; Http404 where the question is not open."""
    visitor = guard(request, project, "answer a question")
    question = open_question(visitor, fact)
    if question is None:
        raise Http404
    today = local_day(visitor.project, timezone.now())
    return visitor, letter_about(visitor, question, today, to_engineer=request.GET.get("to") == ENGINEER)


def _file(content: bytes, media_type: str, fact: str, ending: str) -> HttpResponse:
    name = re.sub(r"[^a-z0-9]+", "-", fact.lower()).strip("-")
    response = HttpResponse(content, content_type=media_type)
    response.headers["Content-Disposition"] = f'attachment; filename="question-{name}.{ending}"'
    response.headers["Content-Security-Policy"] = SANDBOX
    return response
