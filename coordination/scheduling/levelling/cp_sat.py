"""Small problems with the constraint solver of OR-Tools: better answers, and proofs.

A task that its calendar spreads over non-working days is as long as its first day makes it, so it gets one
optional interval for each length it can have. Lags counted in working days of a calendar with days off are not
modelled.

Used where it answers in time: up to MOST_TASKS open tasks. More solver workers than processor cores make it slower.
"""

from __future__ import annotations

import threading
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ..network import Link
from .generation import Shop
from .problem import Cost

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

MOST_TASKS = 100


@dataclass(frozen=True)
class Solved:
    """First instants by rank, their cost, a proven bound of what is made small first, and whether that is met."""

    begins: Mapping[int, int]
    cost: Cost
    bound: int
    optimal: bool


def is_modelled(shop: Shop) -> bool:
    """Can the solver be given this shop?"""
    return len(shop.rows) <= MOST_TASKS and all(_has_plain_lag(shop, link) for link in shop.passes.acting)


class Solver:
    """One run of the solver, to be stopped from another thread. The hint is a schedule as instants by place."""

    def __init__(self, shop: Shop, hint: list[int], seed: int, workers: int) -> None:
        from ortools.sat.python import cp_model

        self.shop, self.hint = shop, hint
        self._solver = cp_model.CpSolver()
        self._solver.parameters.random_seed = seed
        self._solver.parameters.num_workers = max(1, workers)
        self._solver.parameters.catch_sigint_signal = False  # its handler takes Ctrl-C from us, or aborts
        self._stopped = threading.Event()

    def stop(self) -> None:
        """End the run soon; what was found so far is kept."""
        self._stopped.set()
        self._solver.stop_search()

    def solve(self, seconds: float) -> Solved | None:
        """The best answer found within the time, or None."""
        from ortools.sat.python import cp_model

        built = _Model(self.shop, self.hint)
        if self._stopped.is_set():
            return None
        self._solver.parameters.max_time_in_seconds = max(0.05, seconds)
        status = self._solver.solve(built.model)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return None
        begins = {i: self._solver.value(begin) for i, begin in built.begins.items()}
        late = sum(self.shop.weights[i] * self._solver.value(days) for i, days in built.lates.items())
        end = self._solver.value(built.end)
        zero = self.shop.passes.number(self.shop.problem.network.start)
        bound = round(self._solver.best_objective_bound) - (0 if built.lates else zero)
        return Solved(begins, Cost(late, end - zero), bound, status == cp_model.OPTIMAL)


