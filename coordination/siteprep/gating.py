"""The gates of a job: conditions on the tasks that are there, a zero-day milestone, links before and behind."""

from collections.abc import Iterator

from coordination.siteprep.asking import Asked
from coordination.siteprep.conditions import Truth
from coordination.siteprep.entries import GateConditionEntry, GateEntry
from coordination.siteprep.fact_types import Facts
from coordination.siteprep.filling import Filling
from coordination.siteprep.joining import Ground
from coordination.siteprep.plan_parts import Condition, Duration, Gate, Link, Task

_NO_TIME = Duration(0, 0, 0)
_GATE_TRADE = "general contractor"


def gates_of(
    ground: Ground, filling: Filling, asked: Asked
) -> tuple[tuple[Gate, ...], tuple[Task, ...], tuple[Link, ...]]:
    """Return the gates in the order of the catalogue, their milestone tasks, and the links of these."""
    standing = {
        entry.key: (entry, truth)
        for entry in ground.catalogue.gates.values()
        if (truth := entry.when.truth(filling.facts)).value is not False
    }
    gates = tuple(_gate(entry, ground, filling, asked, frozenset(standing)) for entry, _ in standing.values())
    milestones = tuple(_milestone(*standing[gate.key], gate, asked) for gate in gates)
    links = tuple(link for gate in gates for link in _links(standing[gate.key][0], gate, ground))
    return gates, milestones, links


def _gate(entry: GateEntry, ground: Ground, filling: Filling, asked: Asked, standing: frozenset[str]) -> Gate:
    key = f"gate-{entry.key}@site"
    waits = [
        condition
        for each in entry.conditions
        if _applies(each, filling.facts, asked, key)
        for condition in _conditions(each, ground, standing)
    ]
    return Gate(
        key=entry.key,
        text=filling.text(entry.text),
        conditions=(*waits, *(Condition("signature", role) for role in entry.signers)),
        signers=entry.signers,
        clears=entry.clears,
        task=key,
        cautions=entry.cautions,
        sources=entry.sources,
    )


def _applies(entry: GateConditionEntry, facts: Facts, asked: Asked, gate: str) -> bool:
    """Say whether a condition applies or may apply; an unanswered question that it waits for is asked."""
    truth = entry.when.truth(facts)
    asked.note(truth.unknown, gate)
    if truth.value is not False and entry.kind == "question answered":
        asked.note((entry.subject,), gate)
    return truth.value is not False


def _conditions(entry: GateConditionEntry, ground: Ground, standing: frozenset[str]) -> Iterator[Condition]:
    if entry.kind in ("question answered", "gate cleared"):
        if entry.kind == "question answered" or entry.subject in standing:
            yield Condition(entry.kind, entry.subject)
        return
    named, _, requirement = entry.subject.partition("#")
    for task in ground.tasks.get(named, ()):
        if not requirement:
            yield Condition(entry.kind, task.key)
        elif requirement in {each.key for each in task.requirements}:
            yield Condition(entry.kind, f"{task.key}#{requirement}")


def _links(entry: GateEntry, gate: Gate, ground: Ground) -> Iterator[Link]:
    for condition in gate.conditions:
        if condition.kind == "gate cleared":
            yield Link(f"gate-{condition.subject}@site", gate.task)
        elif condition.kind not in ("question answered", "signature"):
            yield Link(condition.subject.partition("#")[0], gate.task)
    for opened in entry.opens:
        for task in ground.tasks.get(opened, ()):
            yield Link(gate.task, task.key)


def _milestone(entry: GateEntry, truth: Truth, gate: Gate, asked: Asked) -> Task:
    because = tuple(sorted(truth.unknown))
    asked.note(because, gate.task)
    return Task(
        key=gate.task,
        entry=f"gate-{entry.key}",
        place="site",
        package=entry.package,
        trade=_GATE_TRADE,
        text=gate.text,
        first_line=gate.text,
        duration=_NO_TIME,
        calendar="site",
        cautions=entry.cautions,
        sources=entry.sources,
        milestone_of=entry.key,
        provisional=truth.value is None,
        because=because,
    )
