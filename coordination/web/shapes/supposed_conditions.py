"""What if these were accepted: open conditions of a gate to tick, and what would follow. Nothing is stored."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.text import capfirst

from coordination.dates.what_if import Comparison, Supposed, what_if
from coordination.gates.condition_words import condition_words
from coordination.gates.queries import Scene
from coordination.gates.sentences import Names, missing_words, owner_words, trade_words
from coordination.projects.models import Gate
from coordination.readiness import ConditionStanding, Missing
from coordination.readiness.supposing import Met, Supposition, open_conditions, suppose
from coordination.scheduling.calendars import OutOfHorizon
from coordination.scheduling.network import NetworkError
from coordination.web.shapes.what_if import MoveLine, move_lines, summary


@dataclass(frozen=True)
class OpenCondition:
    """One condition that is not met, to be ticked. ``value`` is what the form sends."""

    value: str
    words: str
    ticked: bool


@dataclass(frozen=True)
class Supposing:
    """The conditions, and what would follow of those that are ticked."""

    conditions: tuple[OpenCondition, ...]
    told: tuple[str, ...] = ()
    still: tuple[str, ...] = ()
    number: int = 0
    gates: tuple[str, ...] = ()
    work: tuple[str, ...] = ()
    behind: tuple[str, ...] = ()
    moves: tuple[MoveLine, ...] = ()
    in_short: str = ""


def supposing_of(scene: Scene, gate: Gate, ticked: Sequence[str], places: Mapping[str, str]) -> Supposing:
    """The page's part; ``ticked`` are values of conditions, others are passed over."""
    rows = open_conditions(scene.standing, gate.key)
    lines = tuple(
        OpenCondition(value, _words(row, scene, places), value in ticked)
        for row in rows
        for value in [f"{row.kind}|{row.subject}"]
    )
    chosen = [(row.kind, row.subject) for row, line in zip(rows, lines, strict=True) if line.ticked]
    if not chosen:
        return Supposing(lines)
    return _followed(scene, gate, lines, chosen, places)


def _words(row: ConditionStanding, scene: Scene, places: Mapping[str, str]) -> str:
    """The condition; accepted work with its place, since a task stands at several."""
    words = condition_words(row.kind, row.subject, Names(scene.holding))
    task = scene.holding.task_by_key.get(row.subject)
    return f"{words}, {places.get(task.place, task.place)}" if task else words


def _followed(
    scene: Scene,
    gate: Gate,
    lines: tuple[OpenCondition, ...],
    chosen: Sequence[Met],
    places: Mapping[str, str],
) -> Supposing:
    found, names = suppose(scene.standing, gate.key, chosen), Names(scene.holding)
    comparison = _dates(scene, gate, chosen, found)
    gates = {key: names.gate(key) for key in scene.holding.gate_by_key}
    moves = [line for line in move_lines(comparison, gates) if not line.same] if comparison else []
    return Supposing(
        conditions=lines,
        told=tuple(line.words for line in lines if line.ticked),
        still=_held(found.still, scene, places),
        number=len(found.still),
        gates=tuple(names.gate(key) for key in found.gates),
        work=_work(found.tasks, scene, names.task),
        behind=_work(found.behind, scene, names.task),
        moves=tuple(moves),
        in_short=summary(comparison) if comparison else "",
    )


def _held(missing: Sequence[Missing], scene: Scene, places: Mapping[str, str]) -> tuple[str, ...]:
    """What would still hold it: one line for each piece of work, question, gate or signature, with who owes it."""
    names, lines = Names(scene.holding), dict[str, str]()
    for item in missing:
        task = scene.holding.task_by_key.get(item.task)
        if task is None or task.is_gate:
            lines[f"{item.kind} {item.subject}"] = capfirst(missing_words(item, names, phones=False))
            continue
        told = f"{capfirst(names.task(item.task))}, {places.get(task.place, task.place)}"
        lines.setdefault(item.task, ", ".join(filter(None, (told, owner_words(item)))))
    return tuple(lines.values())


def _work(keys: Sequence[str], scene: Scene, name: Callable[[str], str]) -> tuple[str, ...]:
    """Work that may start then, each with its company or trade."""
    tasks = scene.holding.task_by_key
    return tuple(
        f"{capfirst(name(key))}, {scene.holding.company_of(tasks[key].trade)[0] or trade_words(tasks[key].trade)}"
        for key in keys
    )


def _dates(scene: Scene, gate: Gate, chosen: Sequence[Met], found: Supposition) -> Comparison | None:
    """The days of gates and visits were the accepted work done today; None where there are no dates."""
    today, tasks = scene.holding.today, scene.holding.task_by_key
    done = [subject for kind, subject in chosen if kind == "task accepted" and subject in tasks]
    gates = [subject for kind, subject in chosen if kind == "gate cleared"]
    gates += [] if found.still else [gate.key]
    by_key = scene.holding.gate_by_key
    done += [scene.holding.task[by_key[key].task_id].key for key in gates if key in by_key]
    altered = {key: _done(tasks[key].begun_on, tasks[key].finished_on, today) for key in done}
    try:
        return what_if(scene.holding.project, today, Supposed(tasks=altered)) if altered else None
    except (NetworkError, OutOfHorizon):
        return None


def _done(begun: date | None, finished: date | None, today: date) -> dict[str, Any]:
    return {"begun_on": begun or today, "finished_on": finished or today}
