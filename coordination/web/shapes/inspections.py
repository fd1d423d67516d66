"""Inspections of a site: what each came to, round by round, and the work that puts right what was not passed."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.utils.text import capfirst

from coordination.gates.models import Inspection, InspectionItem
from coordination.gates.queries import Scene
from coordination.gates.sentences import Names, trade_words
from coordination.projects.models import Requirement
from coordination.web.missing import sheet_of
from coordination.web.words import AUTHORITIES


@dataclass(frozen=True)
class ItemLine:
    """Work for one item: one line of components/schedule.html."""

    name: str
    state: str
    note: str
    href: str


@dataclass(frozen=True)
class RoundLine:
    """One coming of the authority."""

    number: int
    result: str
    state: str
    paper: str
    dated: date
    again_on: date | None
    items: tuple[ItemLine, ...]


@dataclass(frozen=True)
class InspectionLine:
    """One inspection; ``begun`` says whether a result can be entered yet."""

    uid: UUID
    name: str
    authority: str
    task: str
    task_href: str
    state: str
    begun: bool
    rounds: tuple[RoundLine, ...]


STATES: Mapping[str, str] = {"passed": "released", "passed with corrections": "conceded", "failed": "failed"}


def inspection_lines(scene: Scene, places: Mapping[str, str]) -> list[InspectionLine]:
    """Every inspection whose result is asked for, in the order of the places and tasks; three queries."""
    holding = scene.holding
    rows = [row for row in holding.requirements if row.terms.get("inspection")]
    live = [row for row in rows if holding.task[row.task_id].retired_in is None]
    found = _rounds(scene, places)
    return [_line(row, scene, found.get(row.pk, ())) for row in live]


def _line(row: Requirement, scene: Scene, rounds: tuple[RoundLine, ...]) -> InspectionLine:
    holding, names = scene.holding, Names(scene.holding)
    task = holding.task[row.task_id]
    how = scene.reading.how(row)
    return InspectionLine(
        uid=row.uid,
        name=capfirst(names.requirement(holding.key_of(row))),
        authority=str(AUTHORITIES.get(row.release, row.release)),
        task=names.task(task.key),
        task_href=sheet_of(holding)(task),
        state=how if how in {"released", "failed"} else "none",
        begun=task.begun_on is not None,
        rounds=rounds,
    )


def _rounds(scene: Scene, places: Mapping[str, str]) -> dict[int, tuple[RoundLine, ...]]:
    """By requirement, newest first."""
    project = scene.holding.project
    items: dict[int, list[InspectionItem]] = {}
    for item in InspectionItem.objects.filter(task__project=project).order_by("pk"):
        items.setdefault(item.inspection_id, []).append(item)
    rows = Inspection.objects.filter(evidence__requirement__task__project=project).select_related("evidence")
    found: dict[int, list[RoundLine]] = {}
    for row in rows.order_by("-pk"):
        lines = tuple(_item(item, scene, places) for item in items.get(row.pk, ()))
        evidence = row.evidence
        if evidence.dated is None:
            continue
        found.setdefault(evidence.requirement_id, []).append(
            RoundLine(
                number=row.round,
                result=evidence.result,
                state="withdrawn" if evidence.withdrawn_at else STATES[evidence.result],
                paper=evidence.number,
                dated=evidence.dated,
                again_on=row.again_on,
                items=lines,
            )
        )
    return {key: tuple(value) for key, value in found.items()}


def _item(item: InspectionItem, scene: Scene, places: Mapping[str, str]) -> ItemLine:
    task = scene.holding.task[item.task_id]
    company = scene.holding.company_of(task.trade)[0] or trade_words(task.trade)
    ready = scene.assessment.tasks.get(task.key)
    return ItemLine(
        capfirst(Names(scene.holding).task(task.key)),
        ready.state if ready else "done",
        ", ".join(filter(None, (places.get(task.place, task.place), company))),
        sheet_of(scene.holding)(task),
    )
