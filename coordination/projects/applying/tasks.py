"""Tasks: matched by key; a renamed entry keeps its row, its evidence and people's own values.

Work that people of the project added is in no plan, and no plan drops it.
"""

import json
from dataclasses import asdict
from typing import Any

from coordination.access.models import Project
from coordination.projects.applying.rows import keep
from coordination.projects.models import Task
from coordination.record.chaining import canonical
from coordination.siteprep import plan_parts
from coordination.siteprep.plan_parts import Plan


def keep_tasks(project: Project, plan: Plan, number: int) -> dict[str, Task]:
    """The rows of the plan's tasks, by key."""
    standing = {task.key: task for task in Task.objects.filter(project=project, own=False)}
    order = {place.key: n for n, place in enumerate(plan.places)}
    wanted = {task.key: _values(task, order) for task in plan.tasks}
    _rename(standing, plan)
    return keep(Task, standing, wanted, number, first={"project": project, "origin": number})


def _rename(standing: dict[str, Task], plan: Plan) -> None:
    """Give the row of an entry that was renamed its new key, where no row has that yet."""
    keys = {task.key for task in plan.tasks}
    for task in plan.tasks:
        old = next((key for key in task.was if key in standing and key not in keys), "")
        if task.key not in standing and old:
            standing[task.key] = standing.pop(old)


def _values(task: plan_parts.Task, order: dict[str, int]) -> dict[str, Any]:
    return {
        "key": task.key,
        "entry": task.entry,
        "place": task.place,
        "package": task.package,
        "trade": task.trade,
        "derived": as_json(task, without=("requirements", "was")),
        "provisional": task.provisional,
        "is_gate": task.milestone_of is not None,
        "place_order": order.get(task.place, len(order)),
    }


def as_json(part: Any, *, without: tuple[str, ...] = ()) -> Any:
    """A part of a plan as the database gives it back, so that the two can be compared."""
    return json.loads(canonical({key: value for key, value in asdict(part).items() if key not in without}))