class _Model:
    def __init__(self, shop: Shop, hint: list[int]) -> None:
        from ortools.sat.python import cp_model

        self.shop, self.model = shop, cp_model.CpModel()
        room = shop.passes.size // 8 if shop.weighted else 0
        self.most = min(max(hint[: 2 * shop.count]) + room, shop.passes.size - 1)
        self.begins: dict[int, cp_model.IntVar] = {}
        self.ends: dict[int, Any] = {}
        self.closings: dict[int, Any] = {}
        self.uses: list[list[tuple[Any, int]]] = [[] for _ in shop.names]
        for i in shop.rows:
            self._place(i, hint)
        for link in shop.passes.acting:
            self._link(link)
        self._crews()
        self.end = self.model.new_int_var(shop.passes.base, self.most, "end")
        for i in shop.rows:
            self.model.add(self.end >= self.closings[i])
        self.lates = {i: self._late(i) for i in shop.weighted}
        if self.lates:
            self.model.minimize(sum(shop.weights[i] * days for i, days in self.lates.items()))
        else:
            self.model.minimize(self.end)

    def _place(self, i: int, hint: list[int]) -> None:
        from ortools.sat.python import cp_model

        model, length = self.model, self.shop.passes.lengths[i]
        spans = self._spans(i)
        days = sorted(day for begins in spans.values() for day in begins)
        begin = model.new_int_var_from_domain(cp_model.Domain.from_values(days), f"begin {i}")
        model.add_hint(begin, hint[i])
        self.begins[i] = self.ends[i] = self.closings[i] = begin
        if len(spans) == 1:
            (span,) = spans
            self.closings[i] = begin + span
            here = {span: True}
        else:
            self.closings[i] = model.new_int_var(self.shop.passes.base, self.most, f"end {i}")
            here = {span: self._taking(i, span, begins) for span, begins in spans.items()}
            model.add_exactly_one(here.values())
        if length:
            self.ends[i] = self.closings[i]
            for span, taken in here.items():
                self._use(
                    i, model.new_optional_fixed_size_interval_var(begin, span, taken, f"work {i} for {span}")
                )

    def _spans(self, i: int) -> dict[int, list[int]]:
        """First days a task may have, by the days from there to its boundary (for a milestone back to the evening)."""
        passes = self.shop.passes
        _, _, _, day, evening = self.shop.rows[i]
        standing = self.shop.standing.get(i)
        spans: dict[int, list[int]] = {}
        for k in range(passes.floors[i], len(day)) if standing is None else [standing]:
            if (
                k + passes.lengths[i] >= len(evening)
                or max(day[k], evening[k + passes.lengths[i]]) > self.most
            ):
                break
            spans.setdefault(max(passes.base, evening[k + passes.lengths[i]]) - day[k], []).append(day[k])
        return spans

    def _taking(self, i: int, span: int, begins: list[int]) -> Any:
        """A choice: the task takes ``span`` days, which only some first days do."""
        from ortools.sat.python import cp_model

        here = self.model.new_bool_var(f"{i} takes {span}")
        domain = cp_model.Domain.from_values(begins)
        self.model.add_linear_expression_in_domain(self.begins[i], domain).only_enforce_if(here)
        self.model.add(self.closings[i] == self.begins[i] + span).only_enforce_if(here)
        return here

    def _use(self, i: int, interval: Any) -> None:
        if self.shop.passes.lengths[i]:
            for number, count in self.shop.needs[i]:
                self.uses[number].append((interval, count))

    def _link(self, link: Link) -> None:
        passes = self.shop.passes
        before, after = passes.rank[link.before], passes.rank[link.after]
        if passes.tasks[before].finished or (passes.tasks[before].started and link.kind in ("SS", "SF")):
            at_end = link.kind in ("FS", "FF")
            x: Any = passes.at[passes.count + before] if at_end else passes.at[2 * passes.count + before]
        else:
            x = self.ends[before] if link.kind in ("FS", "FF") else self.begins[before]
        reached = self.ends[after] if link.kind in ("FF", "SF") else self.begins[after]
        self.model.add(reached >= x + link.lag)

    def _crews(self) -> None:
        for number, name in enumerate(self.shop.names):
            crew, uses = self.shop.problem.crews[name], self.uses[number][:]
            for day, count in crew.away.items():
                instant = self.shop.passes.number(day)
                if 0 <= instant < self.most:
                    uses.append(
                        (self.model.new_fixed_size_interval_var(instant, 1, f"away {name} {day}"), count)
                    )
            if uses:
                intervals, counts = zip(*uses, strict=True)
                self.model.add_cumulative(intervals, counts, crew.count)

    def _late(self, i: int) -> Any:
        days = self.model.new_int_var(0, self.most, f"late {i}")
        self.model.add(days >= self.closings[i] - self.shop.due[i])
        return days


def _has_plain_lag(shop: Shop, link: Link) -> bool:
    """Is the lag a number of days, whatever the date?"""
    if not link.lag or link.unit == "calendar":
        return True
    calendar = shop.problem.network.calendars[link.calendar] if link.calendar else None
    after = shop.passes.tables[shop.passes.rank[link.after]]
    tables = calendar.tables if calendar else after
    return len(tables.day) == tables.size - 1 and len(after.day) == after.size - 1
