"""Open questions as lines of components/question.html, the soonest needed first."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from coordination.projects.queries import QuestionView
from coordination.web.addresses import address_of
from coordination.web.texts import said
from coordination.web.words import DECIDERS


@dataclass(frozen=True)
class QuestionLine:
    """A question, who decides it, by when, and how to go on until then."""

    fact: str
    text: str
    decides: str
    needed_by: date | None
    past: bool
    waiting: int
    safe_default: str
    href: str


def question_lines(
    asked: Iterable[QuestionView], needed_by: Mapping[str, date], today: date, project: UUID
) -> list[QuestionLine]:
    """One line for each question."""
    address = address_of("questions", project)
    lines = [
        QuestionLine(
            fact=question.fact,
            text=said(question.text),
            decides=str(DECIDERS.get(question.decides, question.decides)),
            needed_by=needed_by.get(question.fact),
            past=question.fact in needed_by and needed_by[question.fact] < today,
            waiting=len(question.tasks),
            safe_default=said(question.safe_default) if question.safe_default else "",
            href=f"{address}#{question.fact}" if address else "",
        )
        for question in asked
    ]
    return sorted(lines, key=lambda line: (line.needed_by or date.max, line.fact))
