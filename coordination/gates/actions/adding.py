"""A gate of a project's own, beside those of the plan; and taking it back while nobody has cleared it."""

from datetime import datetime
from typing import Any
from uuid import UUID

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import require
from coordination.access.refusals import NotVisible, Reason
from coordination.access.visitors import Visitor
from coordination.gates.holding import Holding
from coordination.gates.models import Clearing
from coordination.gates.own_gates import GateWish, own_gate
from coordination.gates.refusals import GateStays, SayWhy
from coordination.gates.scene import look_at
from coordination.projects.models import Condition, Gate, Link, Task


def add_gate(project: Project, visitor: Visitor, at: datetime, wish: GateWish) -> Gate:
    """Put a hold point of the project's own in front of work that has not begun. No change of plan takes it away.

    Raises GateCannotBe with everything that is wrong, NotAllowed.
    """
    require(visitor, "add a gate")
    with deciding(project, visitor, at) as pen:
        holding = look_at(project, at).holding
        made = own_gate(holding, wish)
        body = {
            "gate": made.gate.key,
            "name": wish.name.strip(),
            "before": list(wish.before),
            "conditions": [list(each) for each in wish.conditions],
            "signers": list(wish.signers),
            "clears": wish.clears,
        }
        pen.write("gate added", subject=made.gate.key, body=body)
        made.task.save(force_insert=True)
        made.gate.task = made.task
        made.gate.save(force_insert=True)
        for condition in made.conditions:
            condition.gate = made.gate
        Condition.objects.bulk_create(made.conditions)
        Link.objects.bulk_create(made.links(holding))
        return made.gate


def take_back_gate(project: Project, visitor: Visitor, at: datetime, gate_uid: UUID, reason: str) -> None:
    """Take back a gate of the project's own that was never cleared. Taken back already, nothing changes.

    Raises GateStays with every reason why it must stay, SayWhy, NotAllowed, NotVisible.
    """
    require(visitor, "add a gate")
    if not reason.strip():
        raise SayWhy(Reason("say why taken back"))
    with deciding(project, visitor, at) as pen:
        holding = look_at(project, at).holding
        gate = next((row for row in holding.gates if row.uid == gate_uid), None)
        if gate is None:
            raise NotVisible
        task = holding.task[gate.task_id]
        if task.retired_in is not None and task.own:
            pen.leave_as_it_is()
            return
        if reasons := _why_it_stays(holding, gate, task):
            raise GateStays(*reasons)
        body = {"gate": gate.key, "reason": reason.strip()}
        pen.write("gate taken back", subject=gate.key, body=body)
        retire(task, holding)


def retire(task: Task, holding: Holding) -> None:
    """Take what people added out of the standing work, with its links and conditions; nothing is deleted."""
    gone: dict[str, Any] = {"retired_in": max(holding.plan_number, 1)}
    Task.objects.filter(pk=task.pk, own=True).update(**gone)
    Link.objects.filter(own=True, before=task).update(**gone)
    Link.objects.filter(own=True, after=task).update(**gone)
    Condition.objects.filter(own=True, gate__task=task).update(**gone)


def _why_it_stays(holding: Holding, gate: Gate, task: Task) -> list[Reason]:
    about = {"subject": gate.key}
    reasons = []
    if not task.own:
        reasons.append(Reason("gate of the plan", about))
    if Clearing.objects.filter(gate=gate).exists():
        reasons.append(Reason("gate was cleared", about))
    reading = [row for row in holding.conditions if (row.kind, row.subject) == ("gate cleared", gate.key)]
    if reading:
        reasons.append(Reason("another gate reads it", about))
    return reasons
