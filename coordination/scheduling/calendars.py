"""Which days are worked, as dense integer tables.

An *instant* is the start of a day. Inside this package instants are whole numbers counted from the first
day of an axis; a task that works the days k .. k+d-1 of its calendar starts at the instant of its first
worked day and ends at the *boundary*, the instant after its last one.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property, lru_cache
from itertools import accumulate
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy
    from numpy.typing import NDArray

MONDAY_TO_FRIDAY = frozenset(range(5))
EVERY_DAY = frozenset(range(7))
FAR = 1 << 40


class CalendarError(ValueError):
    """A calendar that cannot be: ``kind`` says why, ``days`` are the days it is about."""

    def __init__(self, kind: str, days: Sequence[date] = ()) -> None:
        self.kind, self.days = kind, tuple(days)
        super().__init__(" ".join([kind, *(day.isoformat() for day in self.days)]))


class OutOfHorizon(ValueError):
    """A date left the days for which calendars are known, ``first`` .. ``last``.

    ``subject`` is the key of the task concerned, empty where no single task is to blame.
    """

    def __init__(self, first: date, last: date, subject: str = "", wanted: str = "") -> None:
        self.first, self.last, self.subject, self.wanted = first, last, subject, wanted
        about = f"{subject}: " if subject else ""
        super().__init__(
            f"{about}{wanted or 'a date'} lies outside {first.isoformat()} .. {last.isoformat()}"
        )


@dataclass(frozen=True)
class WorkCalendar:
    """Working days from ``start`` on, for ``horizon_days`` days.

    ``weekdays`` are worked (0 is Monday), except the days ``closed``; the days ``opened`` are worked besides.
    Begin the calendar well before the project (a year is usual): dates that were missed lie in the past.

    Raises CalendarError when no day is worked, a weekday does not exist, or a day is both closed and opened.
    """

    start: date
    horizon_days: int = 2200
    weekdays: frozenset[int] = MONDAY_TO_FRIDAY
    closed: frozenset[date] = frozenset()
    opened: frozenset[date] = frozenset()

    def __post_init__(self) -> None:
        if self.horizon_days < 1:
            raise CalendarError("horizon too short")
        if not self.weekdays <= EVERY_DAY:
            raise CalendarError("no such weekday")
        if both := self.closed & self.opened:
            raise CalendarError("closed and opened", sorted(both))
        if not self.tables.day:
            raise CalendarError("no working day")

    def __reduce__(self) -> tuple[type[WorkCalendar], tuple[object, ...]]:
        """Another process makes its own tables."""
        return WorkCalendar, (self.start, self.horizon_days, self.weekdays, self.closed, self.opened)

    @property
    def last(self) -> date:
        """The last day the calendar knows of."""
        return self.start + timedelta(days=self.horizon_days - 1)

    @cached_property
    def tables(self) -> DayTables:
        """The calendar as tables whose day 0 is ``start``."""
        return _tables(self)

    def over(self, start: date, horizon_days: int) -> WorkCalendar:
        """The same rule of work over other days."""
        if (start, horizon_days) == (self.start, self.horizon_days):
            return self
        return WorkCalendar(start, horizon_days, self.weekdays, self.closed, self.opened)

    def is_working(self, day: date) -> bool:
        """Is ``day`` worked? Raises OutOfHorizon."""
        self._number(day)
        return self.is_rule_worked(day)

    def roll_forward(self, day: date) -> date:
        """``day`` itself when worked, else the next working day. Raises OutOfHorizon."""
        return self.add(day, 0)

    def add(self, day: date, working_days: int) -> date:
        """Roll ``day`` forward to a working day, then go on (or back) so many working days. Raises OutOfHorizon."""
        k = self.tables.index[self._number(day)] + working_days
        if not 0 <= k < len(self.tables.day):
            raise OutOfHorizon(
                self.start, self.last, wanted=f"{day.isoformat()} {working_days:+d} working days"
            )
        return self.start + timedelta(days=self.tables.day[k])

    def count(self, begin: date, end: date) -> int:
        """Working days from ``begin`` up to, not including, ``end``; negative when end is earlier."""
        return self.tables.index[self._number(end)] - self.tables.index[self._number(begin)]

    def _number(self, day: date) -> int:
        number = (day - self.start).days
        if not 0 <= number <= self.horizon_days:
            raise OutOfHorizon(self.start, self.last, wanted=day.isoformat())
        return number

    def is_rule_worked(self, day: date) -> bool:
        """Is ``day`` worked by the rule, whether or not the tables know it?"""
        return day in self.opened or (day.weekday() in self.weekdays and day not in self.closed)


class Bound:
    """One rule "an index is at least least[x]" for instants x, and its exact inverse.

    ``greatest[v]`` is the last instant whose least index is still v or less. Both lists go on after their
    true part: past the horizon, then (reached by negative subscripts) before the first day. Forward, a
    subscript before the first day binds nothing and one past the horizon gives FAR, which no table holds;
    backward it is the other way round. So the passes need no range checks: they meet an IndexError.
    """

    def __init__(self, least: list[int]) -> None:
        size = len(least)
        self.least = _shared(least) + [FAR] * size + [0] * size
        self.greatest = _shared(_inverse(least)) + [size - 1] * size + [-FAR] * size

    @cached_property
    def array(self) -> NDArray[numpy.int64]:
        """``least`` for many instants at once."""
        import numpy as np

        return np.array(self.least)


class DayTables:
    """Tables of one calendar; ``worked[n]`` says whether day n is worked.

    - ``index[x]``: working days before instant x (so: the index of the first working day at or after x)
    - ``day[k]``: number of the k-th working day
    - ``evening[m]``: the boundary after m worked days; ``evening[0]`` is 0
    """

    def __init__(self, worked: Sequence[bool]) -> None:
        self.size = len(worked) + 1
        self.day = _shared([number for number, is_worked in enumerate(worked) if is_worked])
        self.evening = _shared([0, *(number + 1 for number in self.day)])
        self.starting = Bound([0, *accumulate(map(int, worked))])
        self.index = self.starting.least
        self._delayed: dict[tuple[int, int, bool], tuple[DayTables, Bound]] = {}

    @cached_property
    def ending(self) -> Bound:
        """Least number of worked days whose boundary is at or after an instant."""
        index, evening = self.index, self.evening
        return Bound([m if evening[m] >= x else m + 1 for x, m in enumerate(index[: self.size])])

    def after(self, instant: int, days: int) -> int:
        """The instant ``days`` working days after ``instant`` (before it, when negative), not before day 0.

        Forward that is the evening of the last counted day, backward the morning of the first.
        """
        m = self.index[instant] + days
        if days > 0:
            return self.evening[m] if m < len(self.evening) else FAR
        return instant if days == 0 else self.day[max(m, 0)]

    def delayed(self, lag: int, counted_in: DayTables, ends: bool) -> Bound:
        """The bound of this calendar after a lag counted in the working days of another one."""
        known = self._delayed.get((lag, id(counted_in), ends))
        if known is None:
            least = (self.ending if ends else self.starting).least
            moved = (counted_in.after(instant, lag) for instant in range(self.size))
            known = counted_in, Bound([least[x] if x < FAR else FAR for x in moved])
            self._delayed[lag, id(counted_in), ends] = known
        return known[1]


@lru_cache(maxsize=64)
def _tables(calendar: WorkCalendar) -> DayTables:
    """Shared by equal calendars: making them costs more than scheduling a whole project."""
    days = (calendar.start + timedelta(days=n) for n in range(calendar.horizon_days))
    return DayTables([calendar.is_rule_worked(day) for day in days])


_WHOLE: list[int] = []


def _shared(numbers: list[int]) -> list[int]:
    """The same numbers as the same objects in every table, so that the tables of a project fit into the cache."""
    most = max((number for number in numbers if number < FAR), default=0)
    _WHOLE.extend(range(len(_WHOLE), most + 1))
    return [_WHOLE[number] if 0 <= number < FAR else number for number in numbers]


def _inverse(least: list[int]) -> list[int]:
    inverse = [-FAR] * (max(value for value in least if value < FAR) + 1)
    for instant, value in enumerate(least):
        if value < FAR:
            inverse[value] = instant
    return list(accumulate(inverse, max))
