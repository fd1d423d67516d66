"""Early and late dates, floats, the critical chain, and why each date is what it is.

What people read is the first and the last worked day; a *boundary* is the day after the last. Float counts
working days of the task's own calendar, so it may change along one chain.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import Literal

from .calendars import OutOfHorizon
from .network import Link, Network, Task
from .passes import Early, Late, Passes

Because = Literal["link", "project start", "data date", "not before", "begun", "finished"]


@dataclass(frozen=True)
class Dates:
    """The dates of one task.

    A milestone starts on the morning from which what follows may begin; its last day and boundary are those of
    the evening before. ``resumes`` is the first day on which the rest of a begun task goes on. Floats are None
    once the task is finished. ``because`` says what sets the early dates: the link ``driver``, or a date.
    ``due_of`` is the key of the task whose due date sets the late dates, None where the end of the project does.
    """

    early_start: date
    early_last_day: date
    early_boundary: date
    late_start: date
    late_last_day: date
    late_boundary: date
    total_float: int | None
    free_float: int | None
    critical: bool
    driver: Link | None
    because: Because
    resumes: date | None = None
    due_of: str | None = None


@dataclass(frozen=True)
class OpenEnd:
    """A start that waits for nothing, or a finish that nothing waits for."""

    key: str
    end: Literal["start", "finish"]


def schedule(network: Network) -> Schedule:
    """Dates of every task of ``network``. Raises OutOfHorizon when a date leaves its calendars."""
    return Schedule(network)


class Schedule:
    """The answer for one network. Dates of single tasks are worked out when asked for."""

    def __init__(self, network: Network, passes: Passes | None = None) -> None:
        self.network = network
        self._passes = passes or Passes(network)
        try:
            self._early: Early = self._passes.forward()
            self._late: Late = self._passes.backward(self._early)
        except IndexError:
            raise OutOfHorizon(network.first, network.last) from None
        self.tasks: Mapping[str, Dates] = _Tasks(self)

    @property
    def end(self) -> date:
        """The latest boundary of all tasks: the first day on which everything is done."""
        return self._passes.date(self._early.end)

    @property
    def last_day(self) -> date:
        """The day before ``end``, or the project's first day where there is no work."""
        return self._passes.date(max(self._early.end - 1, self._passes.number(self.network.start)))

    @cached_property
    def critical_chain(self) -> tuple[str, ...]:
        """One driving chain, in order of time, that ends with the task that finishes last; finished work left out."""
        if self._last_task is None:
            return ()
        chain = [self._last_task]
        while (link := self.driver(chain[-1])) and not self._task(link.before).finished:
            chain.append(link.before)
        return tuple(reversed(chain))

    @cached_property
    def critical(self) -> frozenset[str]:
        """Tasks without float, and the critical chain with all whose delay by one working day pushes it.

        Float alone would miss a chain that waits for a weekend somewhere on its way.
        """
        tasks = self._passes.tasks
        found = {
            t.key for t, days in zip(tasks, self._late.total, strict=True) if days <= 0 and not t.finished
        }
        found |= set(self.critical_chain)
        to_follow = [*self.critical_chain]
        while to_follow:
            new = {link.before for link in self._pushing(to_follow.pop())} - found
            found |= new
            to_follow += new
        return frozenset(found)

    @cached_property
    def open_ends(self) -> tuple[OpenEnd, ...]:
        """Open starts and finishes, in the order of the tasks, besides the first start and the last finish."""
        starts, finishes = self._open("start"), self._open("finish")
        position, early = self.network.position, self._early
        first = min(starts, key=lambda key: early.at[self._passes.rank[key]], default=None)
        last = self._last_task if self._last_task in finishes else None
        found = [OpenEnd(key, "start") for key in starts if key != first]
        found += [OpenEnd(key, "finish") for key in finishes if key != last]
        return tuple(sorted(found, key=lambda open_end: (position[open_end.key], open_end.end == "finish")))

    @cached_property
    def out_of_order(self) -> tuple[Link, ...]:
        """Links whose successor's start or finish happened while what it waits for is still to come."""
        return tuple(link for link in self.network.links if self._is_out_of_order(link))

    def driver(self, key: str) -> Link | None:
        """The link that sets the early dates of ``key``: of several, the one whose predecessor has least float.

        A finished predecessor drives only where its link asks for more than the project start, the data date or
        the task's own not-before date.
        """
        i = self._passes.rank[key]
        k = self._early.ordinal[i]
        held_anyway = k == self._passes.floors[i]
        driving = [
            link
            for link in self._passes.incoming[key]
            if self._passes.bound_of(link, self._early) == k
            and not (held_anyway and self._task(link.before).finished)
        ]
        return min(driving, key=self._float_before, default=None)

    def _dates(self, key: str) -> Dates:
        i = self._passes.rank[key]
        task, early, late = self._passes.tasks[i], self._early.ordinal[i], self._late.ordinal[i]
        driver, done = self.driver(key), task.finished is not None
        first, last, boundary = self._span(i, early)
        late_first, late_last, late_boundary = self._span(i, late)
        resumes = first if task.started and not done else None
        if task.started:
            first = late_first = task.started
        if task.finished:
            last = late_last = task.finished
            boundary = late_boundary = task.finished + timedelta(days=1)
        return Dates(
            early_start=first,
            early_last_day=last,
            early_boundary=boundary,
            late_start=late_first,
            late_last_day=late_last,
            late_boundary=late_boundary,
            total_float=None if done else self._late.total[i],
            free_float=None if done else self._late.free[i],
            critical=key in self.critical,
            driver=driver,
            because=self._because(i, driver),
            resumes=resumes,
            due_of=self._due_of_task.get(key),
        )

    @cached_property
    def _last_task(self) -> str | None:
        """Of the open tasks that end last, the one that comes last in order."""
        ends = self._early.at[self._passes.count :]
        still_open = [(ends[i], i) for i, task in enumerate(self._passes.tasks) if not task.finished]
        return self._passes.tasks[max(still_open)[1]].key if still_open else None

    @cached_property
    def _due_of_task(self) -> dict[str, str]:
        """For each task whose late date a due date sets, the key of the task that has that due date."""
        passes, late, found = self._passes, self._late, dict[str, str]()
        without = passes.backward(self._early, heed_due=False)
        for i, task in reversed([*enumerate(self._passes.tasks)]):
            if task.finished or late.ordinal[i] == without.ordinal[i]:
                continue
            setters = (
                found[link.after]
                for link in passes.outgoing[task.key]
                if link.after in found and passes.late_bound_of(link, late) == late.ordinal[i]
            )
            found[task.key] = next(setters, task.key)
        return found

    def _task(self, key: str) -> Task:
        return self._passes.tasks[self._passes.rank[key]]

    def _span(self, i: int, k: int) -> tuple[date, date, date]:
        """First day, last day and boundary of the open work of task i from index k on."""
        passes, tables = self._passes, self._passes.tables[i]
        boundary = tables.evening[k + passes.lengths[i]]
        last_day = boundary - 1
        if k >= tables.index[passes.base]:
            boundary, last_day = max(boundary, passes.base), max(last_day, passes.base)
        return passes.date(tables.day[k]), passes.date(last_day), passes.date(boundary)

    def _because(self, i: int, driver: Link | None) -> Because:
        task, tables, base = self._passes.tasks[i], self._passes.tables[i], self._passes.base
        if task.started:
            return "finished" if task.finished else "begun"
        if driver:
            return "link"
        if task.not_before and self._early.ordinal[i] > tables.index[base]:
            return "not before"
        return "project start" if base == self._passes.number(self.network.start) else "data date"

    def _float_before(self, link: Link) -> int:
        before = self._passes.rank[link.before]
        return self._late.total[before]

    def _pushing(self, key: str) -> list[Link]:
        return [
            link
            for link in self._passes.incoming[key]
            if not self._task(link.before).finished and self._pushes(link)
        ]

    def _pushes(self, link: Link) -> bool:
        k = self._early.ordinal[self._passes.rank[link.after]]
        try:
            return self._passes.bound_if_later(link, self._early) > k
        except IndexError:
            return True

    def _open(self, end: Literal["start", "finish"]) -> list[str]:
        """Keys of the tasks without a link that binds their start, or that waits for their finish."""
        if end == "start":
            tied = {
                link.after
                for link in self.network.links
                if self._is_point(link.after) or link.kind in ("FS", "SS")
            }
        else:
            tied = {
                link.before
                for link in self.network.links
                if self._is_point(link.before) or link.kind in ("FS", "FF")
            }
        return [task.key for task in self.network.tasks if task.key not in tied]

    def _is_point(self, key: str) -> bool:
        return self._task(key).duration == 0

    def _is_out_of_order(self, link: Link) -> bool:
        before, after = self._task(link.before), self._task(link.after)
        to_come = before.finished is None if link.kind in ("FS", "FF") else before.started is None
        happened = after.started is not None if link.kind in ("FS", "SS") else after.finished is not None
        return to_come and happened


class _Tasks(Mapping[str, Dates]):
    """Dates by task key, each worked out once."""

    def __init__(self, of: Schedule) -> None:
        self._of, self._known = of, dict[str, Dates]()

    def __getitem__(self, key: str) -> Dates:
        if key not in self._known:
            self._known[key] = self._of._dates(key)
        return self._known[key]

    def __iter__(self) -> Iterator[str]:
        return (task.key for task in self._of.network.tasks)

    def __len__(self) -> int:
        return len(self._of.network.tasks)
