"""When a reading was taken: never ahead, never before the work that it shows was begun."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.utils.formats import date_format
from django.utils.translation import pgettext

from coordination.access.refusals import Reason
from coordination.evidence.refusals import NotHandedIn
from coordination.projects.models import Requirement
from coordination.record.queries import decisions

# Common practice, no source: how far a phone's clock may run ahead of ours, and from when on two times are both told.
CLOCKS_APART = timedelta(minutes=10)
BOTH_TOLD = timedelta(hours=3)


def refuse_impossible(requirement: Requirement, taken_at: datetime, *, zone: ZoneInfo, at: datetime) -> None:
    """Raise NotHandedIn for a reading taken ahead of ``at``, or before the day on which its work was begun.

    Begun is the day that stands for the task; where a phone was without signal, the earlier day of its press.
    """
    local = taken_at.astimezone(zone)
    if taken_at > at + CLOCKS_APART:
        told = {"taken": _moment(local), "now": _moment(at.astimezone(zone))}
        raise NotHandedIn(Reason("taken ahead", told))
    begun = requirement.task.begun_on
    if begun is None or local.date() >= begun:
        return
    first = _pressed(requirement, begun, zone)
    if local.date() < first:
        raise NotHandedIn(Reason("taken before the work", {"taken": _moment(local), "day": _day(first)}))


def told_apart(taken_at: datetime, received_at: datetime) -> bool:
    """Whether it matters that a reading was handed in later than it was taken."""
    return received_at - taken_at > BOTH_TOLD


def _pressed(requirement: Requirement, begun: date, zone: ZoneInfo) -> date:
    task = requirement.task
    pressed = [
        each.claimed_at.astimezone(zone).date()
        for each in decisions(task.project.stream, subject=task.key)
        if each.verb == "work begun" and each.claimed_at is not None
    ]
    return min([begun, *pressed[-1:]])


def _moment(local: datetime) -> str:
    return date_format(local, pgettext("date format", "D j M Y, H:i"), use_l10n=False)


def _day(day: date) -> str:
    return date_format(day, pgettext("date format", "D j M Y"), use_l10n=False)
