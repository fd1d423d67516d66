"""Gates and their conditions. A gate stands while its milestone task does; it has no end of its own."""

from typing import Any

from coordination.access.models import Project
from coordination.projects.applying.rows import keep
from coordination.projects.applying.tasks import as_json
from coordination.projects.models import Condition, Gate, Task
from coordination.siteprep import plan_parts
from coordination.siteprep.plan_parts import Plan


def keep_gates(project: Project, plan: Plan, tasks: dict[str, Task], number: int) -> None:
    gates = _kept(project, plan, tasks)
    rows = Condition.objects.filter(gate__task__project=project)
    standing = {(row.gate_id, row.kind, row.subject): row for row in rows}
    wanted = {
        (gates[gate.key].pk, condition.kind, condition.subject): {
            "gate": gates[gate.key],
            "kind": condition.kind,
            "subject": condition.subject,
        }
        for gate in plan.gates
        for condition in gate.conditions
    }
    keep(Condition, standing, wanted, number, first={})


def _kept(project: Project, plan: Plan, tasks: dict[str, Task]) -> dict[str, Gate]:
    standing = {gate.task_id: gate for gate in Gate.objects.filter(task__project=project)}
    kept = {}
    for order, gate in enumerate(plan.gates):
        task = tasks[gate.task]
        values = _values(gate, order)
        row = standing.get(task.pk)
        if row is None:
            row = Gate.objects.create(task=task, **values)
        elif any(getattr(row, name) != value for name, value in values.items()):
            Gate.objects.filter(pk=row.pk).update(**values)
        kept[gate.key] = row
    return kept


def _values(gate: plan_parts.Gate, order: int) -> dict[str, Any]:
    return {
        "key": gate.key,
        "derived": as_json(gate, without=("conditions",)),
        "signers": list(gate.signers),
        "clears": gate.clears,
        "order": order,
    }
