"""A visit of the crew as the gates see it: what is in front of it, what blocks it, the proof that the site is ready.

The go/no-go list is what the gates in front still miss, and the signed statement. No forecast outranks it.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final, Literal

from coordination.dates.models import SiteStatement, Visit
from coordination.dates.visiting import WORK
from coordination.gates.calendars import local_day
from coordination.gates.holding import Holding
from coordination.gates.ordering import gates_in_order
from coordination.gates.reading import Values, digest_of
from coordination.gates.scene import Scene
from coordination.projects.models import Condition, Gate, Requirement, Task
from coordination.readiness import Missing

# A statement tells of the site as somebody saw it; after so many days one looks again (common practice, no source).
FRESH_DAYS: Final = 7
STATEMENT_WORK = "site-ready"

Void = Literal["", "visit moved", "another charge", "proof changed", "too old"]


@dataclass(frozen=True)
class Proof:
    """What a site-ready statement rests on: conditions of the gates in front, and what its own work shows."""

    gates: tuple[Gate, ...]
    conditions: tuple[Condition, ...]
    requirements: tuple[Requirement, ...]
    missing: tuple[Missing, ...]
    read: Values

    @property
    def digest(self) -> str:
        return digest_of(self.read)


def to_do(holding: Holding, visit: str) -> list[Task]:
    """The tasks for which the crew comes and that are not finished."""
    entries = WORK.get(visit, ())
    live = (task for task in holding.tasks if task.retired_in is None and not task.is_gate)
    return [task for task in live if task.entry in entries and task.finished_on is None]


def gates_ahead(holding: Holding, visit: str) -> list[Gate]:
    """The gates that lead straight to the work of the visit, in their order."""
    pks = {task.pk for task in to_do(holding, visit)}
    before = {link.before_id for link in holding.links if link.after_id in pks}
    return [gate for gate in gates_in_order(holding) if gate.task_id in before]


def no_go(scene: Scene, visit: str) -> tuple[Missing, ...]:
    """Everything that the gates in front of the visit still wait for, each thing once."""
    gates = gates_ahead(scene.holding, visit)
    return _once(item for gate in gates for item in scene.assessment.gates[gate.key].missing)


def blocking(scene: Scene, visit: str) -> tuple[Missing, ...]:
    """What somebody can do now about the visit: what is held is followed back to what holds it.

    Signatures are left out while anything else is missing.
    """
    walk = _Walk(scene)
    found = _once(walk.roots(no_go(scene, visit)))
    signatures = [item for item in found if item.kind.startswith("signature")]
    others = [item for item in found if not item.kind.startswith("signature")]
    return tuple(others or signatures)


def _once(missing: Iterable[Missing]) -> tuple[Missing, ...]:
    """Each missing thing once, whatever makes it needed."""
    found: dict[tuple[str, str, str], Missing] = {}
    for item in missing:
        found.setdefault((item.kind, item.subject, item.task), item)
    return tuple(found.values())


class _Walk:
    """Follows what is missing back to what can be done, each task and gate once."""

    def __init__(self, scene: Scene) -> None:
        self.scene, self.seen = scene, set[str]()

    def roots(self, missing: Iterable[Missing]) -> Iterator[Missing]:
        for item in missing:
            if item.kind == "gate not cleared":
                yield from self._of_gate(item)
                continue
            ready = self.scene.assessment.tasks.get(item.task)
            task = self.scene.holding.task_by_key.get(item.task)
            if ready is None or task is None or task.is_gate or task.begun_on is not None:
                yield item
            elif item.kind == "not begun":
                yield from self._of_task(item)

    def _of_gate(self, item: Missing) -> Iterator[Missing]:
        if item.subject in self.seen:
            return
        self.seen.add(item.subject)
        ready = self.scene.assessment.gates.get(item.subject)
        yield from self.roots(ready.missing) if ready and ready.missing else (item,)

    def _of_task(self, item: Missing) -> Iterator[Missing]:
        if item.task in self.seen:
            return
        self.seen.add(item.task)
        ready = self.scene.assessment.tasks[item.task]
        yield from (item,) if ready.may_start else self.roots(ready.start_missing)


def proof_of(scene: Scene, visit: str) -> Proof:
    """What a statement for the visit would rest on now; ``missing`` keeps it from being signed."""
    holding = scene.holding
    gates = gates_ahead(holding, visit)
    rows = {
        (row.kind, row.subject): row
        for gate in gates
        for row in holding.conditions_of[gate.pk]
        if row.kind != "signature" and not _of_statement(row.subject)
    }
    shown = _own_requirements(holding, gates)
    missing = _once(
        item
        for gate in gates
        for item in scene.assessment.gates[gate.key].unsigned
        if _counts(item, shown, holding)
    )
    read: Values = {
        "visit": visit,
        "conditions": scene.reading.of_conditions(rows.values()),
        "shown": {holding.key_of(row): scene.reading.of_requirement(row) for row in shown},
    }
    return Proof(tuple(gates), tuple(rows.values()), tuple(shown), missing, read)


def void_of(statement: SiteStatement, visit: Visit, proof: Proof, charge_cents: int, today: date) -> Void:
    """Why a signed statement does not count any more; empty while it does."""
    if statement.visit_id != visit.pk or visit.moved_at is not None:
        return "visit moved"
    if statement.charge_cents != charge_cents:
        return "another charge"
    if statement.digest != proof.digest or proof.missing:
        return "proof changed"
    signed_on = local_day(visit.project, statement.at)
    return "too old" if today > signed_on + timedelta(days=FRESH_DAYS) else ""


def newest_statement(visit: Visit) -> SiteStatement | None:
    """The statement that was signed last for a booking, whether or not it still counts."""
    return SiteStatement.objects.filter(visit=visit).order_by("-pk").first()


def _of_statement(subject: str) -> bool:
    return subject.partition("@")[0] == STATEMENT_WORK


def _own_requirements(holding: Holding, gates: Iterable[Gate]) -> list[Requirement]:
    """What the statement's own work shows, signatures left out: they are the statement itself."""
    asked = {
        row.subject.partition("#")[0]
        for gate in gates
        for row in holding.conditions_of[gate.pk]
        if _of_statement(row.subject)
    }
    tasks = (holding.task_by_key[key] for key in sorted(asked) if key in holding.task_by_key)
    return [row for task in tasks for row in holding.requirements_of[task.pk] if row.kind != "signature"]


def _counts(item: Missing, shown: Iterable[Requirement], holding: Holding) -> bool:
    """Of the statement's own work only what it shows counts; the rest follows from the signature."""
    if not _of_statement(item.task):
        return True
    return item.subject in {holding.key_of(row) for row in shown}
