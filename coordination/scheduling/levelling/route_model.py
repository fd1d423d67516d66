"""A route problem in the words of OR-Tools' constraint solver: begins, choices of crews, and each crew's way."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from .route_checker import route_cost, route_faults
from .route_windows import Windows
from .routes import Route, RouteShop

if TYPE_CHECKING:
    from ortools.sat.python import cp_model


@dataclass(frozen=True)
class Proven:
    """The best route of the solver, or None, and a cost in days late that no route is under."""

    route: Route | None
    bound: int
    optimal: bool


@dataclass
class _Work:
    """One task in the model: its begin and boundary, and of crewed work the choice of its crews."""

    begin: Any
    end: Any
    rows: list[tuple[int, int, int]]
    choices: dict[int, Any] = field(default_factory=dict)


class RouteModel:
    """The whole problem: choices, links, routes of the crews, and what it costs."""

    def __init__(self, shop: RouteShop, windows: Windows, known: Route) -> None:
        from ortools.sat.python import cp_model

        self.shop, self.windows, self.known, self.model = shop, windows, known, cp_model.CpModel()
        self._arrivals: dict[tuple[str, int, int], Any] = {}
        self.work = {i: self._placed(i) for i in shop.rows}
        for i in shop.rows:
            self._link(i)
        self._trips()
        self.comings = [coming for name in shop.routes.crews for coming in self._route(name)]
        self.lates = {i: self._late(i) for i in shop.weighted}
        cost = sum(shop.weights[i] * days for i, days in self.lates.items())
        self.model.minimize(cost + shop.routes.coming * sum(self.comings))

    def solved(self, solver: cp_model.CpSolver, known: Route, seconds: float) -> Proven:
        """Run the solver, and read its answer as a route that the independent checker has passed."""
        from ortools.sat.python import cp_model

        solver.parameters.max_time_in_seconds = max(0.05, seconds)
        status = solver.solve(self.model)
        if status == cp_model.INFEASIBLE:
            raise AssertionError("The solver calls a route impossible that the checker has passed.")
        bound = max(known.least.late, round(solver.best_objective_bound)) if status != cp_model.UNKNOWN else 0
        route = self._read(solver) if status in (cp_model.OPTIMAL, cp_model.FEASIBLE) else None
        return Proven(route, bound, status == cp_model.OPTIMAL)

    def _read(self, solver: cp_model.CpSolver) -> Route:
        shop, passes = self.shop, self.shop.passes
        begin = {i: solver.value(work.begin) for i, work in self.work.items()}
        close = {i: solver.value(work.end) for i, work in self.work.items()}
        crews = {
            passes.tasks[i].key: shop.choices[i][number][0]
            for i in shop.at_work
            for number, chosen in self.work[i].choices.items()
            if solver.boolean_value(chosen)
        }
        starts = {passes.tasks[i].key: passes.date(begin[i]) for i in shop.rows}
        last = {
            passes.tasks[i].key: passes.date(max(close[i] - 1, begin[i] if passes.lengths[i] else 0))
            for i in shop.rows
        }
        if faults := route_faults(shop.routes, starts, crews):
            raise AssertionError(f"A route that the checker refuses: {faults}")
        return Route(starts, last, crews, route_cost(shop.routes, starts, crews), self.known.least, 0)

    def _placed(self, i: int) -> _Work:
        """Begin and boundary of a task, tied by the calendar of whoever works it."""
        pairs = {number: [*self._days(i, number)] for number in self._numbers(i)}
        begins = sorted({begin for each in pairs.values() for begin, _ in each})
        ends = sorted({end for each in pairs.values() for _, end in each})
        begin, end = self._variable(begins, f"begin {i}"), self._variable(ends, f"end {i}")
        rows = [(b, e, number) for number, each in pairs.items() for b, e in each]
        b, e, number = self._as_known(i, rows)
        self.model.add_hint(begin, b)
        self.model.add_hint(end, e)
        if len(pairs) == 1 and not self._is_crewed(i):
            self.model.add_allowed_assignments([begin, end], [row[:2] for row in rows])
            return _Work(begin, end, rows)
        choice = self._variable([*pairs], f"choice {i}")
        self.model.add_hint(choice, number)
        self.model.add_allowed_assignments([begin, end, choice], rows)
        return _Work(
            begin, end, rows, {number: self._is(choice, number, f"{i} by {number}") for number in pairs}
        )

    def _as_known(self, i: int, rows: list[tuple[int, int, int]]) -> tuple[int, int, int]:
        """Begin, boundary and choice of the route at hand."""
        key = self.shop.passes.tasks[i].key
        day, crews = self.shop.passes.number(self.known.starts[key]), self.known.crews.get(key)
        return next(
            (
                row
                for row in rows
                if row[0] == day and (not crews or self.shop.choices[i][row[2]][0] == crews)
            ),
            rows[0],
        )

    def _variable(self, values: list[int], name: str) -> Any:
        from ortools.sat.python import cp_model

        return self.model.new_int_var_from_domain(cp_model.Domain.from_values(values), name)

    def _is(self, choice: Any, number: int, name: str) -> Any:
        chosen = self.model.new_bool_var(name)
        self.model.add(choice == number).only_enforce_if(chosen)
        self.model.add(choice != number).only_enforce_if(~chosen)
        return chosen

    def _is_crewed(self, i: int) -> bool:
        return bool(self.shop.calls[i] and self.shop.passes.lengths[i])

    def _numbers(self, i: int) -> range:
        return range(len(self.shop.choices[i])) if self._is_crewed(i) else range(1)

    def _days(self, i: int, number: int) -> Iterator[tuple[int, int]]:
        """Each begin that these crews can have, with its boundary."""
        passes, own = self.shop.passes, self.shop.passes.lengths[i]
        day, evening = passes.tables[i].day, passes.tables[i].evening
        crews, tables = self.shop.choices[i][number] if self._is_crewed(i) else ((), passes.tables[i])
        first, last = self.windows.first[i], self.windows.last[i]
        if i in self.shop.standing:
            first = last = self.shop.standing[i]
        if not crews:
            yield from ((day[k], evening[k + own]) for k in range(first, last + 1))
            return
        for k in range(tables.index[day[first]], len(tables.day) - own):
            begin, end = tables.day[k], tables.evening[k + own]
            if i in self.shop.standing:
                if begin == day[first] or passes.tasks[i].started:
                    yield begin, end
                return
            if begin > day[last]:
                return
            if not any((self.shop.away[name] >> begin) & ((1 << (end - begin)) - 1) for name in crews):
                yield begin, end

    def _link(self, i: int) -> None:
        """What a task waits for, as the passes have it."""
        if self.shop.passes.tasks[i].started:
            return
        tables = self.shop.passes.tables[i]
        _, starting, ending, day, evening = self.shop.rows[i]
        for steps, reached, plain, instants in (
            (starting, self.work[i].begin, tables.starting.least, day),
            (ending, self.work[i].end, tables.ending.least, evening),
        ):
            for place, least, days, more in steps:
                x = self._at(place)
                if least is plain and not more:
                    self.model.add(reached >= x + days)
                else:
                    self.model.add(reached >= self._asked(x, (least, days, more), instants))

    def _at(self, place: int) -> Any:
        n = self.shop.count
        rank = place % n
        if place < n and rank in self.work:
            return self.work[rank].begin
        if n <= place < 2 * n and rank in self.work:
            return self.work[rank].end
        return self.shop.passes.at[place]

    def _asked(self, x: Any, step: tuple[list[int], int, int], instants: list[int]) -> Any:
        """The instant that a lag counted in working days asks for."""
        least, days, more = step

        def asked(instant: int) -> int:
            try:
                return instants[least[instant + days] + more]
            except IndexError:
                return self.shop.passes.size

        return asked(x) if isinstance(x, int) else self._of(x, asked)

    def _of(self, x: Any, function: Callable[[int], int]) -> Any:
        """A variable that is ``function`` of ``x``."""
        values = [*x.proto.domain]
        low, high = values[0], values[-1]
        table = [function(instant) for instant in range(low, high + 1)]
        found = self.model.new_int_var(min(table), max(table), f"of {x.name}")
        self.model.add_element(x - low, table, found)
        return found

    def _trips(self) -> None:
        """The same crew of each kind all through a trip."""
        by_trip: dict[tuple[str, str, str], list[Any]] = {}
        for i in self.shop.at_work:
            for place, kind in enumerate(self.shop.calls[i]):
                for name in self.shop.routes.kinds[kind]:
                    sent = self._sent(i, place, name)
                    by_trip.setdefault((self.shop.trips[i], kind, name), []).append(sent)
        for first, *others in by_trip.values():
            for other in others:
                self.model.add(other == first)

    def _sent(self, i: int, place: int, name: str) -> Any:
        """Whether a crew is sent to a task in one of its callings, as a sum of its choices."""
        chosen = self.work[i].choices
        return sum(chosen[number] for number in chosen if self.shop.choices[i][number][0][place] == name)

    def _route(self, name: str) -> Iterator[Any]:
        """One crew's way from task to task; yields what counts as coming to a site from another one."""
        shop, arcs = self.shop, list[tuple[int, int, Any]]()
        mine = {}
        for i in shop.at_work:
            numbers = [number for number in self.work[i].choices if name in shop.choices[i][number][0]]
            if numbers:
                mine[i] = self._here(i, name, numbers)
        node = {i: number for number, i in enumerate(mine, 1)}
        idle = self.model.new_bool_var(f"{name} stays at home")
        arcs.append((0, 0, idle))
        for i, here in mine.items():
            self.model.add_implication(idle, ~here)
            arcs.append((node[i], node[i], ~here))
            arcs.append((node[i], 0, self.model.new_bool_var(f"{name} ends with {i}")))
            first = self.model.new_bool_var(f"{name} begins with {i}")
            arcs.append((0, node[i], first))
            self._from_home(name, i, first)
            if shop.sites[i]:
                yield first
        for i in mine:
            for j in mine:
                if i != j and self._can_follow(i, j):
                    then = self.model.new_bool_var(f"{name} from {i} to {j}")
                    arcs.append((node[i], node[j], then))
                    self._from_to(name, i, j, then)
                    if shop.sites[i] != shop.sites[j]:
                        yield then
        self.model.add_circuit(arcs)
        self.model.add_no_overlap([self._stay(i, name, here) for i, here in mine.items()])

    def _stay(self, i: int, name: str, here: Any) -> Any:
        """The time a task takes of a crew: what the arcs say already, in a form that the solver reasons with sooner."""
        begin, end = self.work[i].begin, self.work[i].end
        longest = max(e - b for b, e, _ in self.work[i].rows)
        length = self.model.new_int_var(1, longest, f"length of {i} for {name}")
        return self.model.new_optional_interval_var(begin, length, end, here, f"{name} at {i}")

    def _here(self, i: int, name: str, numbers: list[int]) -> Any:
        chosen = [self.work[i].choices[number] for number in numbers]
        if len(chosen) == 1:
            return chosen[0]
        here = self.model.new_bool_var(f"{name} works {i}")
        self.model.add(sum(chosen) == here)
        return here

    def _can_follow(self, i: int, j: int) -> bool:
        one, other = [*self.work[i].begin.proto.domain], [*self.work[j].begin.proto.domain]
        return bool(one[0] < other[-1])

    def _from_home(self, name: str, j: int, first: Any) -> None:
        shop = self.shop
        if shop.passes.tasks[j].started:
            return
        arrival = shop.arrival(name, shop.passes.base, shop.routes.crews[name].home, shop.sites[j])
        self.model.add(self.work[j].begin >= arrival).only_enforce_if(first)

    def _from_to(self, name: str, i: int, j: int, then: Any) -> None:
        shop, one, other = self.shop, self.work[i], self.work[j]
        days = shop.routes.way(shop.sites[i], shop.sites[j])
        there = one.end if not days else self._there(name, i, days)
        self.model.add(other.begin >= there).only_enforce_if(then)

    def _there(self, name: str, i: int, days: int) -> Any:
        """When a crew that leaves a task has ``days`` on the road behind it, by its own working days."""
        known = self._arrivals.get((name, i, days))
        if known is None:
            roads, most = self.shop.roads[name], self.shop.passes.size
            known = self._of(self.work[i].end, lambda instant: min(most, roads.after(instant, days)))
            self._arrivals[name, i, days] = known
        return known

    def _late(self, i: int) -> Any:
        days = self.model.new_int_var(0, self.shop.passes.size, f"late {i}")
        self.model.add(days >= self.work[i].end - self.shop.due[i])
        self.model.add(days >= self.shop.passes.base - self.shop.due[i])
        return days
