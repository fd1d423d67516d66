"""The calendars of a project: what the site facts say, and what people set beside it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from coordination.projects.models import Calendar
from coordination.projects.public_holidays import public_holidays
from coordination.scheduling.calendars import MONDAY_TO_FRIDAY, WorkCalendar

MARGIN = timedelta(days=400)
HORIZON = timedelta(days=2200)
DAYS_A_WORKING_DAY = 8


@dataclass(frozen=True)
class CalendarFacts:
    """What the facts say of days. The site's weekdays are the site's alone; holidays hold for everybody."""

    weekdays: frozenset[int] = MONDAY_TO_FRIDAY
    holidays: str = ""


def calendars_of(
    facts: CalendarFacts,
    own: Mapping[str, Calendar],
    keys: Iterable[str],
    days: Iterable[date],
    work: int = 0,
) -> dict[str, WorkCalendar]:
    """A calendar for each of ``keys``, reaching well before the first and after the last of ``days``.

    After the last there is room for ``work`` working days one after another, even at one working day a week.
    """
    listed = [*days]
    first = min(listed) - MARGIN
    last = max(listed) + max(HORIZON, timedelta(days=DAYS_A_WORKING_DAY * work))
    holidays = public_holidays(facts.holidays, first.year, last.year) if facts.holidays else frozenset()

    def calendar(key: str) -> WorkCalendar:
        set_by_people = own.get(key) or Calendar(key=key)
        derived = facts.weekdays if key == "site" else MONDAY_TO_FRIDAY
        weekdays = set_by_people.weekdays
        opened = _days(set_by_people.opened)
        return WorkCalendar(
            start=first,
            horizon_days=(last - first).days,
            weekdays=derived if weekdays is None else frozenset(weekdays),
            closed=(holidays | _days(set_by_people.closed)) - opened,
            opened=opened,
        )

    return {key: calendar(key) for key in sorted(keys)}


def _days(listed: Iterable[str]) -> frozenset[date]:
    return frozenset(map(date.fromisoformat, listed))
