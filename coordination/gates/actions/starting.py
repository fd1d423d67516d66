"""Beginning work: refused while anything that must come first is missing."""

from datetime import datetime
from typing import Any
from uuid import UUID

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import Scope, require
from coordination.access.visitors import Visitor
from coordination.evidence.entering import EnteredFor, entry_by
from coordination.gates.refusals import TaskHeld
from coordination.gates.scene import Scene, look_at
from coordination.projects.models import Task


def start_task(
    project: Project,
    visitor: Visitor,
    at: datetime,
    task_uid: UUID,
    *,
    for_other: EnteredFor | None = None,
    sent_at: datetime | None = None,
) -> Task:
    """Begin a task today, on the project's own calendar; ``sent_at`` is when a device says it was pressed.

    Raises TaskHeld with every missing thing and who owes it, NotAllowed, SayForWhom, NotVisible, LeftThePlan,
    NotAPieceOfWork. Starting twice is harmless.
    """
    with deciding(project, visitor, at, claimed_at=sent_at) as pen:
        scene = look_at(project, at)
        task = scene.work(task_uid)
        require(visitor, "start a task", Scope(trade=task.trade))
        if task.begun_on is not None:
            pen.leave_as_it_is()
            return task
        entry = entry_by(visitor, project, task.trade, for_other)
        if missing := scene.ready(task).start_missing:
            raise TaskHeld(*missing)
        day = scene.holding.today
        Task.objects.filter(pk=task.pk, begun_on__isnull=True).update(begun_on=day)
        task.begun_on = day
        body = {"task": str(task.uid), "on": day.isoformat(), "covers": covered_by(task, scene)}
        body |= {"plan": scene.holding.plan_number, **entry.as_body()}
        pen.write("work begun", subject=task.key, body=body)
        return task


def covered_by(task: Task, scene: Scene) -> dict[str, Any]:
    """What stood for each piece of work that ``task`` covers, by its uid, when it began."""
    return {
        str(before.uid): scene.reading.of_task(before)
        for link in scene.holding.links
        if link.after_id == task.pk and link.kind == "covers"
        if (before := scene.holding.task[link.before_id]).retired_in is None
    }
