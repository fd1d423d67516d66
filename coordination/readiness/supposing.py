"""What would follow if conditions of a gate were met: the same standing with them met, judged like any other."""

from collections.abc import Collection
from dataclasses import dataclass, replace

from coordination.readiness.answers import Assessment, Missing
from coordination.readiness.assessing import assess
from coordination.readiness.gates import missing_of_condition
from coordination.readiness.network import Network
from coordination.readiness.standing import (
    ConditionKind,
    ConditionStanding,
    GateStanding,
    LinkStanding,
    RequirementStanding,
    Standing,
    TaskStanding,
)

Met = tuple[ConditionKind, str]


@dataclass(frozen=True)
class Supposition:
    """What a gate would still wait for, and what else would open: gates and tasks by key, in their order.

    ``then`` is the judgement with the gate itself cleared where nothing holds it any more.
    """

    still: tuple[Missing, ...]
    gates: tuple[str, ...]
    tasks: tuple[str, ...]
    behind: tuple[str, ...]
    then: Assessment


def open_conditions(standing: Standing, gate: str) -> tuple[ConditionStanding, ...]:
    """The conditions of a gate that are not met now, in its order; a signature of a signer is one."""
    [found] = [item for item in standing.gates if item.key == gate]
    rows = [*found.conditions]
    named = {item.subject for item in rows if item.kind == "signature"}
    rows += [ConditionStanding("signature", role) for role in found.signers if role not in named]
    network = Network(standing)
    return tuple(row for row in rows if _is_open(row, found, network))


def suppose(standing: Standing, gate: str, met: Collection[Met]) -> Supposition:
    """What would hold ``gate``, and what would open, were all of ``met`` so."""
    now = assess(standing)
    supposed = with_met(standing, gate, met)
    then = assess(supposed)
    still = then.gates[gate].missing
    after = then if still else assess(_cleared(supposed, gate))
    return Supposition(
        still=still,
        gates=tuple(
            key
            for key, ready in then.gates.items()
            if key != gate and ready.state == "ready to clear" and now.gates[key].state == "held"
        ),
        tasks=_opened(now, then, standing),
        behind=() if still else _opened(then, after, standing),
        then=after,
    )


def with_met(standing: Standing, gate: str, met: Collection[Met]) -> Standing:
    """``standing`` as it would be; signatures count for ``gate`` alone."""
    tasks = {subject for kind, subject in met if kind == "task accepted"}
    needs = {subject for kind, subject in met if kind in {"requirement satisfied", "document present"}}
    return replace(
        standing,
        tasks=tuple(_task(task, tasks, needs) for task in standing.tasks),
        links=tuple(_link(link, tasks) for link in standing.links),
        gates=tuple(_gate(item, gate, frozenset(met)) for item in standing.gates),
    )


def _is_open(row: ConditionStanding, gate: GateStanding, network: Network) -> bool:
    if row.kind == "signature":
        return row.subject not in gate.signed
    return any(missing_of_condition(row, network))


def _task(task: TaskStanding, accepted: set[str], needs: set[str]) -> TaskStanding:
    whole = task.key in accepted
    asked = tuple(_satisfied(need) if whole or need.key in needs else need for need in task.requirements)
    if not whole:
        return replace(task, requirements=asked)
    return replace(task, begun=True, finished=True, requirements=asked)


def _satisfied(need: RequirementStanding) -> RequirementStanding:
    inside = None if need.in_tolerance is None else True
    return replace(need, outcome="accepted", in_tolerance=inside, released=bool(need.release))


def _link(link: LinkStanding, accepted: set[str]) -> LinkStanding:
    return replace(link, answer="accepted") if link.handoff and link.before in accepted else link


def _gate(item: GateStanding, gate: str, met: frozenset[Met]) -> GateStanding:
    conditions = tuple(
        replace(row, met=True)
        if ("question answered", row.subject) in met and row.kind == "question answered"
        else row
        for row in item.conditions
    )
    signed = {subject for kind, subject in met if kind == "signature"} if item.key == gate else set()
    return replace(
        item,
        conditions=conditions,
        cleared=item.cleared or ("gate cleared", item.key) in met,
        signed=item.signed | signed,
        signed_otherwise=item.signed_otherwise - signed,
    )


def _cleared(standing: Standing, gate: str) -> Standing:
    return replace(
        standing,
        gates=tuple(replace(item, cleared=True) if item.key == gate else item for item in standing.gates),
    )


def _opened(before: Assessment, after: Assessment, standing: Standing) -> tuple[str, ...]:
    """Work that may start after and might not before; a gate's milestone is no work."""
    work = {task.key for task in standing.tasks if not task.is_gate}
    return tuple(
        key
        for key, ready in after.tasks.items()
        if key in work and ready.may_start and not before.tasks[key].may_start
    )
