"""What one window's slip is made of: who waited, what took longer, and each cause's share of it.

A window lies between two stored updates. Each task's own part is taken apart: the working days for which it had not
begun although everything before it allowed it to (``wait``), and those that its work took more than was planned, or
fewer (``longer``). What only follows from other tasks is no part of its own. The plan of the earlier update with all
parts gives what happened; with some of them, what would have happened with these alone. On that the causes play:
each gets its Shapley value (see ``delays``), so that causes that act at the same time share what either alone would
have caused.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Literal

from .calendars import OutOfHorizon
from .critical_path import schedule
from .delays import Share, shares, with_progress_of
from .network import Link, Network, Task
from .passes import Passes

Kind = Literal["wait", "longer"]
ONE = timedelta(days=1)
BEFORE = "wait for "
MARGIN_DAYS = 14
COUNTED, SAMPLED_ORDERS = 10, 300


@dataclass(frozen=True)
class Part:
    """Working days of one task: of waiting from ``first`` on, or of more work (less, when negative)."""

    task: str
    kind: Kind
    days: int
    first: date


@dataclass(frozen=True)
class Cause:
    """What stands behind some days of one or several tasks; ``party`` is who it lies with, empty for nobody."""

    key: str
    party: str
    parts: tuple[Part, ...]


@dataclass(frozen=True)
class Account:
    """One window. ``progress`` and ``logic`` are calendar days of the end; shares add up to ``explained``.

    ``causes`` is by cause, ``parties`` a game of its own in which all causes of a party come together. What is left
    of ``progress`` is work out of order, which no single cause stands for.
    """

    begin: date
    end: date
    planned: date
    expected: date
    progress: int
    logic: int
    explained: int
    causes: tuple[Share[str], ...]
    parties: tuple[Share[str], ...]
    critical_chain: tuple[str, ...]

    @property
    def left(self) -> int:
        """Days of progress that no part explains."""
        return self.progress - self.explained


def parts_of(earlier: Network, later: Network) -> tuple[Part, ...]:
    """Each task's own part in what happened between two updates, in the order of the earlier network.

    Raises OutOfHorizon.
    """
    return _Replay(earlier, later).parts()


def account(earlier: Network, later: Network, causes: Sequence[Cause]) -> Account:
    """Share the slip between two updates among ``causes``. Raises OutOfHorizon, ValueError for a cause listed twice."""
    before, between = schedule(earlier), schedule(with_progress_of(earlier, later))
    after = schedule(later)
    game = _Game(earlier, causes)
    return Account(
        begin=earlier.data_date or earlier.start,
        end=later.data_date or later.start,
        planned=before.last_day,
        expected=after.last_day,
        progress=(between.end - before.end).days,
        logic=(after.end - between.end).days,
        explained=game.slip(frozenset(cause.key for cause in causes)),
        causes=game.by_cause(),
        parties=game.by_party(),
        critical_chain=between.critical_chain,
    )


class _Replay:
    """Goes through the earlier plan in order with what really happened, and sees where each task added its own."""

    def __init__(self, earlier: Network, later: Network) -> None:
        self.earlier, self.data_date = earlier, later.data_date or later.start
        self.seen: Mapping[str, Task] = {task.key: task for task in later.tasks}
        self.passes, self.after = Passes(earlier), Passes(later)
        self.model = _Model(earlier, [task.key for task in earlier.tasks if not task.started])

    def parts(self) -> tuple[Part, ...]:
        found: list[Part] = []
        waits: dict[str, int] = {}
        lengths: dict[str, int] = {}
        for task in (self.earlier.tasks[position] for position in self.earlier.in_order):
            seen = self.seen.get(task.key)
            if task.finished or seen is None:
                continue
            wait = self._wait(task, seen, waits, lengths)
            if wait:
                waits[task.key] = wait.days
                found.append(wait)
            longer = self._longer(task, seen)
            if longer:
                lengths[task.key] = longer.days
                found.append(longer)
        return tuple(found)

    def _wait(
        self, task: Task, seen: Task, waits: Mapping[str, int], lengths: Mapping[str, int]
    ) -> Part | None:
        """Working days from the first one on which it could have begun to the one on which it did, or to now."""
        if task.started:
            return None
        began = seen.started or self.data_date
        if seen.finished and not self.passes.lengths[self.passes.rank[task.key]]:
            began = seen.finished + ONE  # a gate opens the way for the day after
        early = self.model.passes.forward(self.model.lengths(waits, lengths))
        allowed = self.model.passes.date(early.at[self.model.passes.rank[task.key]])
        calendar = self.earlier.calendars[task.calendar]
        if began <= allowed:
            return None
        days = calendar.count(allowed, began)
        return Part(task.key, "wait", days, allowed) if days > 0 else None

    def _longer(self, task: Task, seen: Task) -> Part | None:
        rank = self.passes.rank[task.key]
        planned = self.passes.lengths[rank]
        if not planned or not seen.started:
            return None
        calendar = self.earlier.calendars[task.calendar]
        begin = (self.earlier.data_date or seen.started) if task.started else seen.started
        end = seen.finished + ONE if seen.finished else self.data_date
        left = 0 if seen.finished else self.after.lengths[self.after.rank[task.key]]
        took = max(1, max(0, calendar.count(begin, end)) + left)
        return Part(task.key, "longer", took - planned, begin) if took != planned else None


class _Model:
    """The earlier network with room for waiting before the tasks that waited."""

    def __init__(self, network: Network, waiting: Iterable[str]) -> None:
        waited = set(waiting)
        tasks: list[Task] = []
        for task in network.tasks:
            if task.key in waited:
                tasks += [
                    Task(BEFORE + task.key, 0, task.calendar, task.not_before),
                    replace(task, not_before=None),
                ]
            else:
                tasks.append(task)
        links = [_routed(link, network, waited) for link in network.links]
        links += [Link(BEFORE + key, key) for key in waited]
        self.network = replace(network, tasks=tuple(tasks), links=tuple(links))
        self.passes = Passes(replace(self.network, tasks=tuple(map(_with_length, self.network.tasks))))
        for key in waited:
            self.passes.lengths[self.passes.rank[BEFORE + key]] = 0

    def lengths(self, waits: Mapping[str, int], longer: Mapping[str, int]) -> list[int]:
        found = self.passes.lengths[:]
        for key, days in waits.items():
            found[self.passes.rank[BEFORE + key]] = days
        for key, days in longer.items():
            found[self.passes.rank[key]] = max(1, found[self.passes.rank[key]] + days)
        return found


def _with_length(task: Task) -> Task:
    """A wait is prepared as work of a day: its boundary is what the task behind it sees, also when it is nothing."""
    return replace(task, duration=1) if task.key.startswith(BEFORE) else task


def _routed(link: Link, network: Network, waited: set[str]) -> Link:
    if link.after not in waited or link.kind in ("FF", "SF"):
        return link
    calendar = link.calendar
    if calendar is None and link.unit == "working":
        calendar = network.tasks[network.position[link.after]].calendar
    return replace(link, after=BEFORE + link.after, calendar=calendar)


class _Game:
    def __init__(self, network: Network, causes: Sequence[Cause]) -> None:
        self.causes = {cause.key: cause for cause in causes}
        if len(self.causes) < len(causes):
            raise ValueError("cause listed twice")
        parts = [part for cause in causes for part in cause.parts]
        self.network = network
        self.model = _Model(network, {part.task for part in parts if part.kind == "wait"})
        self.nothing = self._end(frozenset())
        self.acting = self._acting()

    def slip(self, chosen: frozenset[str]) -> int:
        """Calendar days of the end with these causes."""
        return self._end(chosen) - self.nothing

    def by_cause(self) -> tuple[Share[str], ...]:
        return shares(self.acting, self.slip, orders=SAMPLED_ORDERS, most_exact=COUNTED)

    def by_party(self) -> tuple[Share[str], ...]:
        of = {key: self.causes[key].party for key in self.acting}
        parties = tuple(dict.fromkeys(of.values()))
        return shares(
            parties, lambda chosen: self.slip(frozenset(key for key, party in of.items() if party in chosen)),
            orders=SAMPLED_ORDERS, most_exact=COUNTED,
        )  # fmt: skip

    def _end(self, chosen: frozenset[str]) -> int:
        waits, longer = self._days(chosen)
        try:
            return self.model.passes.forward(self.model.lengths(waits, longer)).end
        except IndexError:
            raise OutOfHorizon(self.network.first, self.network.last) from None

    def _days(self, chosen: frozenset[str]) -> tuple[dict[str, int], dict[str, int]]:
        waits, longer = dict[str, int](), dict[str, int]()
        for key in chosen:
            for part in self.causes[key].parts:
                days = waits if part.kind == "wait" else longer
                days[part.task] = days.get(part.task, 0) + part.days
        return waits, longer

    def _acting(self) -> tuple[str, ...]:
        """The causes that can move the end at all: the others would only make the count of sets larger.

        A cause cannot when the longest way through its tasks, every delay counted, ends two weeks or more before
        the end that every gain alone would give.
        """
        gains = frozenset(
            key for key, cause in self.causes.items() if all(part.days < 0 for part in cause.parts)
        )
        waits, longer = self._days(frozenset(self.causes) - gains)
        passes, lengths = self.model.passes, self.model.lengths(waits, longer)
        early = passes.forward(lengths)
        late = passes.backward(early, lengths, heed_due=False)
        least = self._end(gains) - MARGIN_DAYS

        def way(task: str) -> int:
            rank = passes.rank[task]
            day = passes.tables[rank].day
            return early.end - (day[late.ordinal[rank]] - day[early.ordinal[rank]])

        return tuple(
            key for key, cause in self.causes.items() if any(way(part.task) >= least for part in cause.parts)
        )
