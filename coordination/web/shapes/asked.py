"""Open questions with everything an answer needs: who decides, by when, how to go on, what was said meanwhile."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from coordination.access.models import Project
from coordination.access.queries import members
from coordination.projects.models import Task
from coordination.projects.queries import QuestionView, authorities, questions, statements, tasks
from coordination.web.question_lines import question_lines
from coordination.web.shapes.fact_rows import FactRow, fact_row
from coordination.web.texts import said


@dataclass
class Asked:
    """A question for components/question.html, and ``row`` for its answer.

    ``answered`` says what was stated since: the question goes when the change of plan is accepted.
    """

    text: str
    decides: str
    needed_by: date | None
    past: bool
    hanging: int
    safe_default: str
    phone: str
    names: tuple[str, ...]
    readings: tuple[str, ...]
    row: FactRow
    answered: str
    href: str = ""

    @property
    def fact(self) -> str:
        return self.row.key


def asked_of(project: Project, needed_by: Mapping[str, date], today: date) -> list[Asked]:
    """Every open question of the standing plan, the soonest needed first."""
    open_now = {question.fact: question for question in questions(project)}
    rows = _rows(project)
    phones, names = _phones(project), _names(tasks(project))
    return [
        Asked(
            text=line.text,
            decides=line.decides,
            needed_by=line.needed_by,
            past=line.past,
            hanging=line.waiting,
            safe_default=line.safe_default,
            phone=phones.get(open_now[line.fact].decides, ""),
            names=_some(open_now[line.fact], names),
            readings=tuple(said(reading) for reading in open_now[line.fact].readings),
            row=rows[line.fact],
            answered=_answered(rows[line.fact]),
        )
        for line in question_lines(open_now.values(), needed_by, today, project.uid)
        if line.fact in rows
    ]


def _rows(project: Project) -> dict[str, FactRow]:
    """A row for every fact, ready to be answered: whoever answers is taken to know."""
    stated = statements(project)
    units = next((each.fact.value for each in stated if each.definition.key == "job.units"), "us")
    rows = [fact_row(statement, str(units)) for statement in stated]
    return {row.key: replace(row, state="known" if row.state == "unknown" else row.state) for row in rows}


def _phones(project: Project) -> dict[str, str]:
    """The telephone of each role and authority, as far as anybody is named."""
    people = {member.role: member.phone for member in reversed(members(project))}
    return people | {row.kind: row.phone for row in authorities(project) if row.phone}


def _names(rows: Iterable[Task]) -> dict[str, str]:
    return {task.key: said(task.derived["text"]) for task in rows}


def _some(question: QuestionView, names: Mapping[str, str], most: int = 4) -> tuple[str, ...]:
    """The first few tasks that hang on the question, each name once."""
    found: Sequence[str] = list(dict.fromkeys(names[key] for key in question.tasks if key in names))
    return tuple(found[:most])


def _answered(row: FactRow) -> str:
    if row.standing.state == "unknown":
        return ""
    return f"{row.stands} ({row.note})" if row.note else row.stands
