"""The whole search: the population or the local search, beside it the solver or a second search, and the best of all.

Nothing here reads a clock: the search goes on while ``keep_going()`` says so and the solver is told its seconds.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

from . import cp_sat
from .evolution import PlainShop, evolve, is_plain
from .generation import Shop
from .problem import Cost, CrewProblem, Levelling
from .search import search

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from multiprocessing.synchronize import Event

KeepGoing = Callable[[], bool]
BEFORE_THE_SOLVER = 12


@dataclass(frozen=True)
class _Answer:
    """A schedule as instants by place, its cost and how many were tried for it."""

    at: list[int]
    cost: Cost
    tried: int


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
    with_solver = moves is None and solver_seconds > 0 and workers > 1 and cp_sat.is_modelled(shop)
    beside: _Beside | _Solver | None = None
    if with_solver:
        beside = _Solver(shop, seed, workers - 1, solver_seconds)
    elif workers > 1:
        beside = _Beside(shop, seed + 1, moves)
    solver = beside if isinstance(beside, _Solver) else None
    try:
        own = _search(
            shop, seed, lambda: keep_going() and not (beside and beside.settled()), moves, solver=solver
        )
    finally:
        other, bound = beside.finish(moves is not None) if beside else (None, None)
    return _told(
        shop, min([own, other] if other else [own], key=lambda answer: answer.cost), own, other, bound
    )


def _told(shop: Shop, best: _Answer, own: _Answer, other: _Answer | None, proven: int | None) -> Levelling:
    what = best.cost.late if shop.weighted else best.cost.length
    bound = max(_least(shop), proven if proven is not None else 0)
    tried = own.tried + (other.tried if other else 0)
    return Levelling(shop.starts(best.at), best.cost, min(bound, what), bound >= what, tried)


def _least(shop: Shop) -> int:
    """A bound that needs no search."""
    if shop.weighted:
        return 0
    early = shop.passes.forward()
    least = early.end - shop.passes.number(shop.problem.network.start)
    return max(least, PlainShop(shop).least_length) if is_plain(shop) and shop.rows else least


def _search(
    shop: Shop,
    seed: int,
    keep_going: KeepGoing,
    moves: int | None,
    *,
    hear: Callable[[list[int]], None] = lambda schedule: None,
    solver: _Solver | None = None,
    waiting: bool = False,
) -> _Answer:
    """The search that suits the shop; ``hear`` gets every better schedule in the form that ``_answer`` reads."""
    if not is_plain(shop) or not any(shop.passes.lengths):
        if solver:
            solver.begin(shop.generate(shop.in_order(shop.latest_starts())))
        found = search(shop, seed, keep_going, moves, hear)
        return _Answer(found.at, found.cost, found.tried)
    heard: list[list[int]] = []
    rounds = 0

    def going_on() -> bool:
        nonlocal rounds
        rounds += 1
        if solver and rounds == BEFORE_THE_SOLVER:
            solver.begin(_answer(shop, heard[-1], 0).at)
        return keep_going()

    def told(ends: list[int], length: int) -> None:
        heard.append(ends)
        hear(ends)

    evolved = evolve(PlainShop(shop), seed, going_on, rounds=moves, tell=told, waiting=waiting)
    return _answer(shop, evolved.ends, evolved.tried)


def _answer(shop: Shop, schedule: list[int], tried: int) -> _Answer:
    """What a search has heard of as an answer: instants by place, or boundaries by job of a plain shop.

    Those are generated again in their own order, which never makes them longer.
    """
    if not is_plain(shop):
        return _Answer(schedule, shop.cost(schedule), tried)
    plain = PlainShop(shop)
    priority = [0.0] * shop.count
    for job, i in enumerate(plain.jobs):
        priority[i] = float(schedule[job] - plain.lengths[job])
    at = shop.generate(shop.in_order(priority))
    return _Answer(at, shop.cost(at), tried)


class _Solver:
    """The solver in a thread; it holds no lock of Python's while it works."""

    def __init__(self, shop: Shop, seed: int, workers: int, seconds: float) -> None:
        self.shop, self.seed, self.workers, self.seconds = shop, seed, workers, seconds
        self._solver: cp_sat.Solver | None = None
        self._thread: threading.Thread | None = None
        self._solved: cp_sat.Solved | None = None

    def begin(self, hint: list[int]) -> None:
        """Start from a schedule that is at hand."""
        self._solver = cp_sat.Solver(self.shop, hint, self.seed, self.workers)
        self._thread = threading.Thread(target=self._run, args=(self._solver,), daemon=True)
        self._thread.start()

    def settled(self) -> bool:
        """Is nothing better left to find?"""
        return self._solved is not None and self._solved.optimal

    def finish(self, wait: bool) -> tuple[_Answer | None, int | None]:
        """Stop, and hand over the answer and the proven bound."""
        if self._solver is None or self._thread is None:
            return None, None
        if not wait:
            self._solver.stop()
        self._thread.join()
        if self._solved is None:
            return None, None
        priority = [float(self._solved.begins.get(i, 0)) for i in range(self.shop.count)]
        at = self.shop.generate(self.shop.in_order(priority))
        return _Answer(at, self.shop.cost(at), 0), self._solved.bound

    def _run(self, solver: cp_sat.Solver) -> None:
        self._solved = solver.solve(self.seconds)


class _Beside:
    """A second search with another seed, in a process of its own, which tells of every better schedule it finds."""

    def __init__(self, shop: Shop, seed: int, moves: int | None) -> None:
        self.shop = shop
        context = multiprocessing.get_context("spawn")
        self._stop = context.Event()
        self._ear, mouth = context.Pipe(duplex=False)
        work = shop.problem, seed, moves, self._stop, mouth
        self._process = context.Process(target=_work, args=work, daemon=True)
        self._process.start()
        mouth.close()

    def settled(self) -> bool:
        """A search proves nothing."""
        return False

    def finish(self, wait: bool) -> tuple[_Answer | None, int | None]:
        """Take the best it has told of (or ``wait`` for the end of its moves) and end the process."""
        if not wait:
            self._stop.set()
        last: _Answer | list[int] | None = None
        with contextlib.suppress(EOFError):
            while self._ear.poll(None if wait else 0.05):
                last = self._ear.recv()
        if not wait:
            self._process.join(0.2)
            self._process.terminate()
        self._process.join()
        self._ear.close()
        return (_answer(self.shop, last, 0) if isinstance(last, list) else last), None


def _work(problem: CrewProblem, seed: int, moves: int | None, stop: Event, mouth: Connection) -> None:
    mouth.send(_search(Shop(problem), seed, lambda: not stop.is_set(), moves, hear=mouth.send, waiting=True))
    mouth.close()
