"""Local search over routes: which site or visit goes first, and which crew goes there.

The same seed and number of moves give the same answer, and there is a feasible answer from the first one on.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date, timedelta

from ..passes import Passes
from .problem import Cost
from .route_problem import RouteProblem
from .routes import Route, RouteShop

ONE = timedelta(days=1)
FIRST_OF_ALL, AHEAD = 1000, 100_000.0

KeepGoing = Callable[[], bool]
Tell = Callable[[Route | None, int], None]


def level_routes(
    problem: RouteProblem, keep_going: KeepGoing, *, seed: int = 1, moves: int | None = None,
    tell: Tell = lambda route, tried: None, begin: Route | None = None,
    favour: str = "",
) -> Route:  # fmt: skip
    """The best route found while ``keep_going()`` and within ``moves``; ``begin`` is a route to start from,
    ``favour`` a site whose work is tried before all other at the start.

    ``tell`` hears of every better route, and with None of every move. Raises OutOfHorizon when not even the first
    fits into the calendars; NetworkError when the crews of a task have no working day in common.
    """
    shop = RouteShop(problem)
    mover = _Mover(shop, random.Random(seed))  # noqa: S311
    priority, wanted = shop.latest_starts(), dict[str, int]()
    if begin:
        _take_over(shop, begin, priority, wanted)
    at = shop.make(shop.in_order(priority), wanted)
    best, cost, tried, least = at, shop.cost(at), 1, shop.least()
    if favour:
        ahead = [
            day - AHEAD if site == favour else day for day, site in zip(priority, shop.sites, strict=True)
        ]
        other = shop.make(shop.in_order(ahead), wanted)
        tried += 1
        if shop.cost(other) <= cost:
            best, cost, priority = other, shop.cost(other), ahead
        shop.make(shop.in_order(priority), wanted)
    tell(shop.route(best, tried), tried)
    while mover.tasks and (moves is None or tried <= moves) and cost > least and keep_going():
        moved, liked = mover.moved(priority, wanted)
        at = shop.make(shop.in_order(moved), liked)
        tried += 1
        new = shop.cost(at)
        if new < cost:
            tell(shop.route(at, tried), tried)
        else:
            tell(None, tried)
        if new <= cost:
            best, cost, priority, wanted = at, new, moved, liked
    return _told(shop, best, cost, tried)


def _take_over(shop: RouteShop, route: Route, priority: list[float], wanted: dict[str, int]) -> None:
    """Order and crews of a route, so that it comes out again."""
    for key, day in route.starts.items():
        priority[shop.passes.rank[key]] = float(shop.passes.number(day))
    for key, crews in route.crews.items():
        i = shop.passes.rank[key]
        sent = [chosen for chosen, _ in shop.choices[i]]
        wanted.setdefault(shop.trips[i], sent.index(crews))


def _told(shop: RouteShop, at: list[int], cost: Cost, tried: int) -> Route:
    return replace(shop.route(at, tried), cost=cost)


def served_first(problem: RouteProblem, site: str, wish: Mapping[str, date] | None = None) -> RouteProblem:
    """The same problem with the wish of one site granted: its tasks on the days of ``wish``, or else what it is
    measured by as early as if it had the crews for itself, whatever that costs the others.
    """
    if wish:
        return replace(problem, fixed={**problem.fixed, **wish})
    passes = Passes(problem.network)
    early = passes.forward()
    soonest = {
        key: passes.date(max(early.at[passes.count + passes.rank[key]], passes.base) - 1)
        for key, weight in problem.weights.items()
        if weight and problem.sites.get(key) == site
    }
    tasks = tuple(
        replace(task, due=soonest[task.key]) if task.key in soonest else task
        for task in problem.network.tasks
    )
    heavy = {key: FIRST_OF_ALL * problem.weights[key] for key in soonest}
    return replace(
        problem, network=replace(problem.network, tasks=tasks), weights={**problem.weights, **heavy}
    )


class _Mover:
    """Random changes: a site, a visit or a task earlier or later, two visits exchanged, another crew liked."""

    def __init__(self, shop: RouteShop, chance: random.Random) -> None:
        self.chance, self.shop = chance, shop
        movable = [i for i in shop.at_work if i not in shop.standing]
        self.tasks = movable
        self.sites = _together(movable, shop.sites)
        self.trips = _together(movable, shop.trips)
        self.names = [shop.trips[ranks[0]] for ranks in self.trips]
        self.choices = [max(len(shop.choices[i]) for i in ranks) for ranks in self.trips]
        spread = shop.latest_starts()
        wide = max(spread, default=0.0) - min(spread, default=0.0)
        self.far, self.near = max(7.0, wide / 6), max(3.0, wide / 15)

    def moved(self, priority: list[float], wanted: Mapping[str, int]) -> tuple[list[float], dict[str, int]]:
        """Changed copies."""
        chance, moved, liked = self.chance, priority[:], dict(wanted)
        draw = chance.random()
        if draw < 0.15:
            self._shift(moved, chance.choice(self.sites), self.far)
        elif draw < 0.5:
            for _ in range(chance.randint(1, 2)):
                self._shift(moved, chance.choice(self.trips), self.near)
        elif draw < 0.65:
            one, other = chance.choice(self.trips), chance.choice(self.trips)
            step = moved[other[0]] - moved[one[0]] + chance.choice([-0.5, 0.5])
            for i in one:
                moved[i] += step
        elif draw < 0.85:
            moved[chance.choice(self.tasks)] += chance.gauss(0, self.near)
        else:
            trip = chance.randrange(len(self.trips))
            liked.pop(self.names[trip], None)
            if chance.random() < 0.7:
                liked[self.names[trip]] = chance.randrange(self.choices[trip])
        return moved, liked

    def _shift(self, moved: list[float], ranks: list[int], width: float) -> None:
        step = self.chance.gauss(0, width)
        for i in ranks:
            moved[i] += step


def _together(ranks: list[int], names: list[str]) -> list[list[int]]:
    found: dict[str, list[int]] = {}
    for i in ranks:
        found.setdefault(names[i], []).append(i)
    return [*found.values()]
