"""What stands on a site that somebody is to know of, found from state: for whoever is told by no mail.

  offered    finished work is held out to a trade; ``reminded`` and ``late`` as its answer time runs
  refused    work came back to its trade and is not finished again
  reopened   a gate was cleared and is held again, while a trade is at work behind it

It goes as soon as it does not stand any more. When somebody was told is no matter of this.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from coordination.gates.awaited import awaited, stage_began, stage_of
from coordination.gates.ordering import following
from coordination.gates.queries import Scene, returned
from coordination.gates.sentences import of_gate, of_task
from coordination.projects.models import Gate, Task


@dataclass(frozen=True)
class Happened:
    """One such thing. ``links`` are purposes of links whose holders are concerned; ``works`` is the trades' own work.

    ``task`` is what it is about; of a gate that reopened it is the gate's milestone.
    """

    kind: str
    at: datetime
    task: Task
    trades: frozenset[str]
    works: tuple[Task, ...] = ()
    links: frozenset[str] = frozenset()
    gate: Gate | None = None
    reasons: tuple[str, ...] = ()
    causes: tuple[Mapping[str, Any], ...] = ()

    @property
    def what(self) -> str:
        """The name of its gate or task, in the reader's language."""
        return of_gate(self.gate) if self.gate else of_task(self.task)


def happened(scene: Scene, now: datetime) -> list[Happened]:
    """All of it, the newest first."""
    found = [*_reopened(scene), *_refused(scene), *_offered(scene, now)]
    return sorted(found, key=lambda each: each.at, reverse=True)


def _offered(scene: Scene, now: datetime) -> Iterator[Happened]:
    for offer in scene.holding.newest_offer.values():
        waits = awaited(scene, offer)
        if not waits.receivers:
            continue
        stage = stage_of(scene, waits, now)
        at = stage_began(scene, waits, stage) if stage else waits.asked
        trades = frozenset(row.trade for row in waits.receivers)
        yield Happened(stage or "offered", at, scene.holding.task[offer.task_id], trades, waits.receivers)


def _refused(scene: Scene) -> Iterator[Happened]:
    for task in scene.holding.tasks:
        if task.retired_in is None and (back := returned(scene, task)):
            reasons = tuple(reason for item in back for reason in item.reasons)
            yield Happened("refused", back[0].at, task, frozenset({task.trade}), (task,), reasons=reasons)


def _reopened(scene: Scene) -> Iterator[Happened]:
    holding = scene.holding
    for gate in holding.gate_by_key.values():
        rounds = [row for row in holding.clearings if row.gate_id == gate.pk]
        if not rounds or holding.standing_clearing(gate) or rounds[-1].reopened_at is None:
            continue
        behind = (holding.task[pk] for pk in following([gate.task_id], holding))
        works = tuple(task for task in behind if task.begun_on is not None and task.finished_on is None)
        yield Happened(
            "reopened",
            rounds[-1].reopened_at,
            holding.task[gate.task_id],
            frozenset(task.trade for task in works),
            works,
            links_concerned(gate.signers),
            gate,
            causes=tuple(rounds[-1].reopened_because),
        )


def links_concerned(signers: object) -> frozenset[str]:
    """Purposes of the links whose holders a reopening concerns: who reads the reports, and an owner who signed."""
    owner = isinstance(signers, list | tuple) and "owner" in signers
    return frozenset({"inspection", "owner page"} if owner else {"inspection"})
