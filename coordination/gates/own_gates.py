"""A project's own hold point: what is wished, what is wrong with it, and the rows it becomes."""

import uuid
from collections.abc import Iterator
from dataclasses import dataclass, field

from coordination.access.models import ROLES
from coordination.access.refusals import Reason
from coordination.dates.models import OwnLink
from coordination.dates.networks import counting
from coordination.gates.holding import Holding
from coordination.gates.own_parts import Described, own_link, own_task, package_of
from coordination.gates.refusals import GateCannotBe
from coordination.projects.applying.tasks import as_json
from coordination.projects.models import Condition, Gate, Link, Task
from coordination.siteprep import plan_parts

# Kinds of condition that are chosen one by one; signatures follow from who signs.
CHOSEN = tuple(kind for kind in Condition.KINDS if kind != "signature")
CLEARERS = ("coordinator", "contractor")
SIGNERS = ("coordinator", "contractor", "lift crew", "owner")
MOST_NAME = 120


@dataclass(frozen=True)
class GateWish:
    """A gate that somebody wants: tasks by key, conditions as (kind, subject), roles."""

    name: str
    before: tuple[str, ...] = ()
    conditions: tuple[tuple[str, str], ...] = ()
    signers: tuple[str, ...] = ()
    clears: str = "contractor"


@dataclass(frozen=True)
class OwnGate:
    """The rows of an own gate, not kept yet. ``links`` are (before, after) by task key."""

    task: Task
    gate: Gate
    conditions: list[Condition]
    pairs: list[tuple[str, str]] = field(default_factory=list)

    def links(self, holding: Holding) -> list[Link]:
        """Its links as rows."""
        tasks = {**holding.task_by_key, self.task.key: self.task}
        return [
            own_link(holding.project, tasks[before], tasks[after], holding.plan_number)
            for before, after in self.pairs
        ]

    @property
    def wished(self) -> list[OwnLink]:
        """Its links for a reckoning that is not kept."""
        return [_wished(*pair) for pair in self.pairs]


def own_gate(holding: Holding, wish: GateWish) -> OwnGate:
    """The gate as rows that are not kept. Raises GateCannotBe with everything that is wrong with it."""
    if faults := tuple(_faults(holding, wish)):
        raise GateCannotBe(*faults)
    uid = uuid.uuid4()
    key = f"own-{uid.hex[:8]}"
    package = package_of(holding, wish.before)
    named = Described(f"gate-{key}@site", wish.name.strip(), package=package, milestone_of=key)
    task = own_task(holding, uuid.uuid4(), named)
    part = plan_parts.Gate(key, task.derived["text"], (), wish.signers, wish.clears, task.key)
    gate = Gate(
        uid=uid,
        task=task,
        key=key,
        derived=as_json(part, without=("conditions",)),
        signers=list(wish.signers),
        clears=wish.clears,
    )
    wanted = [*wish.conditions, *(("signature", role) for role in wish.signers)]
    conditions = [Condition(gate=gate, kind=kind, subject=subject, own=True) for kind, subject in wanted]
    made = OwnGate(task, gate, conditions, _pairs(holding, wish, task.key))
    if not _leads_forward(holding, made):
        raise GateCannotBe(Reason("gate closes a ring"))
    return made


def _faults(holding: Holding, wish: GateWish) -> Iterator[Reason]:
    names = {gate.derived.get("text", {}).get("en") for gate in holding.gate_by_key.values()}
    if not wish.name.strip():
        yield Reason("gate without name")
    elif wish.name.strip() in names:
        yield Reason("gate of that name", {"typed": wish.name.strip()})
    if not wish.before:
        yield Reason("gate in front of nothing")
    if not wish.conditions:
        yield Reason("gate without condition")
    for key in wish.before:
        task = holding.task_by_key.get(key)
        if task is None or task.retired_in is not None or task.is_gate:
            yield Reason("no such work", {"typed": key})
        elif task.begun_on is not None:
            yield Reason("behind a gate too late", {"subject": key})
    for kind, subject in wish.conditions:
        if kind not in CHOSEN or not _is_there(holding, kind, subject):
            yield Reason("no such condition", {"typed": f"{kind}: {subject}"})
    if wish.clears not in CLEARERS or not set(wish.signers) <= set(SIGNERS) & set(ROLES):
        yield Reason("no such role")


def _is_there(holding: Holding, kind: str, subject: str) -> bool:
    """Whether a condition can be read: what it names stands in the plan or among what was added."""
    if kind == "question answered":
        return subject in holding.newest_entry or any(row.fact == subject for row in holding.questions)
    if kind == "gate cleared":
        return subject in holding.gate_by_key
    task = holding.task_by_key.get(subject.partition("#")[0])
    if task is None or task.retired_in is not None or task.is_gate:
        return False
    if kind == "task accepted":
        return subject == task.key
    need = holding.requirement_by_key.get(subject)
    return need is not None and (kind != "document present" or need.kind == "document")


def _pairs(holding: Holding, wish: GateWish, milestone: str) -> list[tuple[str, str]]:
    """What the conditions read comes before the gate; what it stands in front of comes after."""
    first: dict[str, None] = {}
    for kind, subject in wish.conditions:
        if kind == "gate cleared":
            first[holding.task[holding.gate_by_key[subject].task_id].key] = None
        elif kind != "question answered":
            first[subject.partition("#")[0]] = None
    return [*((key, milestone) for key in first), *((milestone, key) for key in dict.fromkeys(wish.before))]


def _leads_forward(holding: Holding, made: OwnGate) -> bool:
    """Whether no work would wait for itself."""
    live = [task.key for task in holding.tasks if task.retired_in is None]
    keys = {task.pk: task.key for task in holding.tasks}
    pairs = [(keys[link.before_id], keys[link.after_id]) for link in holding.links]
    return len(counting(made.wished, pairs, [*live, made.task.key])) == len(made.pairs)


def _wished(before: str, after: str) -> OwnLink:
    return OwnLink(before=before, after=after, kind="FS", lag=0, unit="working")
