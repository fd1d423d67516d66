"""The search that takes longer, in compiled code: the population for plain problems, annealing for all others."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date

from ..calendars import EVERY_DAY, WorkCalendar
from ..network import Network, Task
from .beside import Heard
from .generation import Shop
from .plain import PlainShop, is_plain
from .problem import Crew, CrewProblem
from .search import search

KeepGoing = Callable[[], bool]
Tell = Callable[[Heard], None]
PATIENCE = 100


def longer_search(
    problem: CrewProblem, seed: int, moves: int | None, keep_going: KeepGoing, tell: Tell
) -> Heard:
    """The best found while ``keep_going()``, or within ``moves``; ``tell`` hears of every better schedule.

    When the compiled code lets us wait too long, the search in plain Python begins meanwhile.
    """
    from .compiling import MadeReady

    shop = Shop(problem)
    run = _evolved if is_plain(shop) else _annealed
    if moves is not None:
        return run(shop, seed, moves, keep_going, tell)
    ready, meanwhile = MadeReady(lambda: run(shop, seed, 1, _always, _nobody)), None
    if not ready.wait(PATIENCE, keep_going):
        found = search(
            shop, seed, lambda: keep_going() and not ready, tell=lambda better: tell(Heard(better, 0))
        )
        meanwhile = Heard(found.at, found.tried)
        if not ready:
            return meanwhile
    best = run(shop, seed, moves, keep_going, tell)
    return min(best, meanwhile or best, key=lambda heard: shop.cost(heard.at))


def _evolved(shop: Shop, seed: int, moves: int | None, keep_going: KeepGoing, tell: Tell) -> Heard:
    from .evolution import evolve

    plain = PlainShop(shop)
    found = evolve(
        plain,
        seed,
        keep_going,
        rounds=moves,
        tell=lambda ends, _length: tell(Heard(_instants(plain, ends), 0)),
    )
    return Heard(_instants(plain, found.ends), found.tried)


def _annealed(shop: Shop, seed: int, moves: int | None, keep_going: KeepGoing, tell: Tell) -> Heard:
    from .annealing import anneal

    found = anneal(shop, seed, keep_going, moves, lambda better: tell(Heard(better.at, better.tried)))
    return Heard(found.at, found.tried)


def _instants(plain: PlainShop, ends: Sequence[int]) -> list[int]:
    """Boundaries by job as instants by place: generated again in their own order, which never makes them longer."""
    shop, priority = plain.shop, [0.0] * plain.shop.count
    for job, i in enumerate(plain.jobs):
        priority[i] = float(ends[job] - plain.lengths[job])
    return shop.generate(shop.in_order(priority))


def _always() -> bool:
    return True


def _nobody(heard: Heard) -> None:
    """Hears of it and says nothing."""


def compile_ahead() -> None:
    """Compile both searches, so that code is at hand when time counts."""
    day = date(2001, 1, 1)
    tasks = Task("a", 1, "days"), Task("b", 1, "days", due=day)
    network = Network(tasks, (), {"days": WorkCalendar(day, 9, EVERY_DAY)}, day)
    needs = {task.key: {"crew": 1} for task in tasks}
    for weights in ({}, {"b": 1}):
        longer_search(CrewProblem(network, {"crew": Crew(1)}, needs, weights), 1, 1, _always, _nobody)
