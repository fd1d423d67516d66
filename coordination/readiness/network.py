"""The live part of a standing, indexed; and what is missing until a piece of work is satisfied."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from functools import cached_property

from coordination.readiness.answers import Because, Missing, MissingKind
from coordination.readiness.requirements import is_satisfied, missing_of
from coordination.readiness.standing import (
    NOBODY,
    GateStanding,
    LinkStanding,
    Party,
    RequirementStanding,
    Standing,
    TaskStanding,
)

# Where one thing is missing for several reasons, the first of these is named.
WEIGHT: tuple[Because, ...] = ("condition", "covers", "gate", "handoff", "FS", "SS", "FF", "SF", "own")


class StandingError(ValueError):
    """A standing contradicts itself: a key given twice, or a link or gate that leads to no task."""


class Network:
    """Tasks, links and gates by key, without what is retired. Raises StandingError."""

    def __init__(self, standing: Standing) -> None:
        self.standing = standing
        self.tasks = {task.key: task for task in standing.tasks if not task.retired}
        self.gates = {gate.key: gate for gate in standing.gates if gate.task in self.tasks}
        self.gate_of_task = {gate.task: gate for gate in self.gates.values()}
        self.into: dict[str, list[LinkStanding]] = defaultdict(list)
        self.out_of: dict[str, list[LinkStanding]] = defaultdict(list)
        self._check()
        for link in standing.links:
            if link.before in self.tasks and link.after in self.tasks:
                self.into[link.after].append(link)
                self.out_of[link.before].append(link)

    @cached_property
    def requirements(self) -> dict[str, tuple[TaskStanding, RequirementStanding]]:
        return {need.key: (task, need) for task in self.tasks.values() for need in task.requirements}

    def gate_at(self, task: TaskStanding) -> GateStanding | None:
        return self.gate_of_task.get(task.key)

    def satisfied(self, task: TaskStanding) -> bool:
        """What covering work and gates wait for: finished, everything shown and accepted, every handoff accepted."""
        if task.is_gate:
            gate = self.gate_at(task)
            return gate is not None and gate.cleared
        return (
            task.finished
            and all(is_satisfied(need) for need in task.requirements)
            and all(link.answer == "accepted" for link in self.out_of[task.key] if link.handoff)
        )

    def missing_until_satisfied(self, task: TaskStanding, because: Because) -> Iterator[Missing]:
        """Every thing that is missing until ``task`` is satisfied; empty exactly when it is."""
        if task.is_gate:
            yield from self.missing_until_cleared(task)
            return
        if not task.finished:
            yield self.owed(task, "not finished" if task.begun else "not begun", because)
        for need in task.requirements:
            if not is_satisfied(need):
                yield missing_of(need, task, self.standing, because)
        for link in self.out_of[task.key]:
            yield from self.missing_of_handoff(link, because, finish_named=True)

    def missing_until_finished(self, task: TaskStanding, because: Because) -> Iterator[Missing]:
        """Why ``task`` is not finished: what was refused, else only that it is not."""
        if task.finished:
            return
        refused = [
            missing_of(need, task, self.standing, because)
            for need in task.requirements
            if need.outcome in {"refused", "failed"} and not is_satisfied(need)
        ]
        for link in self.out_of[task.key]:
            if link.answer == "refused":
                refused += self.missing_of_handoff(link, because, finish_named=True)
        yield from refused or [self.owed(task, "not finished", because)]

    def missing_of_handoff(
        self, link: LinkStanding, because: Because, *, finish_named: bool
    ) -> Iterator[Missing]:
        """What a handoff still waits for.

        ``finish_named``: that the work is not finished is already on the list, its offer need not be.
        """
        if not link.handoff or link.answer == "accepted":
            return
        giver, taker = self.tasks[link.before], self.tasks[link.after]
        subject = f"{link.before}>{link.after}"
        if link.answer == "refused":
            yield Missing(
                "handoff refused",
                subject,
                giver.owner,
                giver.phone,
                because,
                giver.key,
                giver.trade,
                link.since,
            )
        elif giver.finished and giver.offered_round:
            yield Missing(
                "handoff not answered",
                subject,
                taker.owner,
                taker.phone,
                because,
                giver.key,
                taker.trade,
                link.since,
            )
        elif giver.finished or not finish_named:
            yield Missing(
                "handoff not offered", subject, giver.owner, giver.phone, because, giver.key, giver.trade
            )

    def missing_until_cleared(self, task: TaskStanding) -> Iterator[Missing]:
        """The gate at ``task``, unless it is cleared."""
        gate = self.gate_at(task)
        if gate is None:
            yield Missing("not in the plan", task.key, because="gate", task=task.key)
        elif not gate.cleared:
            party = self.party(gate.clears)
            yield Missing(
                "gate not cleared", gate.key, party.name, party.phone, "gate", gate.task, gate.clears
            )

    def owed(self, task: TaskStanding, kind: MissingKind, because: Because) -> Missing:
        return Missing(kind, task.key, task.owner, task.phone, because, task.key, task.trade)

    def party(self, role: str) -> Party:
        return self.standing.parties.get(role, NOBODY)

    def _check(self) -> None:
        every = [task.key for task in self.standing.tasks]
        _once("task", every)
        retired = {task.key for task in self.standing.tasks if task.retired}
        _once("gate", [gate.key for gate in self.standing.gates if gate.task not in retired])
        _once("requirement", [need.key for task in self.standing.tasks for need in task.requirements])
        known = set(every)
        for link in self.standing.links:
            for end in (link.before, link.after):
                if end not in known:
                    raise StandingError(f"A link leads to {end!r}, which is no task.")
        for gate in self.standing.gates:
            if gate.task not in known:
                raise StandingError(f"The gate {gate.key!r} stands at {gate.task!r}, which is no task.")


def in_order(missing: Iterable[Missing]) -> tuple[Missing, ...]:
    """Each missing thing once, under its weightiest reason, in an order that does not depend on the input's."""
    ranked = sorted(
        missing, key=lambda item: (WEIGHT.index(item.because), item.task, item.subject, item.kind)
    )
    once: dict[tuple[str, str], Missing] = {}
    for item in ranked:
        once.setdefault((item.kind, item.subject), item)
    return tuple(once.values())


def _once(what: str, keys: list[str]) -> None:
    seen: set[str] = set()
    for key in keys:
        if key in seen:
            raise StandingError(f"The {what} {key!r} is given twice.")
        seen.add(key)
