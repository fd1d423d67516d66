"""The two passes over whole numbers: instants counted from the first day that all calendars of a network know.

Every link is one step of a table (see calendars.Bound): forward the successor's index is at least
``least[x + days] + more`` for the predecessor's instant x; backward x is at most
``greatest[index - more] - days``. For links that bind the successor's boundary the index counts its days too.

Tasks go by their rank, their place in an order in which each comes after all it waits for. In the list of
instants task i starts at i and ends at n+i; the start of work already begun stands at 2n+i. A task without
length has one instant, the morning of its start; its boundary, the evening before, counts only against due
dates and the end of the project. So it never lets work go ahead that it waits for itself.
"""

# ruff: noqa: PLR1730  A comparison takes half the time of min() and max() in loops that are all the time there is.

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from functools import cached_property
from typing import NamedTuple

from .calendars import Bound, DayTables
from .network import Link, Network, Task

# place, table, days, more: as explained above. Plain tuples, which Python unpacks faster than named ones.
Step = tuple[int, list[int], int, int]
# rank; links that bind the start; links that bind the boundary; days and evenings of the calendar
Row = tuple[int, tuple[Step, ...], tuple[Step, ...], list[int], list[int]]
# rank; boundary that the due date allows; links that wait for the start, for the boundary; index of the calendar
BackRow = tuple[int, int, tuple[Step, ...], tuple[Step, ...], list[int]]


class Early(NamedTuple):
    """Result of the forward pass: instants by place, ordinal of the first open working day by rank, the end."""

    at: list[int]
    ordinal: list[int]
    end: int


class Late(NamedTuple):
    """Result of the backward pass: late ordinal and floats in working days by rank."""

    ordinal: list[int]
    total: list[int]
    free: list[int]


