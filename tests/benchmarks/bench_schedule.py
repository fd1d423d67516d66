"""The two passes against plain passes over networkx; a forecast against drawing its numbers alone."""

# ruff: noqa: T201

import random
from datetime import date, timedelta

import networkx
import numpy
import pytest

from coordination.scheduling.calendars import EVERY_DAY, WorkCalendar
from coordination.scheduling.estimates import Estimate
from coordination.scheduling.forecast import forecast
from coordination.scheduling.network import Link, Network, Task
from coordination.scheduling.passes import Passes
from tests.benchmarks.side_by_side import medians

FIRST, START = date(2025, 1, 1), date(2026, 1, 1)
HOLIDAYS = frozenset(FIRST + timedelta(days=37 * n) for n in range(1, 60))
WEEKDAYS = {
    "site": frozenset(range(5)),
    "six days": frozenset(range(6)),
    "every day": EVERY_DAY,
    "four days": frozenset(range(4)),
    "authority": frozenset({1, 3}),
}


def layered(count, seed=1):
    """Tasks in layers, each linked to one or two of the layer before, all kinds of link and both units of lag."""
    chance = random.Random(seed)
    horizon = 2200 if count < 5000 else 5500
    calendars = {name: WorkCalendar(FIRST, horizon, days, HOLIDAYS) for name, days in WEEKDAYS.items()}
    tasks = tuple(Task(f"t{n}", chance.randint(1, 6), chance.choice([*calendars])) for n in range(count))
    width, links = max(4, int(count**0.5)), []
    for n in range(width, count):
        layer = range((n // width - 1) * width, n // width * width)
        for before in {chance.choice(layer) for _ in range(chance.choice([1, 2, 2]))}:
            kind = chance.choice(["FS", "FS", "FS", "FS", "FS", "SS", "FF", "SF"])
            unit = chance.choice(["working", "working", "calendar"])
            links.append(Link(f"t{before}", f"t{n}", kind, chance.randint(-1, 3), unit))
    return Network(tasks, tuple(links), calendars, START)


def graph_of(network):
    graph = networkx.DiGraph()
    for task in network.tasks:
        graph.add_node(task.key, days=task.duration)
    for link in network.links:
        graph.add_edge(link.before, link.after, lag=link.lag)
    return graph


def passes_with_lags(graph):
    """Both passes and both floats, finish to start, with the lags that the graph has."""
    order, days = list(networkx.topological_sort(graph)), graph.nodes(data="days")
    start, finish, late_start, late_finish, total, free = {}, {}, {}, {}, {}, {}
    for task in order:
        start[task] = max(
            (finish[other] + lag for other, _, lag in graph.in_edges(task, data="lag")), default=0
        )
        finish[task] = start[task] + days[task]
    end = max(finish.values())
    for task in reversed(order):
        behind = [*graph.out_edges(task, data="lag")]
        late_finish[task] = min((late_start[other] - lag for _, other, lag in behind), default=end)
        late_start[task] = late_finish[task] - days[task]
        total[task] = late_start[task] - start[task]
        free[task] = min((start[other] - lag for _, other, lag in behind), default=end) - finish[task]
    return total, free


def passes_without_lags(graph):
    """The same with every lag left out as well."""
    order, days = list(networkx.topological_sort(graph)), graph.nodes(data="days")
    start, finish, late_start, late_finish, total, free = {}, {}, {}, {}, {}, {}
    for task in order:
        start[task] = max((finish[other] for other in graph.predecessors(task)), default=0)
        finish[task] = start[task] + days[task]
    end = max(finish.values())
    for task in reversed(order):
        late_finish[task] = min((late_start[other] for other in graph.successors(task)), default=end)
        late_start[task] = late_finish[task] - days[task]
        total[task] = late_start[task] - start[task]
        free[task] = min((start[other] for other in graph.successors(task)), default=end) - finish[task]
    return total, free


@pytest.mark.parametrize(("count", "rounds", "repeats"), [(60, 40, 20), (1000, 25, 3), (10_000, 9, 1)])
def test_recompute_against_networkx(count, rounds, repeats):
    """Calendars, all kinds of link, both units of lag, both floats: at least 7 times faster than without calendars."""
    network = layered(count)
    passes, graph = Passes(network), graph_of(network)
    ours, prepared, with_lags, without = medians(
        lambda: passes.backward(passes.forward()),
        lambda: Passes(network).forward(),
        lambda: passes_with_lags(graph),
        lambda: passes_without_lags(graph),
        rounds=rounds,
        repeats=repeats,
    )
    print(
        f"\nrecompute, {count} tasks, {len(network.links)} links: {ours * 1e3:.3f} ms"
        f" · networkx {with_lags / ours:.1f} times that, {without / ours:.1f} times without lags"
        f" · preparing the network and one forward pass {prepared * 1e3:.2f} ms"
    )
    assert with_lags / ours >= 7


def test_forecast_against_drawing_beta_variates():
    """60 tasks, 10 000 samples, calendars, all kinds of link, dates and shares of driving: faster than 60 betas."""
    network = layered(60)
    estimates = {
        task.key: Estimate(max(1, task.duration - 1), task.duration, 2 * task.duration)
        for task in network.tasks
    }

    def whole_forecast():
        found = forecast(network, estimates)
        return [found.quantiles(key) for key in ("", "t57", "t58", "t59")], found.driving

    def betas_alone():
        draw = numpy.random.default_rng(1)
        return [draw.beta(2 + n / 60, 4 - n / 60, 10_000) for n in range(60)]

    ours, betas = medians(whole_forecast, betas_alone)
    print(f"\nforecast, 60 tasks x 10 000: {ours * 1e3:.1f} ms = {ours / betas:.2f} of drawing 60 betas")
    assert ours < betas
