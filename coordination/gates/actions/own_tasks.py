"""Work of a project's own, beside the plan's: added, and taken back while nobody has begun it."""

from datetime import datetime
from typing import Any
from uuid import UUID

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import require
from coordination.access.refusals import NotVisible, Reason
from coordination.access.visitors import Visitor
from coordination.gates.actions.adding import retire
from coordination.gates.holding import Holding
from coordination.gates.models import InspectionItem
from coordination.gates.own_work import OwnWork, WorkWish, own_work
from coordination.gates.refusals import SayWhy, WorkStays
from coordination.gates.scene import look_at
from coordination.projects.models import Task
from coordination.record.actions import Pen


def add_work(project: Project, visitor: Visitor, at: datetime, wish: WorkWish) -> Task:
    """Add a piece of work that no plan brings and no change of plan drops.

    Raises WorkCannotBe with everything that is wrong, NotAllowed.
    """
    require(visitor, "add work")
    with deciding(project, visitor, at) as pen:
        holding = look_at(project, at).holding
        return place_work(pen, holding, own_work(holding, wish))


def place_work(pen: Pen, holding: Holding, made: OwnWork, **more: Any) -> Task:
    """Keep the rows of own work as one decision; ``more`` goes into its event."""
    pen.write("work added", subject=made.task.key, body={**told_of_work(made), **more})
    return made.keep(holding)


def told_of_work(made: OwnWork) -> dict[str, Any]:
    """What the record says of a piece of own work."""
    task = made.task
    return {
        "task": str(task.uid),
        "key": task.key,
        "name": task.derived["text"]["en"],
        "place": task.place,
        "trade": task.trade,
        "working_days": task.derived["duration"]["likely"],
        "done_by": task.done_by.isoformat() if task.done_by else None,
        "accepts": made.requirements[0].accepts if made.requirements else "",
        "links": [list(pair) for pair in made.pairs],
    }


def take_back_work(project: Project, visitor: Visitor, at: datetime, task_uid: UUID, reason: str) -> None:
    """Take back work of the project's own that nobody has begun. Taken back already, nothing changes.

    Raises WorkStays with every reason why it must stay, SayWhy, NotAllowed, NotVisible.
    """
    require(visitor, "add work")
    if not reason.strip():
        raise SayWhy(Reason("say why taken back"))
    with deciding(project, visitor, at) as pen:
        holding = look_at(project, at).holding
        task = next((row for row in holding.tasks if row.uid == task_uid and not row.is_gate), None)
        if task is None:
            raise NotVisible
        if task.own and task.retired_in is not None:
            pen.leave_as_it_is()
            return
        if reasons := _why_it_stays(holding, task):
            raise WorkStays(*reasons)
        pen.write("work taken back", subject=task.key, body={"task": str(task.uid), "reason": reason.strip()})
        retire(task, holding)


def _why_it_stays(holding: Holding, task: Task) -> list[Reason]:
    about = {"subject": task.key}
    reasons = []
    if not task.own:
        reasons.append(Reason("work of the plan", about))
    if task.begun_on is not None:
        reasons.append(Reason("work has begun", about))
    if InspectionItem.objects.filter(task=task).exists():
        reasons.append(Reason("an inspection asks for it", about))
    if any(row.subject.partition("#")[0] == task.key for row in holding.conditions):
        reasons.append(Reason("a gate reads it", about))
    return reasons
