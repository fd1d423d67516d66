"""From which day a trade can come: a wish for all of its work that has not begun."""

from datetime import date, datetime

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import require
from coordination.access.visitors import Visitor
from coordination.projects.actions.days import check_task_dates
from coordination.projects.models import Task


def work_to_come(project: Project, trade: str) -> list[Task]:
    """The trade's tasks that have not begun."""
    live = Task.objects.filter(project=project, trade=trade, retired_in__isnull=True, is_gate=False)
    return list(live.filter(begun_on__isnull=True).order_by("pk"))


def let_trade_come(project: Project, visitor: Visitor, at: datetime, *, trade: str, day: date) -> list[str]:
    """Let no work of the trade begin before ``day``; gives the keys of what was altered.

    A day after which the work is to be done already is refused. Set to this day already, nothing changes.
    Raises NotAllowed, DatesRefused.
    """
    require(visitor, "set a date")
    with deciding(project, visitor, at) as pen:
        tasks = [task for task in work_to_come(project, trade) if task.not_before != day]
        if not tasks:
            pen.leave_as_it_is()
            return []
        refuse_day(tasks, day)
        keys = [task.key for task in tasks]
        Task.objects.filter(pk__in=[task.pk for task in tasks]).update(not_before=day)
        pen.write("trade days set", subject=trade, body={"not_before": day.isoformat(), "tasks": keys})
        return keys


def refuse_day(tasks: list[Task], day: date) -> None:
    """Raise DatesRefused for a day that no calendar reaches, or that lies after a day to be done by."""
    for task in tasks:
        check_task_dates(task, not_before=day)
