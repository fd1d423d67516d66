"""Which gate may be cleared, and what each of the others waits for."""

from collections.abc import Iterator

from coordination.readiness.answers import (
    GateReadiness,
    GateState,
    Missing,
    MissingKind,
    TaskReadiness,
    TaskState,
)
from coordination.readiness.network import Network, in_order
from coordination.readiness.requirements import is_satisfied, is_shown, missing_of
from coordination.readiness.standing import ConditionStanding, GateStanding

STATE_OF_TASK: dict[GateState, TaskState] = {"cleared": "done", "ready to clear": "ready", "held": "held"}


def gate_readiness(gate: GateStanding, network: Network) -> GateReadiness:
    """One gate. A cleared one stays cleared until it is reopened: nothing is missing."""
    if gate.cleared:
        return GateReadiness("cleared", ())
    unsigned = in_order(_unmet(gate, network))
    missing = (*unsigned, *in_order(_unsigned(gate, network)))
    return GateReadiness("held" if missing else "ready to clear", missing, unsigned)


def gate_as_task(gate: GateStanding, readiness: GateReadiness) -> TaskReadiness:
    """The gate's zero-day milestone, seen as a task."""
    return TaskReadiness(
        state=STATE_OF_TASK[readiness.state],
        may_start=readiness.state == "ready to clear",
        start_missing=readiness.missing,
        may_offer=False,
        offer_missing=readiness.missing,
        satisfied=gate.cleared,
    )


def signers_of(gate: GateStanding) -> tuple[str, ...]:
    """Roles that must sign: the gate's own, and those its conditions name; each once, in that order."""
    conditions = [item.subject for item in gate.conditions if item.kind == "signature"]
    return tuple(dict.fromkeys([*gate.signers, *conditions]))


def _unmet(gate: GateStanding, network: Network) -> Iterator[Missing]:
    if not gate.plan_settled:
        party = network.party("coordinator")
        yield Missing(
            "plan not settled", gate.key, party.name, party.phone, "condition", gate.task, "coordinator"
        )
    for condition in gate.conditions:
        yield from missing_of_condition(condition, network)


def missing_of_condition(condition: ConditionStanding, network: Network) -> Iterator[Missing]:
    """What one condition waits for; nothing for a signature, which is asked for once everything else is there."""
    if condition.kind == "task accepted":
        task = network.tasks.get(condition.subject)
        if task is None:
            yield _not_in_the_plan(condition)
        else:
            yield from network.missing_until_satisfied(task, "condition")
    elif condition.kind == "gate cleared":
        gate = network.gates.get(condition.subject)
        if gate is None:
            yield _not_in_the_plan(condition)
        else:
            yield from network.missing_until_cleared(network.tasks[gate.task])
    elif condition.kind == "question answered":
        yield from _missing_answer(condition, network)
    elif condition.kind != "signature":
        yield from _missing_requirement(condition, network)


def _missing_requirement(condition: ConditionStanding, network: Network) -> Iterator[Missing]:
    """``requirement satisfied``, and ``document present``, which does not wait for a reviewer."""
    if condition.subject in network.requirements:
        task, need = network.requirements[condition.subject]
        enough = is_satisfied(need) if condition.kind == "requirement satisfied" else is_shown(need)
        if not enough:
            yield missing_of(need, task, network.standing, "condition")
    elif condition.kind == "requirement satisfied":
        yield _not_in_the_plan(condition)
    elif condition.met is not True:
        party = network.party("coordinator")
        yield Missing(
            "document missing", condition.subject, party.name, party.phone, "condition", trade="coordinator"
        )


def _missing_answer(condition: ConditionStanding, network: Network) -> Iterator[Missing]:
    """A fact that is only assumed is no answer: a gate rests on what somebody knows."""
    if condition.met is True:
        return
    party = network.party(condition.subject)
    kind: MissingKind = "question open" if condition.met is False else "fact only assumed"
    yield Missing(kind, condition.subject, party.name, party.phone, "condition")


def _unsigned(gate: GateStanding, network: Network) -> Iterator[Missing]:
    for role in signers_of(gate):
        if role not in gate.signed:
            party = network.party(role)
            kind: MissingKind = (
                "signature for another standing" if role in gate.signed_otherwise else "signature missing"
            )
            yield Missing(kind, role, party.name, party.phone, "condition", gate.task, role)


def _not_in_the_plan(condition: ConditionStanding) -> Missing:
    return Missing("not in the plan", condition.subject, because="condition")
