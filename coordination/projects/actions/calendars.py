"""Working days that people set beside those of the site facts: a shutdown, a Saturday that is worked."""

from collections.abc import Iterable
from datetime import date, datetime

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import require
from coordination.access.refusals import Reason
from coordination.access.visitors import Visitor
from coordination.projects.models import Calendar
from coordination.projects.refusals import DatesRefused
from coordination.siteprep.plan_parts import CALENDARS

UNSET = {"weekdays": None, "closed": [], "opened": []}


def set_calendar(
    project: Project,
    visitor: Visitor,
    at: datetime,
    key: str,
    *,
    weekdays: Iterable[int] | None = None,
    closed: Iterable[date] = (),
    opened: Iterable[date] = (),
) -> None:
    """Set one calendar's own weekdays (None: as the site facts say) and its days without and with work.

    Raises NotAllowed, DatesRefused naming what cannot be.
    """
    require(visitor, "set a date")
    days = None if weekdays is None else sorted(set(weekdays))
    without, with_work = sorted(set(closed)), sorted(set(opened))
    _refuse_what_cannot_be(key, days, set(without) & set(with_work))
    values = {
        "weekdays": days,
        "closed": [day.isoformat() for day in without],
        "opened": [day.isoformat() for day in with_work],
    }
    with deciding(project, visitor, at) as pen:
        standing = Calendar.objects.filter(project=project, key=key).values(*values).first()
        if (standing or UNSET) == values:
            pen.leave_as_it_is()
            return
        pen.write("calendar set", subject=key, body=values)
        Calendar.objects.update_or_create(project=project, key=key, defaults=values)


def _refuse_what_cannot_be(key: str, weekdays: list[int] | None, both: set[date]) -> None:
    reasons = []
    if key not in CALENDARS:
        reasons.append(Reason("no such calendar", {"typed": key, "choices": ", ".join(CALENDARS)}))
    if weekdays == []:
        reasons.append(Reason("no working day"))
    if weekdays and not set(weekdays) <= set(range(7)):
        reasons.append(Reason("no such weekday"))
    reasons += [Reason("closed and opened", {"day": day.isoformat()}) for day in sorted(both)]
    if reasons:
        raise DatesRefused(*reasons)
