"""What the conditions of a gate read, as plain values, and the digest of it.

A cleared gate stands for exactly this. It reopens when the digest moves, and for nothing else.
"""

import hashlib
from collections.abc import Iterable, Mapping
from typing import Any

from coordination.gates.holding import Holding
from coordination.gates.standing import answer_on, standing_of
from coordination.projects.models import Condition, Gate, Requirement, Task
from coordination.readiness import Assessment, RequirementStanding, assess, is_let_go, is_satisfied, is_shown
from coordination.record.chaining import canonical

Values = dict[str, Any]
NOT_IN_THE_PLAN = "not in the plan"


class Reading:
    """Reads one holding on behalf of its gates. Evidence that came after a clearing was not read by it."""

    def __init__(self, holding: Holding) -> None:
        self.holding = holding
        standing = standing_of(holding)
        self.assessment: Assessment = assess(standing)
        self.needs: Mapping[str, RequirementStanding] = {
            need.key: need for task in standing.tasks for need in task.requirements
        }

    def digest(self, gate: Gate) -> str:
        """The digest of what ``gate`` reads now."""
        return digest_of(self.of_gate(gate))

    def of_gate(self, gate: Gate) -> Values:
        """Everything the gate's conditions read, in an order of its own."""
        clearing = self.holding.standing_clearing(gate)
        until = clearing.event.seq if clearing else None
        return {
            "gate": gate.key,
            "conditions": self.of_conditions(self.holding.conditions_of[gate.pk], until),
        }

    def of_conditions(self, rows: Iterable[Condition], until: int | None = None) -> list[list[Any]]:
        """What these conditions read, in an order of its own."""
        conditions = [[row.kind, self._identity(row), self._of_condition(row, until)] for row in rows]
        return sorted(conditions, key=lambda item: item[:2])

    def of_task(self, task: Task, until: int | None = None) -> Values:
        """Whether a task is accepted, under which terms, by which evidence, and with which answers."""
        ready = self.assessment.tasks.get(task.key)
        return {
            "satisfied": bool(ready and ready.satisfied),
            "work": task.derived.get("first_line", {}),
            "requirements": {
                row.key: self.of_requirement(row, until) for row in self.holding.requirements_of[task.pk]
            },
            "handoffs": self._handoffs(task),
        }

    def of_requirement(self, row: Requirement, until: int | None = None) -> Values:
        """How a requirement is satisfied, and by what."""
        how = self.how(row)
        reads: Values = {"terms": row.terms_sha, "how": how}
        if how == "conceded":
            reads["concession"] = str(self.holding.standing_concession[row.pk].uid)
        elif how != "none":
            reads["evidence"] = sorted(
                [str(item.evidence.uid), item.evidence.value]
                for item in self.holding.shown[row.pk].counted
                if until is None or item.evidence.event.seq < until
            )
        return reads

    def how(self, row: Requirement) -> str:
        """``released``, ``conceded``, ``accepted``, or the outcome of what is not satisfied."""
        need = self.needs[self.holding.key_of(row)]
        if not is_satisfied(need):
            return need.outcome if need.outcome != "accepted" else "not enough"
        if need.release:
            return "released"
        return "conceded" if is_let_go(need) else "accepted"

    def _handoffs(self, task: Task) -> Values:
        found: Values = {}
        for link in self.holding.links_out_of[task.pk]:
            if link.handoff and self.holding.task[link.after_id].retired_in is None:
                answer = answer_on(link, self.holding)
                said = [answer.outcome, answer.at.isoformat()] if answer else ["none", ""]
                found[f"{self.holding.task[link.after_id].uid} {link.kind}"] = said
        return found

    def _identity(self, row: Condition) -> str:
        """What a condition is about, by what stays the same when an entry of the catalogue is renamed."""
        holding = self.holding
        named = holding.task_by_key.get(row.subject) or holding.requirement_by_key.get(row.subject)
        return str(named.uid) if named else row.subject

    def _of_condition(self, row: Condition, until: int | None) -> Any:
        read = {
            "task accepted": self._of_work,
            "requirement satisfied": self._of_asked,
            "document present": self._of_asked,
            "question answered": self._of_fact,
            "gate cleared": self._of_other_gate,
        }.get(row.kind)
        return read(row, until) if read else row.kind

    def _of_work(self, row: Condition, until: int | None) -> Any:
        task = self.holding.task_by_key.get(row.subject)
        return self.of_task(task, until) if task and task.retired_in is None else NOT_IN_THE_PLAN

    def _of_other_gate(self, row: Condition, until: int | None) -> Any:
        other = self.holding.gate_by_key.get(row.subject)
        clearing = self.holding.standing_clearing(other) if other else None
        return str(clearing.uid) if clearing else "not cleared"

    def _of_fact(self, row: Condition, until: int | None) -> Any:
        entry = self.holding.settled_entry(row.subject, until)
        return [entry.state, entry.value] if entry else ["unknown", None]

    def _of_asked(self, row: Condition, until: int | None) -> Any:
        requirement = self.holding.requirement_by_key.get(row.subject)
        if requirement is None:
            return NOT_IN_THE_PLAN
        if row.kind == "document present":
            return self._of_document(requirement, until)
        return self.of_requirement(requirement, until)

    def _of_document(self, row: Requirement, until: int | None) -> Values:
        """Only that it is there: a reviewer's acceptance adds nothing to what was read."""
        reads = self.of_requirement(row, until)
        present = is_shown(self.needs[self.holding.key_of(row)])
        return {"terms": row.terms_sha, "present": present, "evidence": reads.get("evidence", [])}


def digest_of(values: Values) -> str:
    """SHA-256 of plain values in their canonical form."""
    return hashlib.sha256(canonical(values).encode()).hexdigest()
