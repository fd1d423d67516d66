"""Working days of one kind of work on a project, for lags that run and answers that are due."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from coordination.access.models import Project
from coordination.gates.holding import Holding
from coordination.projects.public_holidays import UnknownRegion, public_holidays
from coordination.readiness import WorkingHours

USUAL = frozenset({0, 1, 2, 3, 4})
MOST_DAYS = 4000


def working_hours(holding: Holding, key: str = "site") -> WorkingHours:
    """The site's own working days and holidays, with what people set beside them."""
    own = next((row for row in holding.calendars if row.key == key), None)
    derived = _weekdays(holding) if key == "site" else USUAL
    weekdays = frozenset(own.weekdays) if own and own.weekdays is not None else derived
    closed = {date.fromisoformat(day) for day in (own.closed if own else ())}
    opened = {date.fromisoformat(day) for day in (own.opened if own else ())}
    return WorkingHours(
        weekdays=weekdays, closed=frozenset(closed | _holidays(holding)), opened=frozenset(opened)
    )


def add_days(holding: Holding, key: str, day: date, lag: int) -> date:
    """The day on which ``lag`` whole working days after ``day`` have passed: the first one that is free again."""
    calendar, left, at = working_hours(holding, key), lag, day
    for _turn in range(MOST_DAYS):
        at += timedelta(days=1)
        if calendar.works_on(at):
            if left == 0:
                return at
            left -= 1
    return at


def local_moment(project: Project, at: datetime) -> datetime:
    """The time on the project's own clock."""
    return at.astimezone(ZoneInfo(project.zone))


def local_day(project: Project, at: datetime) -> date:
    """The date on the project's own calendar."""
    return local_moment(project, at).date()


def _weekdays(holding: Holding) -> frozenset[int]:
    entry = holding.newest_entry.get("calendar.working_days")
    named = entry.value if entry else None
    return frozenset(named) if named else USUAL


def _holidays(holding: Holding) -> frozenset[date]:
    entry = holding.newest_entry.get("calendar.holidays")
    if entry is None or not entry.value:
        return frozenset()
    try:
        return public_holidays(str(entry.value), holding.today.year - 1, holding.today.year + 1)
    except UnknownRegion:
        return frozenset()
