"""Hours that count while people are at work: an answer asked for on Friday afternoon is due on Monday."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta

COVERING_HOURS = 4
MOST_DAYS = 3660


class NoWorkingDay(ValueError):
    """No working day comes within ten years: the calendar is wrong."""


@dataclass(frozen=True)
class WorkingHours:
    """When people answer on a site. ``weekdays``: 0 is Monday.

    07:00 to 15:00 without the break, eight hours, is a usual day of site trades: common practice, no source.
    """

    weekdays: frozenset[int] = frozenset({0, 1, 2, 3, 4})
    closed: Collection[date] = field(default_factory=frozenset)
    opened: Collection[date] = field(default_factory=frozenset)
    begins: time = time(7)
    ends: time = time(15)

    def works_on(self, day: date) -> bool:
        """An opened day outweighs its weekday and a closing."""
        return day in self.opened or (day.weekday() in self.weekdays and day not in self.closed)


def due_after(asked: datetime, hours: int, calendar: WorkingHours) -> datetime:
    """The moment ``hours`` working hours after ``asked``, in the zone of ``asked`` as clocks on its walls show it.

    Hours that end exactly with the day are due that evening, not the next morning.
    Raises NoWorkingDay, and ValueError when ``hours`` is not positive or the day has no length.
    """
    if hours <= 0 or calendar.begins >= calendar.ends:
        raise ValueError("Working hours are asked for by the hour, within a day that has some.")
    left = timedelta(hours=hours)
    for begin, end in _spans(asked.replace(tzinfo=None, fold=0), calendar):
        if begin + left <= end:
            return (begin + left).replace(tzinfo=asked.tzinfo)
        left -= end - begin
    raise NoWorkingDay(asked.isoformat())


def answer_hours(asked: Collection[int], *, about_to_be_covered: bool, otherwise: int = 8) -> int:
    """How long a reviewer has: four hours where work is about to be covered, else the shortest of ``asked``."""
    return COVERING_HOURS if about_to_be_covered else min(asked, default=otherwise)


def _spans(asked: datetime, calendar: WorkingHours) -> Iterator[tuple[datetime, datetime]]:
    for ahead in range(MOST_DAYS):
        day = asked.date() + timedelta(days=ahead)
        if not calendar.works_on(day):
            continue
        begin, end = datetime.combine(day, calendar.begins), datetime.combine(day, calendar.ends)
        if end > asked:
            yield max(begin, asked), end


def halfway(asked: datetime, due: datetime, calendar: WorkingHours) -> datetime:
    """When half of the working time between ``asked`` and ``due`` has passed, both in one zone; ``due`` where none is.

    So whoever has four hours is reminded after two of them, and nobody by night.
    """
    end = due.replace(tzinfo=None, fold=0)
    spans: list[tuple[datetime, datetime]] = []
    for begin, close in _spans(asked.replace(tzinfo=None, fold=0), calendar):
        if begin >= end:
            break
        spans.append((begin, min(close, end)))
    left = sum((close - begin for begin, close in spans), timedelta()) / 2
    for begin, close in spans:
        if begin + left <= close:
            return (begin + left).replace(tzinfo=asked.tzinfo)
        left -= close - begin
    return due
