"""Gates and their conditions. A gate stands while its milestone task does; it has no end of its own.

What people of the project added (``own``) is no plan's: it stays, and follows entries that are renamed.
"""

from typing import Any

from coordination.access.models import Project
from coordination.projects.applying.rows import keep
from coordination.projects.applying.tasks import as_json
from coordination.projects.models import Condition, Gate, Task
from coordination.siteprep import plan_parts
from coordination.siteprep.plan_parts import Plan


def keep_gates(project: Project, plan: Plan, tasks: dict[str, Task], number: int) -> None:
    gates = _kept(project, plan, tasks)
    _follow_renamed(project, plan)
    rows = Condition.objects.filter(gate__task__project=project, own=False)
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


def _follow_renamed(project: Project, plan: Plan) -> None:
    """Own conditions name work by its key, which moves when an entry of the catalogue is called otherwise."""
    now = {old: task.key for task in plan.tasks for old in task.was if old != task.key}
    for row in Condition.objects.filter(gate__task__project=project, own=True) if now else ():
        key, mark, named = row.subject.partition("#")
        if key in now:
            Condition.objects.filter(pk=row.pk).update(subject=f"{now[key]}{mark}{named}")


def _kept(project: Project, plan: Plan, tasks: dict[str, Task]) -> dict[str, Gate]:
    standing = _standing(project, plan, tasks)
    kept = {}
    for order, gate in enumerate(plan.gates):
        values = _values(gate, order, tasks[gate.task])
        row = standing.get(gate.key)
        if row is None:
            row = Gate.objects.create(**values)
        elif any(getattr(row, name) != value for name, value in values.items()):
            Gate.objects.filter(pk=row.pk).update(**values)
        kept[gate.key] = row
    return kept


def _standing(project: Project, plan: Plan, tasks: dict[str, Task]) -> dict[str, Gate]:
    """The row of each gate of the plan that has one: by its milestone, whatever the gate was called; else by its
    own key, which moves with everything that was decided to the milestone that it has now."""
    rows = list(Gate.objects.filter(task__project=project, task__own=False).order_by("pk"))
    by_task = {row.task_id: row for row in rows}
    found = {gate.key: by_task[tasks[gate.task].pk] for gate in plan.gates if tasks[gate.task].pk in by_task}
    taken = {row.pk for row in found.values()}
    by_key = {row.key: row for row in rows if row.pk not in taken}
    return {**{gate.key: by_key[gate.key] for gate in plan.gates if gate.key in by_key}, **found}


def _values(gate: plan_parts.Gate, order: int, task: Task) -> dict[str, Any]:
    return {
        "task": task,
        "key": gate.key,
        "derived": as_json(gate, without=("conditions",)),
        "signers": list(gate.signers),
        "clears": gate.clears,
        "order": order,
    }
