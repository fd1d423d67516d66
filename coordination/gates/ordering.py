"""The order of the gates: the plan's as it numbers them, each of the project's own before the first one behind it."""

from collections.abc import Iterable

from coordination.gates.holding import Holding
from coordination.projects.models import Gate


def gates_in_order(holding: Holding) -> list[Gate]:
    """The live gates. One that a project added never comes last: the last gate is the plan's."""
    live = holding.gate_by_key.values()
    planned = sorted(
        (gate for gate in live if not _own(gate, holding)), key=lambda gate: (gate.order, gate.key)
    )
    place = {gate.task_id: number for number, gate in enumerate(planned)}
    last = len(planned) - 1
    ranked = [(number, 1, gate.key, gate) for number, gate in enumerate(planned)]
    for gate in live:
        if _own(gate, holding):
            behind = [place[pk] for pk in following([gate.task_id], holding) if pk in place]
            ranked.append((min(behind, default=last), 0, gate.key, gate))
    return [gate for *_rank, gate in sorted(ranked, key=lambda item: item[:3])]


def last_gate(holding: Holding) -> Gate | None:
    """The gate of the plan that ends the job; None before there is a plan."""
    planned = [gate for gate in holding.gate_by_key.values() if not _own(gate, holding)]
    return max(planned, key=lambda gate: gate.order, default=None)


def following(start: Iterable[int], holding: Holding) -> set[int]:
    """Every task that comes after one of ``start``, however many links away; by the tasks' own keys."""
    seen: set[int] = set()
    edge = list(start)
    while edge:
        after = {link.after_id for pk in edge for link in holding.links_out_of[pk]} - seen
        seen |= after
        edge = list(after)
    return seen


def _own(gate: Gate, holding: Holding) -> bool:
    return holding.task[gate.task_id].own
