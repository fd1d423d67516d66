"""Days and durations that people give a task beside the derived ones."""

import uuid
from collections.abc import Iterator
from copy import copy
from datetime import date, datetime
from typing import Any, Final

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import require
from coordination.access.refusals import NotVisible, Reason
from coordination.access.visitors import Visitor
from coordination.projects.models import Task
from coordination.projects.refusals import DatesRefused
from coordination.projects.stating import FIRST_DAY, LAST_DAY

MOST_DAYS: Final = 400
KEEP: Final[Any] = object()


def set_task_dates(
    project: Project,
    visitor: Visitor,
    at: datetime,
    task_uid: uuid.UUID,
    *,
    not_before: date | None = KEEP,
    done_by: date | None = KEEP,
    own_duration: int | None = KEEP,
) -> Task:
    """Set what people want of a task; None takes a wish back, what is not given stays.

    Raises NotAllowed, NotVisible for a task of another project, DatesRefused.
    """
    require(visitor, "set a date")
    given = {"not_before": not_before, "done_by": done_by, "own_duration": own_duration}
    with deciding(project, visitor, at) as pen:
        task = Task.objects.filter(project=project, uid=task_uid, retired_in__isnull=True).first()
        if task is None:
            raise NotVisible
        altered = {
            name: value for name, value in given.items() if value is not KEEP and value != getattr(task, name)
        }
        if not altered:
            pen.leave_as_it_is()
            return task
        for name, value in altered.items():
            setattr(task, name, value)
        _refuse_what_cannot_be(task)
        Task.objects.filter(pk=task.pk).update(**altered)
        told = {
            name: value.isoformat() if isinstance(value, date) else value for name, value in altered.items()
        }
        pen.write("dates set", subject=task.key, body=told)
        return task


def check_task_dates(task: Task, **given: Any) -> None:
    """Raise DatesRefused where ``task`` could not be given these days; nothing is kept."""
    wanted = copy(task)
    for name, value in given.items():
        setattr(wanted, name, value)
    _refuse_what_cannot_be(wanted)


def _refuse_what_cannot_be(task: Task) -> None:
    reasons = [*_far_away(task.not_before, task.done_by)]
    if task.finished_on is not None:
        reasons.append(Reason("finished already"))
    if task.not_before and task.done_by and task.done_by < task.not_before:
        days = {"done_by": task.done_by.isoformat(), "not_before": task.not_before.isoformat()}
        reasons.append(Reason("done by before not before", days))
    if task.own_duration is not None and task.is_gate:
        reasons.append(Reason("a gate takes no time"))
    elif task.own_duration is not None and not 1 <= task.own_duration <= MOST_DAYS:
        reasons.append(Reason("duration out of range", {"high": MOST_DAYS}))
    if reasons:
        raise DatesRefused(*reasons)


def _far_away(*days: date | None) -> Iterator[Reason]:
    for day in days:
        if day is not None and not FIRST_DAY <= day <= LAST_DAY:
            limits = {"low": FIRST_DAY.isoformat(), "high": LAST_DAY.isoformat()}
            yield Reason("day out of range", {"day": day.isoformat(), **limits})
