"""Tasks, links and calendars of one project, checked and put in order.

Durations and working lags are whole working days, calendar lags whole days.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import Literal, get_args

from .calendars import OutOfHorizon, WorkCalendar

Kind = Literal["FS", "SS", "FF", "SF"]
Unit = Literal["working", "calendar"]
Order = Literal["retained", "override"]


@dataclass(frozen=True)
class Problem:
    """One thing wrong with a network. ``kind`` is a fixed phrase, ``subject`` the keys it is about."""

    kind: str
    subject: tuple[str, ...]
    wanted: str = ""

    def __str__(self) -> str:
        wanted = f" (wanted: {self.wanted})" if self.wanted else ""
        return f"{self.kind}: {' > '.join(self.subject)}{wanted}"


class NetworkError(ValueError):
    """A network that cannot be scheduled; ``problems`` names everything found wrong."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("; ".join(map(str, self.problems)))


@dataclass(frozen=True)
class Task:
    """One piece of work of ``duration`` working days in the calendar called ``calendar``.

    ``not_before`` is the first day it may begin, ``due`` the last day it may end, ``started`` and
    ``finished`` the first and last day worked as they happened. ``remaining`` are the working days still to
    do from the data date; when a begun task does not say, its duration less the working days since it
    began, and at least one. A milestone has no duration.
    """

    key: str
    duration: int
    calendar: str
    not_before: date | None = None
    due: date | None = None
    started: date | None = None
    remaining: int | None = None
    finished: date | None = None
    milestone: bool = False


@dataclass(frozen=True)
class Link:
    """``after`` waits for ``before``.

    FS: starts no earlier than before's boundary plus the lag; SS: than its start; FF: its boundary is no
    earlier than before's boundary plus the lag; SF: than before's start plus the lag. A working lag counts in
    the calendar of ``after`` or in the one named; a calendar lag counts every day.
    """

    before: str
    after: str
    kind: Kind = "FS"
    lag: int = 0
    unit: Unit = "working"
    calendar: str | None = None


