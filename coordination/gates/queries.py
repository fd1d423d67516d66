"""Where work and gates stand, for screens and papers."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from coordination.access.models import Project
from coordination.gates.calendars import local_day
from coordination.gates.loading import load
from coordination.gates.models import Clearing
from coordination.gates.refusal_photos import photos_of, reasons_of
from coordination.gates.reopening import AtWork, at_work_behind
from coordination.gates.scene import Scene, look_at
from coordination.projects.models import Gate, Task
from coordination.readiness import Assessment, Standing

__all__ = ["Scene", "assessment", "clearings", "look_at", "returned", "scenes", "standings"]


@dataclass(frozen=True)
class Returned:
    """Why work came back: said of which requirement or by which receiver, by whom, when."""

    subject: str
    by: str
    at: datetime
    reasons: tuple[str, ...]


@dataclass(frozen=True)
class ClearingView:
    """One round of a gate. ``superseded`` once it has reopened; ``at_work`` are those behind it now."""

    gate: str
    round: int
    uid: str
    sha256: str
    cleared_at: datetime
    superseded: bool
    reopened_at: datetime | None
    because: tuple[Mapping[str, Any], ...]
    at_work: tuple[AtWork, ...]


def scenes(projects: Iterable[Project], at: datetime | date) -> dict[int, Scene]:
    """By the project's own key, everything that stands; a constant number of queries however many projects.

    A moment is read on each project's own calendar.
    """
    found = load(projects, lambda project: local_day(project, at) if isinstance(at, datetime) else at)
    return {key: Scene(holding) for key, holding in found.items()}


def standings(projects: Iterable[Project], at: datetime | date) -> dict[int, Standing]:
    """As ``scenes``, only the frozen standings."""
    return {key: scene.standing for key, scene in scenes(projects, at).items()}


def assessment(project: Project, at: datetime | date) -> Assessment:
    """What may start, what is missing and who owes it, on one project."""
    return scenes([project], at)[project.pk].assessment


def returned(scene: Scene, task: Task) -> tuple[Returned, ...]:
    """The reasons that stand on top of work that came back, newest first; none once it is finished again."""
    holding = scene.holding
    if task.finished_on is not None:
        return ()
    found = [
        Returned(row.key, shown.counted[-1].review.reviewer_name, shown.counted[-1].review.at, shown.reasons)
        for row in holding.requirements_of[task.pk]
        if (shown := holding.shown[row.pk]).outcome == "refused" and shown.counted[-1].review
    ]
    offer = holding.newest_offer.get(task.pk)
    for link in holding.links_out_of[task.pk]:
        answer = holding.answer_to.get((offer.pk, link.pk)) if offer else None
        if answer and answer.outcome == "refused":
            after = holding.task[link.after_id]
            why = reasons_of(answer, photos_of([answer]).get(answer.pk, ()))
            found.append(Returned(after.key, answer.answered_name, answer.at, tuple(why)))
    return tuple(sorted(found, key=lambda item: item.at, reverse=True))


def clearings(scene: Scene, gate: Gate) -> tuple[ClearingView, ...]:
    """Every round of a gate, newest first."""
    working = at_work_behind(gate, scene.holding)
    return tuple(
        _view(gate, row, working) for row in reversed(scene.holding.clearings) if row.gate_id == gate.pk
    )


def _view(gate: Gate, row: Clearing, working: tuple[AtWork, ...]) -> ClearingView:
    return ClearingView(
        gate=gate.key,
        round=row.round,
        uid=str(row.uid),
        sha256=row.sha256,
        cleared_at=row.cleared_at,
        superseded=row.reopened_at is not None,
        reopened_at=row.reopened_at,
        because=tuple(row.reopened_because),
        at_work=working,
    )
