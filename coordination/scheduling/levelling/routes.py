"""Schedules of crews that go from site to site: serial generation over single crews."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from ..calendars import DayTables
from ..network import NetworkError, Problem
from .generation import BROKEN, Shop
from .problem import Cost
from .route_problem import RouteProblem

Span = tuple[int, int, str]


@dataclass(frozen=True)
class Route:
    """One feasible answer: first open day and crews by task, its cost, and how many schedules were made for it.

    ``least`` is the cost if every site had the crews for itself: no answer is better.
    """

    starts: Mapping[str, date]
    last_days: Mapping[str, date]
    crews: Mapping[str, tuple[str, ...]]
    cost: Cost
    least: Cost
    tried: int


class RouteShop(Shop):
    """A route problem made ready for many generations. Instants by place as in ``Shop``, then each task's choice."""

    def __init__(self, problem: RouteProblem) -> None:
        super().__init__(problem.pooled)
        self.routes = problem
        keys = [task.key for task in self.passes.tasks]
        self.sites = [problem.sites.get(key, "") for key in keys]
        self.trips = [problem.trips.get(key, key) for key in keys]
        self.calls = [problem.calls.get(key, ()) for key in keys]
        self.roads = {name: self._tables_of(crew.calendar) for name, crew in problem.crews.items()}
        self.away = {name: self._days(crew.away) for name, crew in problem.crews.items()}
        self._met: dict[tuple[int, frozenset[int]], DayTables] = {}
        self.choices = [self._choices(i, key) for i, key in enumerate(keys)]
        self.at_work = [i for i in self.rows if self.calls[i] and self.passes.lengths[i]]
        self.by_day = sorted(self.standing, key=lambda i: self.standing[i])

    def least(self) -> Cost:
        """The cost if crews were never in each other's way."""
        early = self.passes.forward()
        late, length = super().cost(early.at)
        return Cost(late + self.routes.coming * self.routes.least_comings, length)

    def route(self, at: Sequence[int], tried: int) -> Route:
        """A generated schedule as an answer."""
        n, tasks = self.count, self.passes.tasks
        crews = {tasks[i].key: self.choices[i][at[3 * n + i]][0] for i in self.at_work}
        last = {
            tasks[i].key: self.passes.date(max(at[n + i] - 1, at[i] if self.passes.lengths[i] else 0))
            for i in self.rows
        }
        return Route(self.starts(at), last, crews, self.cost(at), self.least(), tried)

    def make(self, order: Sequence[int], wanted: Mapping[str, int]) -> list[int]:
        """A schedule in ``order``; ``wanted`` prefers, by trip, the crew of that number of each kind."""
        self._wanted = wanted
        return self.generate(order)

    _wanted: Mapping[str, int] = {}

    def _generate(self, order: Sequence[int]) -> list[int]:
        n, at = self.count, [*self.passes.at, *([0] * self.count)]
        spans: dict[str, list[Span]] = {name: [] for name in self.routes.crews}
        on_trip: dict[tuple[str, str], str] = {}
        self.clashes = self.comings = 0
        for i in self.by_day:
            self._stand(i, at, spans, on_trip)
        for i in order:
            if i in self.standing:
                continue
            begin, close = self._bounds(i, at)
            if self.calls[i] and self.passes.lengths[i]:
                at[i], at[n + i], at[3 * n + i] = self._best(i, (begin, close), spans, on_trip)
                self._keep(i, at, spans, on_trip)
            else:
                tables, own = self.passes.tables[i], self.passes.lengths[i]
                k = max(tables.index[begin], tables.ending.least[close] - own if close else 0)
                at[i], at[n + i] = tables.day[k], tables.evening[k + own]
        self.comings = sum(
            one[2] != other[2] for stays in spans.values() for one, other in pairwise([(0, 0, ""), *stays])
        )
        return at

    def cost(self, at: Sequence[int]) -> Cost:
        """The cost of a schedule; standing work that no crew can do as it stands costs BROKEN."""
        late, length = super().cost(at)
        return Cost(late + BROKEN * self.clashes + self.routes.coming * self.comings, length)

    def _bounds(self, i: int, at: list[int]) -> tuple[int, int]:
        """The instant before which a task cannot begin, and the one before which it cannot end (0: none)."""
        _, starting, ending, day, evening = self.rows[i]
        k = self.passes.floors[i]
        for place, least, days, more in starting:
            k = max(k, least[at[place] + days] + more)
        close = max((least[at[place] + days] + more for place, least, days, more in ending), default=0)
        return day[k], evening[close] if close > 0 else 0

    def _best(
        self,
        i: int,
        bounds: tuple[int, int],
        spans: Mapping[str, list[Span]],
        on_trip: Mapping[tuple[str, str], str],
    ) -> tuple[int, int, int]:
        """Begin, boundary and choice: the crews that are done first; of those the ones with the least way."""
        found: list[tuple[tuple[int, ...], tuple[int, int, int]]] = []
        wish = self._wanted.get(self.trips[i])
        for number, (crews, tables) in enumerate(self.choices[i]):
            bound = [
                on_trip.get((self.trips[i], kind), name)
                for kind, name in zip(self.calls[i], crews, strict=True)
            ]
            if tuple(bound) != crews:
                continue
            b, e = self._fit(i, crews, tables, bounds, spans)
            liked = 0 if wish is None or wish % len(self.choices[i]) == number else 1
            found.append(((liked, e, self._way_there(i, crews, b, spans), b, number), (b, e, number)))
        return min(found)[1]

    def _fit(
        self,
        i: int,
        crews: tuple[str, ...],
        tables: DayTables,
        bounds: tuple[int, int],
        spans: Mapping[str, list[Span]],
    ) -> tuple[int, int]:
        own, (begin, close) = self.passes.lengths[i], bounds
        k = tables.index[begin]
        if close:
            k = max(k, tables.ending.least[close] - own)
        while True:
            b, e = tables.day[k], tables.evening[k + own]
            later = max(self._free_from(name, b, e, self.sites[i], spans[name]) for name in crews)
            if later <= b:
                return b, e
            k = tables.index[later]

    def _free_from(self, name: str, begin: int, end: int, site: str, spans: list[Span]) -> int:
        """``begin`` when the crew can have that time, else the first instant after what is in its way."""
        clash = (self.away[name] >> begin) & ((1 << (end - begin)) - 1)
        later = begin + clash.bit_length() if clash else begin
        p = bisect_left(spans, (begin, end, ""))
        _, ended, where = spans[p - 1] if p else (0, self.passes.base, self.routes.crews[name].home)
        later = max(later, self.arrival(name, ended, where, site))
        if p < len(spans):
            begun, ended, where = spans[p]
            if begun < self.arrival(name, end, site, where):
                later = max(later, self.arrival(name, ended, where, site))
        return later

    def _is_held(self, name: str, begin: int, end: int, i: int, spans: list[Span]) -> bool:
        """Can the crew not be there? Where work is under way it is there already, at home or elsewhere it is not."""
        if self.passes.tasks[i].started and not any(begun <= begin for begun, *_ in spans):
            home = (self.passes.base, self.passes.base, self.sites[i])
            return self._free_from(name, begin, end, self.sites[i], [home, *spans]) > begin
        return self._free_from(name, begin, end, self.sites[i], spans) > begin

    def arrival(self, name: str, instant: int, one: str, other: str) -> int:
        """When a crew that leaves one place at ``instant`` is at the other, by its own working days."""
        days = self.routes.way(one, other)
        return self.roads[name].after(instant, days) if days else instant

    def _way_there(self, i: int, crews: tuple[str, ...], begin: int, spans: Mapping[str, list[Span]]) -> int:
        """Twice the days on the road to the task; one more for each crew that was somewhere else before."""
        way = 0
        for name in crews:
            p = bisect_left(spans[name], (begin, begin, ""))
            where = spans[name][p - 1][2] if p else self.routes.crews[name].home
            way += 2 * self.routes.way(where, self.sites[i]) + (where != self.sites[i])
        return way

    def _stand(
        self, i: int, at: list[int], spans: dict[str, list[Span]], on_trip: dict[tuple[str, str], str]
    ) -> None:
        """Place work whose day stands already with crews that can do it; a clash where there are none."""
        n, own = self.count, self.passes.lengths[i]
        _, _, _, day, evening = self.rows[i]
        k = self.standing[i]
        at[i], at[n + i] = day[k], evening[k + own]
        if not (self.calls[i] and own):
            return
        found: list[tuple[tuple[int, ...], int, int, int]] = []
        for number, (crews, tables) in enumerate(self.choices[i]):
            bound = tuple(
                on_trip.get((self.trips[i], kind), name)
                for kind, name in zip(self.calls[i], crews, strict=True)
            )
            b = tables.day[tables.index[day[k]]]
            e = tables.evening[tables.index[b] + own]
            begun = self.passes.tasks[i].started is not None
            clashes = sum(self._is_held(name, b, e, i, spans[name]) for name in crews)
            clashes += (bound != crews) + (b != day[k] and not begun)
            found.append(((clashes, e, self._way_there(i, crews, b, spans)), b, e, number))
        (clashes, *_), at[i], at[n + i], at[3 * n + i] = min(found)
        self.clashes += clashes
        self._keep(i, at, spans, on_trip)

    def _keep(
        self, i: int, at: list[int], spans: dict[str, list[Span]], on_trip: dict[tuple[str, str], str]
    ) -> None:
        crews, _ = self.choices[i][at[3 * self.count + i]]
        for kind, name in zip(self.calls[i], crews, strict=True):
            span = (at[i], at[self.count + i], self.sites[i])
            spans[name].insert(bisect_left(spans[name], span), span)
            on_trip.setdefault((self.trips[i], kind), name)

    def _choices(self, i: int, key: str) -> list[tuple[tuple[str, ...], DayTables]]:
        sets = self.routes.choices(key) if self.calls[i] else []
        found = [(crews, self._together(i, crews)) for crews in sets]
        found = [(crews, tables) for crews, tables in found if tables.day]
        if self.calls[i] and self.passes.lengths[i] and not found:
            raise NetworkError([Problem("no common working day", (key, *self.calls[i]))])
        return found

    def _together(self, i: int, crews: tuple[str, ...]) -> DayTables:
        """The days that the task's calendar and all of its crews work."""
        own, others = self.passes.tables[i], [self.roads[name] for name in crews]
        known = (id(own), frozenset(map(id, others)))
        if known not in self._met:
            days = set(own.day).intersection(*(tables.day for tables in others))
            self._met[known] = DayTables([number in days for number in range(own.size - 1)])
        return self._met[known]

    def _tables_of(self, calendar: str) -> DayTables:
        network = self.routes.network
        return network.calendars[calendar].over(network.first, self.passes.size).tables

    def _days(self, days: frozenset[date]) -> int:
        first, last = self.routes.network.first, self.routes.network.last
        return sum(1 << (day - first).days for day in days if first <= day <= last)
