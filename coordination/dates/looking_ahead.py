"""The next three weeks: which work lies in them, and on which days it is done."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from coordination.dates.dating import DatedPlan
from coordination.scheduling.critical_path import Dates

DAYS: Final = 21


@dataclass(frozen=True)
class Window:
    """Three weeks of calendar days from ``first`` on, both ends included."""

    first: date

    @property
    def last(self) -> date:
        return self.first + timedelta(days=DAYS - 1)

    @property
    def days(self) -> tuple[date, ...]:
        return tuple(self.first + timedelta(days=n) for n in range(DAYS))


@dataclass(frozen=True)
class Ahead:
    """A task that is worked at, or could be, within the window: ``days`` are those days.

    ``goes_on`` says that it ends after the window.
    """

    key: str
    dates: Dates
    days: frozenset[date]
    goes_on: bool


def ahead(dated: DatedPlan, keys: Iterable[str], window: Window) -> list[Ahead]:
    """Of the tasks in ``keys`` those still to finish that lie in the window, by first day of work to come."""
    found = [each for key in keys if (each := _ahead(dated, key, window)) is not None]
    return sorted(found, key=lambda each: (_begin(each.dates), each.dates.early_last_day, each.key))


def _ahead(dated: DatedPlan, key: str, window: Window) -> Ahead | None:
    network, dates = dated.schedule.network, dated.tasks[key]
    task = network.tasks[network.position[key]]
    first, last = _begin(dates), max(_begin(dates), dates.early_last_day)
    if task.finished is not None or first > window.last or last < window.first:
        return None
    calendar = network.calendars[task.calendar]
    worked = frozenset(day for day in window.days if first <= day <= last and calendar.is_working(day))
    return Ahead(key, dates, worked, last > window.last)


def _begin(dates: Dates) -> date:
    """The first day of work to come: of begun work the day on which the rest goes on."""
    return dates.resumes or dates.early_start
