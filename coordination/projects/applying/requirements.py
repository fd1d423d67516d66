"""Requirements: evidence counts only for the terms it was given under, so terms carry their digest."""

import hashlib
from typing import Any

from coordination.access.models import Project
from coordination.projects.applying.rows import keep
from coordination.projects.applying.tasks import as_json
from coordination.projects.models import Requirement, Task
from coordination.record.chaining import canonical
from coordination.siteprep import plan_parts
from coordination.siteprep.plan_parts import Plan


def keep_requirements(project: Project, plan: Plan, tasks: dict[str, Task], number: int) -> None:
    rows = Requirement.objects.filter(task__project=project, task__own=False)
    standing = {(requirement.task_id, requirement.key): requirement for requirement in rows}
    wanted = {
        (tasks[task.key].pk, requirement.key): _values(tasks[task.key], requirement, order)
        for task in plan.tasks
        for order, requirement in enumerate(task.requirements)
    }
    keep(Requirement, standing, wanted, number, first={})


def terms_sha(requirement: plan_parts.Requirement) -> str:
    """The digest of what somebody who accepts has agreed to."""
    return hashlib.sha256(canonical(requirement.terms()).encode()).hexdigest()


def _values(task: Task, requirement: plan_parts.Requirement, order: int) -> dict[str, Any]:
    return {
        "task": task,
        "key": requirement.key,
        "kind": requirement.kind,
        "terms": as_json(requirement, without=("task",)),
        "terms_sha": terms_sha(requirement),
        "accepts": requirement.accepts or "",
        "deputy": requirement.deputy or "",
        "concede": list(requirement.concede),
        "release": requirement.release or "",
        "lift_critical": requirement.lift_critical,
        "order": order,
    }