@dataclass(frozen=True)
class Network:
    """Everything a schedule depends on. Raises NetworkError or OutOfHorizon naming what is wrong.

    No early date lies before ``start`` or ``data_date``; what ``started`` and ``finished`` tell of happened on
    the data date or before. ``order`` decides for tasks begun although a finish-to-start predecessor was not
    finished: "retained" lets their remaining work wait for it, "override" lets it go on.
    """

    tasks: tuple[Task, ...]
    links: tuple[Link, ...]
    calendars: Mapping[str, WorkCalendar]
    start: date
    data_date: date | None = None
    order: Order = "retained"

    def __post_init__(self) -> None:
        if problems := [*self._problems()]:
            raise NetworkError(problems)
        for subject, wanted, day in self._days():
            if not self.first <= day <= self.last:
                raise OutOfHorizon(self.first, self.last, subject, f"{wanted} {day.isoformat()}")
        if ring := self._ring():
            raise NetworkError([Problem("ring of links", ring)])

    @cached_property
    def first(self) -> date:
        """First day that all calendars know."""
        return max(calendar.start for calendar in self.calendars.values())

    @cached_property
    def last(self) -> date:
        """Last day that all calendars know."""
        return min(calendar.last for calendar in self.calendars.values())

    @cached_property
    def position(self) -> dict[str, int]:
        """Position of each task key in ``tasks``."""
        return {task.key: position for position, task in enumerate(self.tasks)}

    @cached_property
    def in_order(self) -> tuple[int, ...]:
        """Positions of the tasks, each after all that it waits for; ties in the order given.

        Tasks that wait for each other in a ring are left out.
        """
        position, waiting = self.position, [0] * len(self.tasks)
        followers: list[list[int]] = [[] for _ in self.tasks]
        for link in self.links:
            followers[position[link.before]].append(position[link.after])
            waiting[position[link.after]] += 1
        order = [p for p, count in enumerate(waiting) if not count]
        for p in order:
            for follower in followers[p]:
                waiting[follower] -= 1
                if not waiting[follower]:
                    order.append(follower)
        return tuple(order)

    def _problems(self) -> Iterator[Problem]:
        if not self.calendars:
            yield Problem("no calendar", ())
        if self.order not in get_args(Order):
            yield Problem("unknown order", (str(self.order),), " or ".join(get_args(Order)))
        for key, count in Counter(task.key for task in self.tasks).items():
            if count > 1:
                yield Problem("key used twice", (key,))
        for task in self.tasks:
            for kind, wanted in _faults(task, self):
                yield Problem(kind, (task.key,), wanted)
        for link in self.links:
            yield from self._link_problems(link)

    def _link_problems(self, link: Link) -> Iterator[Problem]:
        ends = link.before, link.after
        for key in ends:
            if key not in self.position:
                yield Problem("link to an unknown task", (*ends, key))
        if link.before == link.after:
            yield Problem("link to itself", ends)
        if link.kind not in get_args(Kind):
            yield Problem("unknown kind of link", (*ends, str(link.kind)), ", ".join(get_args(Kind)))
        if link.unit not in get_args(Unit):
            yield Problem("unknown unit of lag", (*ends, str(link.unit)), " or ".join(get_args(Unit)))
        if link.calendar is not None and link.calendar not in self.calendars:
            yield Problem("unknown calendar", (*ends, link.calendar), ", ".join(self.calendars))
        if link.calendar is not None and link.unit == "calendar":
            yield Problem("calendar lag in a named calendar", (*ends, link.calendar), 'unit "working"')
        if not isinstance(link.lag, int):
            yield Problem("lag is no whole number", ends)
        elif self.calendars and abs(link.lag) > (self.last - self.first).days:
            yield Problem("lag longer than the calendars", ends)

    def _days(self) -> Iterator[tuple[str, str, date]]:
        yield "", "start", self.start
        if self.data_date is not None:
            yield "", "data date", self.data_date
        for task in self.tasks:
            for wanted in "not_before", "due", "started", "finished":
                day = getattr(task, wanted)
                if day is not None:
                    yield task.key, wanted.replace("_", " "), day

    def _ring(self) -> tuple[str, ...]:
        """The keys of one ring of links, its first key again at the end; empty when there is none."""
        stuck = {self.tasks[p].key for p in set(range(len(self.tasks))) - set(self.in_order)}
        if not stuck:
            return ()
        waits_for = {link.after: link.before for link in self.links if {link.before, link.after} <= stuck}
        path = [next(task.key for task in self.tasks if task.key in waits_for)]
        while path[-1] not in path[:-1]:
            path.append(waits_for[path[-1]])
        return tuple(reversed(path[path.index(path[-1]) :]))


def _faults(task: Task, network: Network) -> Iterator[tuple[str, str]]:
    """What is wrong with one task, as (kind, wanted)."""
    if not task.key:
        yield "empty key", ""
    for name in "duration", "remaining":
        days = getattr(task, name)
        if days is not None and (not isinstance(days, int) or days < 0):
            yield f"{name} is no whole number of days", "0 or more"
    if task.milestone and task.duration:
        yield "milestone with a duration", "0"
    if task.calendar not in network.calendars:
        yield "unknown calendar", ", ".join(network.calendars)
    yield from _progress_faults(task, network.data_date)


def _progress_faults(task: Task, data_date: date | None) -> Iterator[tuple[str, str]]:
    happened = [day for day in (task.started, task.finished) if day is not None]
    if happened and data_date is None:
        yield "progress without a data date", "data_date"
    elif happened and data_date is not None and max(happened) > data_date:
        yield "progress after the data date", f"{data_date.isoformat()} or before"
    if task.remaining is not None and task.started is None:
        yield "remaining work of a task not begun", "started"
    if task.finished is None:
        return
    if task.started is None:
        yield "finished but not begun", "started"
    elif task.started > task.finished + timedelta(days=1 if not task.duration else 0):
        yield "finished before it began", ""
    if task.remaining:
        yield "finished with work remaining", "0"
