"""Beginning work: refused while anything that must come first is missing."""

from collections.abc import Collection, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import Scope, require
from coordination.access.visitors import Visitor
from coordination.evidence.entering import EnteredFor, Entry, entry_by
from coordination.gates.actions.answering import answer, refuse_own_work, saved
from coordination.gates.models import BY_BEGINNING
from coordination.gates.refusals import TaskHeld
from coordination.gates.reopening import Saying, carry_out
from coordination.gates.scene import Scene, look_at
from coordination.gates.taking_over import Takeable, missing_with, named, takeable
from coordination.projects.models import Task
from coordination.record.actions import Pen
from coordination.record.models import Event


def start_task(
    project: Project,
    visitor: Visitor,
    at: datetime,
    task_uid: UUID,
    *,
    taking_over: Collection[UUID] = (),
    for_other: EnteredFor | None = None,
    sent_at: datetime | None = None,
) -> Task:
    """Begin a task today, on the project's own calendar; ``sent_at`` is when a device says it was pressed.

    ``taking_over`` names the offers of which somebody has ticked that beginning takes them over; they are accepted in
    the same decision. Work that this task hides is never taken over in this way.
    Raises TaskHeld with every missing thing and who owes it, OwnWork, NotAllowed, SayForWhom, NotVisible, LeftThePlan,
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
        taken = named(takeable(scene, task), taking_over) if taking_over else ()
        if missing := missing_with(scene, task, taken):
            raise TaskHeld(*missing)
        body = {
            "task": str(task.uid),
            "on": scene.holding.today.isoformat(),
            "covers": covered_by(task, scene),
        }
        body |= {"plan": scene.holding.plan_number, **entry.as_body()}
        if taken:
            _take_over(pen, scene, visitor, task, taken=taken, body=body, entry=entry)
        else:
            pen.write("work begun", subject=task.key, body=body)
            _begin(scene, task)
        task.begun_on = scene.holding.today
        return task


def _take_over(
    pen: Pen,
    scene: Scene,
    visitor: Visitor,
    task: Task,
    *,
    taken: Sequence[Takeable],
    body: dict[str, Any],
    entry: Entry,
) -> None:
    """Accept and begin as one decision: the event of the begin names what was taken over."""
    require(visitor, "answer a handoff", Scope(receivers=frozenset({task.trade})))
    for each in taken:
        refuse_own_work(scene, scene.holding.task[each.offer.task_id], each.offer, visitor)
    told = [
        {
            "offer": str(each.offer.uid),
            "round": each.offer.round,
            "work": scene.holding.task[each.offer.task_id].key,
        }
        for each in taken
    ]

    def change(event: Event) -> None:
        rows = [
            answer(each.offer, link, visitor, pen.at, entry=entry, way=BY_BEGINNING)
            for each in taken
            for link in each.links
        ]
        saved(rows, event)
        _begin(scene, task)

    saying = Saying("work begun", task.key, {**body, "takes_over": told})
    carry_out(pen, scene.holding.project, saying, change)


def _begin(scene: Scene, task: Task) -> None:
    Task.objects.filter(pk=task.pk, begun_on__isnull=True).update(begun_on=scene.holding.today)


def covered_by(task: Task, scene: Scene) -> dict[str, Any]:
    """What stood for each piece of work that ``task`` covers, by its uid, when it began."""
    return {
        str(before.uid): scene.reading.of_task(before)
        for link in scene.holding.links
        if link.after_id == task.pk and link.kind == "covers"
        if (before := scene.holding.task[link.before_id]).retired_in is None
    }
