"""What each company owes now, to whom, since when, and what it holds up: read from the same judgement as every guard.

Only what somebody can do now is owed: work that itself must wait owes nothing. A link that waits is held up by what is
missing directly before it, not by everything further back.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from coordination.gates.calendars import local_day
from coordination.gates.holding import Holding
from coordination.gates.scene import Scene
from coordination.projects.models import Task
from coordination.readiness import Missing

# Nobody owes these: time runs, or a person decides who is no company of the site.
NOBODYS = frozenset(
    {"lag running", "not in the plan", "question open", "fact only assumed", "plan not settled"}
)
OF_BEGUN_WORK = frozenset(
    {"not finished", "not handed in", "out of tolerance", "handoff not offered", "authority document missing"}
)
# Owed to whoever refused it, even before anything else waits for it.
CAME_BACK = frozenset({"refused", "out of tolerance", "handoff refused"})


@dataclass(frozen=True)
class Owed:
    """One missing thing. ``trade`` is the trade or role that must move; ``holds`` are tasks and milestones of gates."""

    missing: Missing
    trade: str
    since: date | None
    holds: tuple[Task, ...]


def owed_by_trade(scene: Scene) -> dict[str, list[Owed]]:
    """By trade (or role), what it owes now; the longest owed first."""
    holds: dict[tuple[str, str], list[Task]] = {}
    items: dict[tuple[str, str], Missing] = {}
    for task, missing in _direct(scene):
        item = _next_step(missing, scene)
        if not can_be_done_now(item, scene):
            continue
        key = (item.kind, item.subject)
        items.setdefault(key, item)
        if item.task != task.key or item.because == "condition":
            holds.setdefault(key, []).append(task)
    found: dict[str, list[Owed]] = {}
    for key, item in items.items():
        if key in holds or item.kind in CAME_BACK:
            owed = Owed(item, item.trade, _since(item, scene), tuple(dict.fromkeys(holds.get(key, ()))))
            found.setdefault(item.trade, []).append(owed)
    for rows in found.values():
        rows.sort(key=lambda row: (row.since is None, row.since or date.max, row.missing))
    return found


def _next_step(item: Missing, scene: Scene) -> Missing:
    """Work that is to be finished and has not begun is to be begun first."""
    task = scene.holding.task_by_key.get(item.task)
    begins = item.kind == "not finished" and task is not None and task.begun_on is None
    return replace(item, kind="not begun") if begins else item


def can_be_done_now(item: Missing, scene: Scene) -> bool:
    """Whether whoever owes ``item`` can do it today, as far as the record knows."""
    if item.kind in NOBODYS:
        return False
    if item.kind == "gate not cleared":
        gate = scene.assessment.gates.get(item.subject)
        return gate is not None and not gate.missing
    if item.kind.startswith("signature"):
        gates = (row for row in scene.assessment.gates.values() if item in row.missing)
        return any(not gate.unsigned for gate in gates)
    ready = scene.assessment.tasks.get(item.task)
    task = scene.holding.task_by_key.get(item.task)
    if item.kind == "not begun":
        return bool(ready and ready.may_start)
    return task is None or item.kind not in OF_BEGUN_WORK or task.begun_on is not None


def _direct(scene: Scene) -> Iterator[tuple[Task, Missing]]:
    """Every task and gate with what is missing right before it."""
    holding, assessment = scene.holding, scene.assessment
    for task in holding.tasks:
        if task.retired_in is not None or task.is_gate or task.finished_on is not None:
            continue
        ready = assessment.tasks[task.key]
        for item in ready.offer_missing if task.begun_on else ready.start_missing:
            yield task, item
    for gate in holding.gates:
        milestone = holding.task[gate.task_id]
        if milestone.retired_in is None and gate.key in assessment.gates:
            yield from ((milestone, item) for item in assessment.gates[gate.key].missing)


def _since(item: Missing, scene: Scene) -> date | None:
    """Since when: when it came about, when the work began, or when the last thing before it was finished."""
    holding = scene.holding
    if item.since is not None:
        return local_day(holding.project, item.since)
    task = holding.task_by_key.get(item.task)
    if task is None:
        return None
    return _could_begin(task, holding) if item.kind == "not begun" else task.begun_on


def _could_begin(task: Task, holding: Holding) -> date | None:
    before = [holding.task[link.before_id] for link in holding.links if link.after_id == task.pk]
    ends = [row.finished_on for row in before if row.finished_on is not None]
    return max(ends, default=None)