class Passes:
    """A network made ready for many forward and backward passes.

    ``lengths`` are the working days still to do, by rank; both passes take other lengths
    for what-if questions, as long as what has no length keeps none.
    """

    def __init__(self, network: Network) -> None:
        self.network, self.count = network, len(network.tasks)
        self.tasks = [network.tasks[position] for position in network.in_order]
        self.rank = {task.key: rank for rank, task in enumerate(self.tasks)}
        self.size = (network.last - network.first).days + 1
        self._tables = {
            name: calendar.over(network.first, self.size).tables
            for name, calendar in network.calendars.items()
        }
        self.tables = [self._tables[task.calendar] for task in self.tasks]
        self.base = self.number(max(network.start, network.data_date or network.start))
        self.lengths = [
            self._length(task, tables) for task, tables in zip(self.tasks, self.tables, strict=True)
        ]
        self.floors = [
            self._floor(task, tables) for task, tables in zip(self.tasks, self.tables, strict=True)
        ]
        self.acting = [link for link in network.links if self._acts(link)]
        self.at = self._known_instants()
        self._link()

    def number(self, day: date) -> int:
        """The instant at which ``day`` begins."""
        return (day - self.network.first).days

    def date(self, instant: int) -> date:
        """The day that begins at ``instant``."""
        return self.network.first + timedelta(days=instant)

    def forward(self, lengths: Sequence[int] | None = None, floors: Sequence[int] | None = None) -> Early:
        """Earliest instants. Raises IndexError when a date passes the horizon.

        ``floors`` are the least indices of the tasks by rank, links apart.
        """
        d = self.lengths if lengths is None else lengths
        n, at, index = self.count, self.at[:], list(self.floors if floors is None else floors)
        for i, starting, ending, day, evening in self.rows:
            k = index[i]
            for place, least, days, more in starting:
                bound = least[at[place] + days] + more
                if bound > k:
                    k = bound
            if ending:
                own = d[i]
                for place, least, days, more in ending:
                    bound = least[at[place] + days] + more - own
                    if bound > k:
                        k = bound
            index[i] = k
            at[i] = day[k]
            at[n + i] = evening[k + d[i]]
        end = max(at[n : n + n], default=self.base)
        return Early(at, index, max(end, self.base) if self.rows else end)

    def backward(  # noqa: C901  One loop, because calls would take longer than what they do.
        self, early: Early, lengths: Sequence[int] | None = None, *, heed_due: bool = True
    ) -> Late:
        """Latest indices and floats for the end found by ``forward``. Raises IndexError as it does.

        ``heed_due=False`` leaves due dates out.
        """
        d = self.lengths if lengths is None else lengths
        n, end = self.count, early.end
        soon = early.ordinal + list(map(int.__add__, early.ordinal, d))
        late, free = soon[:], early.ordinal[:]
        unbound = self.size - 1
        for i, last, starts, ends, index in self.back_rows:
            own, finish, finish_free = d[i], end, end
            if heed_due and last < end:
                finish = last
            for place, greatest, days, more in ends:
                x = greatest[late[place] - more] - days
                if x < finish:
                    finish = x
                x = greatest[soon[place] - more] - days
                if x < finish_free:
                    finish_free = x
            k, k_free = index[finish] - own, index[finish_free] - own
            if starts:
                begin = begin_free = unbound
                for place, greatest, days, more in starts:
                    x = greatest[late[place] - more] - days
                    if x < begin:
                        begin = x
                    x = greatest[soon[place] - more] - days
                    if x < begin_free:
                        begin_free = x
                other, other_free = index[begin + 1] - 1, index[begin_free + 1] - 1
                if other < k:
                    k = other
                if other_free < k_free:
                    k_free = other_free
            late[i], late[n + i], free[i] = k, k + own, k_free
        if n and min(late) < 0:
            raise IndexError
        return Late(
            late[:n], [*map(int.__sub__, late, early.ordinal)], [*map(int.__sub__, free, early.ordinal)]
        )

    def bound_of(self, link: Link, early: Early) -> int:
        """The least index of its successor that an acting ``link`` asks for."""
        (place, least, days, more), ends = self._step(link)
        bound = least[early.at[place] + days] + more
        return bound - self.lengths[self.rank[link.after]] if ends else bound

    def late_bound_of(self, link: Link, late: Late) -> int:
        """The greatest index of its predecessor that an acting ``link`` allows."""
        ends = self._binds_end(link)
        bound, days, more = self._bound(link, ends)
        before, after = self.rank[link.before], self.rank[link.after]
        x = bound.greatest[late.ordinal[after] + (self.lengths[after] if ends else 0) - more] - days
        index, place = self.tables[before].index, self._place(link)
        return index[x] - self.lengths[before] if self.count <= place < 2 * self.count else index[x + 1] - 1

    def bound_if_later(self, link: Link, early: Early) -> int:
        """The same bound if its predecessor began one of its own working days later."""
        (place, least, days, more), ends = self._step(link)
        before, after = self.rank[link.before], self.rank[link.after]
        tables, k = self.tables[before], early.ordinal[before] + 1
        if place < self.count:
            x = tables.day[k]
        elif place < 2 * self.count:
            x = tables.evening[k + self.lengths[before]]
        else:
            x = early.at[place]
        bound = least[x + days] + more
        return bound - self.lengths[after] if ends else bound

    def bounds(self) -> list[list[tuple[int, int, Bound, int, int, bool]]]:
        """By rank, each link as: rank of its predecessor, place, bound, days, more, does it bind the boundary."""
        found: list[list[tuple[int, int, Bound, int, int, bool]]] = [[] for _ in self.tasks]
        for link in self.acting:
            ends = self._binds_end(link)
            found[self.rank[link.after]].append(
                (self.rank[link.before], self._place(link), *self._bound(link, ends), ends)
            )
        return found

    @cached_property
    def incoming(self) -> dict[str, list[Link]]:
        """Acting links by the key of their successor."""
        found: dict[str, list[Link]] = {task.key: [] for task in self.network.tasks}
        for link in self.acting:
            found[link.after].append(link)
        return found

    @cached_property
    def outgoing(self) -> dict[str, list[Link]]:
        """Acting links by the key of their predecessor."""
        found: dict[str, list[Link]] = {task.key: [] for task in self.network.tasks}
        for link in self.acting:
            found[link.before].append(link)
        return found

    def _length(self, task: Task, tables: DayTables) -> int:
        if task.finished:
            return 0
        if task.remaining is not None or not task.started or not task.duration:
            return task.duration if task.remaining is None else task.remaining
        done = tables.index[self.base] - tables.index[self.number(task.started)]
        return max(1, task.duration - done)

    def _floor(self, task: Task, tables: DayTables) -> int:
        not_before = self.base if task.started or not task.not_before else self.number(task.not_before)
        return tables.index[max(self.base, not_before)]

    def _known_instants(self) -> list[int]:
        at, n = [0] * (3 * self.count), self.count
        for i, task in enumerate(self.tasks):
            if task.started:
                at[2 * n + i] = self.number(task.started)
            if task.finished:
                at[i] = at[2 * n + i]
                at[n + i] = self.number(task.finished) + 1
        return at

    def _acts(self, link: Link) -> bool:
        before = self.tasks[self.rank[link.before]]
        after = self.tasks[self.rank[link.after]]
        if after.finished or (after.started and link.kind == "SS"):
            return False
        if after.started and link.kind == "FS":
            return self.network.order == "retained" and not before.finished
        return True

    def _binds_end(self, link: Link) -> bool:
        return link.kind in ("FF", "SF") and self.lengths[self.rank[link.after]] > 0

    def _place(self, link: Link) -> int:
        i = self.rank[link.before]
        task = self.tasks[i]
        if link.kind in ("SS", "SF") and task.started:
            return 2 * self.count + i
        if task.finished:
            return self.count + i
        return self.count + i if link.kind in ("FS", "FF") and self.lengths[i] else i

    def _bound(self, link: Link, ends: bool) -> tuple[Bound, int, int]:
        """Table, days added before the look-up, index added after it."""
        tables = self.tables[self.rank[link.after]]
        counted_in = tables if link.calendar is None else self._tables[link.calendar]
        if link.unit == "calendar" or not link.lag:
            return (tables.ending if ends else tables.starting), link.lag, 0
        if counted_in is tables and (link.lag > 0 or not ends):
            return tables.starting, 0, link.lag
        return tables.delayed(link.lag, counted_in, ends), 0, 0

    def _step(self, link: Link) -> tuple[Step, bool]:
        ends = self._binds_end(link)
        bound, days, more = self._bound(link, ends)
        return (self._place(link), bound.least, days, more), ends

    def _link(self) -> None:
        """Lay out the steps of both passes, each in the order in which its pass goes.

        With ten thousand tasks a pass waits for memory more than for anything else: so its steps are made one after
        the other, and equal places are one object.
        """
        n, places = self.count, list(range(3 * self.count))
        starting, ending, starts, ends = (_lists(n), _lists(n), _lists(n), _lists(n))
        befores = [self.rank[link.before] for link in self.acting]
        afters = [self.rank[link.after] for link in self.acting]
        binding = [self._binds_end(link) for link in self.acting]
        bounds = [self._bound(link, binds) for link, binds in zip(self.acting, binding, strict=True)]
        froms = [self._place(link) for link in self.acting]
        for j in sorted(range(len(afters)), key=afters.__getitem__):
            bound, days, more = bounds[j]
            (ending if binding[j] else starting)[afters[j]].append(
                (places[froms[j]], bound.least, days, more)
            )
        for j in sorted(range(len(befores)), key=befores.__getitem__, reverse=True):
            if froms[j] < 2 * n:
                bound, days, more = bounds[j]
                to = places[n + afters[j] if binding[j] else afters[j]]
                (starts if froms[j] < n else ends)[befores[j]].append((to, bound.greatest, days, more))
        open_ranks = [i for i in range(n) if not self.tasks[i].finished]
        self.rows: list[Row] = [
            (i, tuple(starting[i]), tuple(ending[i]), self.tables[i].day, self.tables[i].evening)
            for i in open_ranks
        ]
        self.back_rows: list[BackRow] = [
            (i, self._last(self.tasks[i]), tuple(starts[i]), tuple(ends[i]), self.tables[i].index)
            for i in reversed(open_ranks)
        ]

    def _last(self, task: Task) -> int:
        return self.size if task.due is None else self.number(task.due) + 1


def _lists(count: int) -> list[list[Step]]:
    return [[] for _ in range(count)]
