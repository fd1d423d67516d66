"""The whole search: a quick first one; then a population, or annealing, in compiled code; beside it the solver or a
second search; and the best of all.

Nothing here reads a clock: the search goes on while ``keep_going()`` says so and the solver is told its seconds.
"""

from __future__ import annotations

from collections.abc import Callable

from . import cp_sat
from .beside import BesideSearch, BesideSolver, Heard
from .generation import Shop
from .longer import longer_search
from .plain import PlainShop, is_plain
from .problem import Cost, CrewProblem, Levelling
from .search import ideal, search

KeepGoing = Callable[[], bool]
QUICK = 100
AT_ONCE_SECONDS = 0.3


def level(
    problem: CrewProblem,
    keep_going: KeepGoing,
    *,
    seed: int = 1,
    workers: int = 1,
    moves: int | None = None,
    solver_seconds: float = 0.0,
) -> Levelling:
    """The best schedule found while ``keep_going()``; always feasible unless standing tasks contradict each other.

    ``workers`` are processor cores to use: with two, a second search runs in a process of its own, or, where the
    problem is small enough and ``solver_seconds`` are given, the solver of OR-Tools in a thread. ``moves`` limits
    the search instead of time: then seed and moves repeat the answer, and the solver stays out of it.
    Raises OutOfHorizon when there is no room in the calendars.
    """
    shop = Shop(problem)
    least = _least(shop)
    quick = search(shop, seed, keep_going, QUICK if moves is None else min(moves, QUICK))
    first = Heard(quick.at, quick.tried)
    if _is_met(shop, quick.cost, least) or not keep_going():
        return _told(shop, [first], least)
    beside: BesideSolver | BesideSearch | None = None
    if moves is None and solver_seconds > 0 and workers > 1 and cp_sat.is_modelled(shop):
        beside = BesideSolver(shop, first.at, seed, workers - 1, solver_seconds)
        beside.wait(AT_ONCE_SECONDS)
    elif workers > 1:
        beside = BesideSearch(longer_search, problem, seed + 1, moves)
    other, proven = None, None
    try:
        own = longer_search(
            problem, seed, moves, lambda: keep_going() and not (beside and beside.settled()), _nobody
        )
    finally:
        if beside:
            other, proven = beside.finish(wait=moves is not None)
    heard = [first, own, other] if other else [first, own]
    return _told(shop, heard, least if proven is None else max(least, proven))


def _told(shop: Shop, heard: list[Heard], bound: int) -> Levelling:
    best = min(heard, key=lambda each: shop.cost(each.at))
    cost, tried = shop.cost(best.at), sum(each.tried for each in heard)
    least = min(bound, _first(shop, cost))
    return Levelling(shop.starts(best.at), cost, least, _is_met(shop, cost, bound), tried)


def _first(shop: Shop, cost: Cost) -> int:
    """What is made small first, and what bounds speak of."""
    return cost.late if shop.weighted else cost.length


def _is_met(shop: Shop, cost: Cost, bound: int) -> bool:
    return _first(shop, cost) <= bound


def _least(shop: Shop) -> int:
    """A bound that needs no search."""
    if shop.weighted:
        return 0
    length = ideal(shop).length
    return max(length, PlainShop(shop).least_length) if is_plain(shop) else length


def _nobody(heard: Heard) -> None:
    """The best of all is taken in the end."""
