"""Which cleared gates no longer stand for what they read, and who is at work behind them."""

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db import transaction

from coordination.access.models import Project
from coordination.gates.holding import Holding
from coordination.gates.models import Clearing
from coordination.gates.ordering import following
from coordination.gates.reading import Reading
from coordination.gates.scene import look_at
from coordination.projects.models import Gate, Task
from coordination.record.actions import Pen
from coordination.record.models import Event


@dataclass(frozen=True)
class AtWork:
    """Work that goes on behind a gate that reopens."""

    task: str
    company: str
    phone: str


@dataclass(frozen=True)
class Moved:
    """A standing clearing whose digest moved."""

    gate: Gate
    clearing: Clearing
    at_work: tuple[AtWork, ...]

    def as_body(self) -> dict[str, Any]:
        return {
            "gate": self.gate.key,
            "clearing": str(self.clearing.uid),
            "round": self.clearing.round,
            "at_work": [vars(item) for item in self.at_work],
        }


@dataclass(frozen=True)
class Saying:
    """The event of a decision that may reopen gates, before it is written. ``why`` is kept with each gate."""

    verb: str
    subject: str
    body: Mapping[str, Any]
    why: Sequence[str] = ()


class _TakenBack(Exception):
    """Ends a trial."""


def carry_out(pen: Pen, project: Project, saying: Saying, change: Callable[[Event], None]) -> Event:
    """Write the event and make ``change``, reopening every gate for which that alters what it read.

    Rows need their event, and the event names the gates: so the change is tried first, looked at and taken back.
    """
    moved = _would_move(project, pen.at, change)
    body = {**saying.body, "reopens": [item.as_body() for item in moved]}
    event = pen.write(saying.verb, subject=saying.subject, body=body)
    change(event)
    _reopen(moved, event, pen.at, saying.why)
    return event


def moved_gates(project: Project, at: datetime) -> tuple[Moved, ...]:
    """Every clearing that must reopen now, also those that hang on another one that does; gates in their order."""
    holding = look_at(project, at).holding
    found: list[Moved] = []
    while fresh := moved_in(holding):
        found += fresh
        gone = {item.clearing.pk for item in found}
        holding.clearings = [row for row in holding.clearings if row.pk not in gone]
    return tuple(sorted(found, key=lambda item: (item.gate.order, item.gate.key)))


def _would_move(project: Project, at: datetime, change: Callable[[Event], None]) -> tuple[Moved, ...]:
    if not Clearing.objects.filter(gate__task__project=project, reopened_at__isnull=True).exists():
        return ()
    moved: tuple[Moved, ...] = ()
    with suppress(_TakenBack), transaction.atomic():
        change(Event.objects.filter(stream=project.stream).order_by("-seq")[:1].get())
        moved = moved_gates(project, at)
        raise _TakenBack
    return moved


def _reopen(moved: Sequence[Moved], event: Event, at: datetime, why: Sequence[str]) -> None:
    """The clearing stays as it was, with when and why it ended."""
    because = [{"verb": event.verb, "subject": event.subject, "event": event.seq, "reasons": list(why)}]
    for item in moved:
        still = Clearing.objects.filter(pk=item.clearing.pk, reopened_at__isnull=True)
        if still.update(reopened_at=at, reopened_because=because):
            Task.objects.filter(pk=item.gate.task_id).update(begun_on=None, finished_on=None)


def at_work_behind(gate: Gate, holding: Holding) -> tuple[AtWork, ...]:
    """Begun and unfinished work that comes after the gate, however many links away."""
    return _at_work(following([gate.task_id], holding), holding)


def at_work_over(task: Task, holding: Holding) -> tuple[AtWork, ...]:
    """Begun and unfinished work that covers ``task``."""
    covering = {link.after_id for link in holding.links_out_of[task.pk] if link.kind == "covers"}
    return _at_work(covering, holding)


def moved_in(holding: Holding) -> list[Moved]:
    """Standing clearings whose gate left the plan, or whose digest is no longer that of what the gate reads."""
    reading, moved = Reading(holding), []
    for gate in holding.gates:
        clearing = holding.standing_clearing(gate)
        if clearing and (
            holding.task[gate.task_id].retired_in is not None or reading.digest(gate) != clearing.digest
        ):
            moved.append(Moved(gate, clearing, at_work_behind(gate, holding)))
    return moved


def _at_work(keys: set[int], holding: Holding) -> tuple[AtWork, ...]:
    working = [
        holding.task[pk]
        for pk in keys
        if holding.task[pk].begun_on is not None and holding.task[pk].finished_on is None
    ]
    return tuple(
        AtWork(task.key, *holding.company_of(task.trade)) for task in sorted(working, key=lambda row: row.key)
    )
