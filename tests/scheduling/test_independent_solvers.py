"""Both passes against networkx and scipy, with calendars and all kinds of link.

"Task b has begun by its day k" asks, for each link, that what it waits for has begun by some day of its own: that day is
found by trying, with no tables. Early dates are then the first days of which nothing impossible follows, late dates
the first days that follow from the end of the project: reachability in a graph, or a linear program.
"""

from datetime import timedelta

import networkx
import numpy
from hypothesis import given, settings
from scipy.optimize import linprog

from coordination.scheduling.critical_path import schedule
from tests.scheduling.by_hand import ByHand, worked
from tests.scheduling.networks import networks

CAREFUL = settings(max_examples=40, deadline=None)
MORE_DAYS = 15


class Statements:
    """Every "task has begun by day k" and what each asks for; NEVER is the impossible."""

    NEVER = "never"

    def __init__(self, network):
        self.hand = ByHand(network)
        room = (self.hand.end - self.hand.base).days + MORE_DAYS
        every = [self.hand.base + timedelta(days=n) for n in range(room)]
        self.days = {
            key: [day for day in every if worked(self.hand.calendar(key), day)] for key in self.hand.tasks
        }
        self.asks = [*self._asked()]

    def _asked(self):
        for key, days in self.days.items():
            floor = self.hand.tasks[key].not_before or self.hand.base
            for k, day in enumerate(days):
                if day < floor:
                    yield (key, k), self.NEVER
                if k + 1 < len(days):
                    yield (key, k), (key, k + 1)
        for link in self.hand.network.links:
            earlier = self.days[link.before]
            for k, day in enumerate(self.days[link.after]):
                fitting = [n for n, other in enumerate(earlier) if self.hand.holds(link, other, day)]
                yield (link.after, k), ((link.before, fitting[-1]) if fitting else self.NEVER)

    def last(self, key, end):
        """The last day on which a task may begin so that it is done by ``end``."""
        return max(k for k, day in enumerate(self.days[key]) if self.hand.closing(key, day) <= end)


def starts(answer, name):
    return {key: getattr(dates, name) for key, dates in answer.tasks.items()}


@CAREFUL
@given(networks())
def test_both_passes_agree_with_what_networkx_reaches(network):
    answer, told = schedule(network), Statements(network)
    graph = networkx.DiGraph(told.asks)
    impossible = networkx.ancestors(graph, told.NEVER) if told.NEVER in graph else set()
    early = {
        key: next(day for k, day in enumerate(days) if (key, k) not in impossible)
        for key, days in told.days.items()
    }
    graph.add_edges_from(("the end", (key, told.last(key, answer.end))) for key in told.days)
    certain = networkx.descendants(graph, "the end")
    late = {
        key: next(day for k, day in enumerate(days) if (key, k) in certain) for key, days in told.days.items()
    }
    assert (starts(answer, "early_start"), starts(answer, "late_start")) == (early, late)


@CAREFUL
@given(networks())
def test_both_passes_agree_with_a_linear_program(network):
    answer, told = schedule(network), Statements(network)
    variables = [(key, k) for key, days in told.days.items() for k in range(len(days))]
    number = {variable: n for n, variable in enumerate(variables)}
    rows = numpy.zeros((len(told.asks), len(variables)))
    for row, (one, other) in zip(rows, told.asks, strict=True):
        row[number[one]] += 1
        if other != told.NEVER:
            row[number[other]] -= 1

    def begun(goal, surely):
        """The first days on which tasks have begun when as much as can be has begun (-1), or as little (1)."""
        bounds = [(1, 1) if variable in surely else (0, 1) for variable in variables]
        solved = linprog(
            [goal] * len(variables), A_ub=rows, b_ub=numpy.zeros(len(rows)), bounds=bounds, method="highs"
        )
        assert solved.status == 0
        return {
            key: next(day for k, day in enumerate(days) if solved.x[number[key, k]] > 0.5)
            for key, days in told.days.items()
        }

    early = begun(-1, {(key, len(days) - 1) for key, days in told.days.items()})
    late = begun(1, {(key, told.last(key, answer.end)) for key in told.days})
    assert (starts(answer, "early_start"), starts(answer, "late_start")) == (early, late)
