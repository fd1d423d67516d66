"""Calendar-aware serial generation: tasks in a given order, each as early as its links and its crews allow.

The days from the first open one on, on which at least m crews of a kind are taken, are the bits of one whole
number for each m (a thermometer code). So looking for a gap and taking it are a few operations on whole numbers,
however long the time is.
"""

# ruff: noqa: PLR1730  A comparison takes half the time of max() where most of the time is spent.

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from ..calendars import OutOfHorizon
from ..passes import Passes
from .problem import Cost, CrewProblem

BROKEN = 10**9


class Shop:
    """A crew problem made ready for many generations. Tasks go by rank, as in ``passes``."""

    def __init__(self, problem: CrewProblem) -> None:
        self.problem, self.passes = problem, Passes(problem.network)
        self.count = self.passes.count
        self.names = [*problem.crews]
        numbers = {name: number for number, name in enumerate(self.names)}
        keys = [task.key for task in self.passes.tasks]
        self.needs = [
            [(numbers[name], count) for name, count in problem.needs.get(key, {}).items() if count]
            for key in keys
        ]
        self.before: list[list[int]] = [[] for _ in keys]
        for link in self.passes.acting:
            self.before[self.passes.rank[link.after]].append(self.passes.rank[link.before])
        self.weights = [problem.weights.get(key, 0) for key in keys]
        self.due = [self.passes.number(task.due) + 1 if task.due else 0 for task in self.passes.tasks]
        self.rows = {row[0]: row for row in self.passes.rows}
        self.weighted = [i for i in self.rows if self.passes.tasks[i].due and self.weights[i]]
        self.zero = self.passes.number(problem.network.start)
        self.taken = [self._taken_from_the_start(name) for name in self.names]
        self.standing = self._standing()

    def latest_starts(self) -> list[float]:
        """Latest start of each task by its due dates, crews left aside: the first priority to try."""
        early = self.passes.forward()
        late = self.passes.backward(early)
        return [float(self.passes.tables[i].day[k]) for i, k in enumerate(late.ordinal)]

    def in_order(self, priority: Sequence[float]) -> list[int]:
        """Open ranks by priority, each after all it waits for, and straight after it where its priority is lower."""
        raised = list(priority)
        for i, before in enumerate(self.before):
            for other in before:
                raised[i] = max(raised[i], raised[other])
        return sorted(self.rows, key=lambda i: (raised[i], i))

    def generate(self, order: Sequence[int]) -> list[int]:
        """Instants by place (see ``passes``) when tasks are placed in ``order``. Raises OutOfHorizon."""
        try:
            return self._generate(order)
        except IndexError:
            raise OutOfHorizon(self.problem.network.first, self.problem.network.last) from None

    def _generate(self, order: Sequence[int]) -> list[int]:
        n, lengths, floors, rows = self.count, self.passes.lengths, self.passes.floors, self.rows
        needs, tables, base = self.needs, self.passes.tables, self.passes.base
        at, taken = self.with_standing()
        for i in order:
            if i in self.standing:
                continue
            _, starting, ending, day, evening = rows[i]
            k, own = floors[i], lengths[i]
            for place, least, days, more in starting:
                bound = least[at[place] + days] + more
                if bound > k:
                    k = bound
            for place, least, days, more in ending:
                bound = least[at[place] + days] + more - own
                if bound > k:
                    k = bound
            begin, end = day[k], evening[k + own]
            if own and needs[i]:
                blocked = 0
                for number, count in needs[i]:
                    blocked |= taken[number][-count]
                while clash := (blocked >> (begin - base)) & ((1 << (end - begin)) - 1):
                    k = tables[i].index[begin + clash.bit_length()]
                    begin, end = day[k], evening[k + own]
                _take(taken, needs[i], ((1 << (end - begin)) - 1) << (begin - base))
            at[i], at[n + i] = begin, end
        return at

    def cost(self, at: Sequence[int]) -> Cost:
        """The cost of a generated schedule; a standing task that its links would not let stand costs BROKEN a day."""
        n, base = self.count, self.passes.base
        late = sum(self.weights[i] * max(0, max(base, at[n + i]) - self.due[i]) for i in self.weighted)
        late += BROKEN * sum(max(0, self._earliest(at, i) - k) for i, k in self.standing.items())
        end = max([base if self.rows else self.zero, *at[n : n + n]])
        return Cost(late, end - self.zero)

    def _earliest(self, at: Sequence[int], i: int) -> int:
        _, starting, ending, _, _ = self.rows[i]
        own = self.passes.lengths[i]
        bounds = [least[at[place] + days] + more for place, least, days, more in starting]
        bounds += [least[at[place] + days] + more - own for place, least, days, more in ending]
        return max([0, *bounds])

    def starts(self, at: Sequence[int]) -> dict[str, date]:
        """First open days by key."""
        return {self.passes.tasks[i].key: self.passes.date(at[i]) for i in self.rows}

    def _taken_from_the_start(self, name: str) -> list[int]:
        """For m = 1 .. count the days on which at least m crews are away."""
        crew = self.problem.crews[name]
        first, last = self.passes.date(self.passes.base), self.problem.network.last
        away = {(day - first).days: count for day, count in crew.away.items() if first <= day <= last}
        return [sum(1 << day for day, count in away.items() if count > m) for m in range(crew.count)]

    def with_standing(self) -> tuple[list[int], list[list[int]]]:
        """Instants and taken crews before anything is placed that can be moved."""
        at, taken = self.passes.at[:], [levels[:] for levels in self.taken]
        for i, k in self.standing.items():
            _, _, _, day, evening = self.rows[i]
            at[i], at[self.count + i] = day[k], evening[k + self.passes.lengths[i]]
            begin = max(self.passes.base, at[i])
            days = max(0, at[self.count + i] - begin)  # a milestone ends the evening before
            _take(taken, self.needs[i], ((1 << days) - 1) << (begin - self.passes.base))
        return at, taken

    def _standing(self) -> dict[int, int]:
        """Ordinals of the tasks whose days stand already, by rank."""
        standing = {i: self.passes.floors[i] for i in self.rows if self.passes.tasks[i].started}
        for key, day in self.problem.fixed.items():
            i = self.passes.rank[key]
            if i in self.rows:
                standing[i] = self.passes.tables[i].index[self.passes.number(day)]
        return standing


def _take(taken: list[list[int]], needs: list[tuple[int, int]], days: int) -> None:
    """Add ``needs`` to what is taken on ``days``, a whole number with a bit for each."""
    for number, count in needs:
        levels = taken[number]
        for m in range(len(levels) - 1, count - 1, -1):
            levels[m] |= levels[m - count] & days
        for m in range(min(count, len(levels))):
            levels[m] |= days
