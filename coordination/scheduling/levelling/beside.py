"""What works beside a search: the solver in a thread, or a second search in a process of its own."""

from __future__ import annotations

import contextlib
import multiprocessing
import signal
import threading
from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

from . import cp_sat
from .generation import Shop
from .problem import CrewProblem

if TYPE_CHECKING:
    from multiprocessing.connection import Connection
    from multiprocessing.synchronize import Event


class Heard(NamedTuple):
    """A schedule as instants by place, and how many were tried for it."""

    at: list[int]
    tried: int


# problem, seed, moves, whether to go on, who hears of every better schedule
Search = Callable[[CrewProblem, int, int | None, Callable[[], bool], Callable[[Heard], None]], Heard]


class BesideSolver:
    """The solver in a thread; it holds no lock of Python's while it works."""

    def __init__(self, shop: Shop, hint: list[int], seed: int, workers: int, seconds: float) -> None:
        self._shop, self._seconds = shop, seconds
        self._solver = cp_sat.Solver(shop, hint, seed, workers)
        self._solved: cp_sat.Solved | None = None
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def wait(self, seconds: float) -> None:
        """Leave the solver to itself: what it can settle at all it often settles at once."""
        self._thread.join(seconds)

    def settled(self) -> bool:
        """Is nothing better left to find?"""
        return self._solved is not None and self._solved.optimal

    def finish(self, *, wait: bool) -> tuple[Heard | None, int | None]:
        """Stop (or ``wait`` for it), and hand over the answer and the proven bound."""
        if not wait:
            self._solver.stop()
        self._thread.join()
        if self._solved is None:
            return None, None
        priority = [float(self._solved.begins.get(i, 0)) for i in range(self._shop.count)]
        return Heard(self._shop.generate(self._shop.in_order(priority)), 0), self._solved.bound

    def _run(self) -> None:
        self._solved = self._solver.solve(self._seconds)


class BesideSearch:
    """A second search with another seed, which tells of every better schedule it finds."""

    def __init__(self, search: Search, problem: CrewProblem, seed: int, moves: int | None) -> None:
        context = multiprocessing.get_context("spawn")
        self._stop = context.Event()
        self._ear, mouth = context.Pipe(duplex=False)
        work = search, problem, seed, moves, self._stop, mouth
        self._process = context.Process(target=_work, args=work, daemon=True)
        self._process.start()
        mouth.close()
        self._last: Heard | None = None

    def settled(self) -> bool:
        """A search proves nothing; asked now and then, it hears what is told, so that the teller need not wait."""
        self._listen(0.0)
        return False

    def finish(self, *, wait: bool) -> tuple[Heard | None, int | None]:
        """Take the best it has told of (or ``wait`` for the end of its moves) and end the process."""
        if not wait:
            self._stop.set()
        self._listen(None if wait else 0.05)
        if not wait:
            self._process.join(0.2)
            self._process.terminate()
        self._process.join()
        self._ear.close()
        return self._last, None

    def _listen(self, patience: float | None) -> None:
        with contextlib.suppress(EOFError):
            while self._ear.poll(patience):
                self._last = self._ear.recv()


def _work(  # noqa: PLR0917  As a process is called.
    search: Search, problem: CrewProblem, seed: int, moves: int | None, stop: Event, mouth: Connection
) -> None:
    # Ctrl-C in a terminal reaches us too, but we are told to stop.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()

    def keep_going() -> bool:
        return not stop.is_set() and (parent is None or parent.is_alive())

    with contextlib.suppress(BrokenPipeError):  # nobody is left to hear
        mouth.send(search(problem, seed, moves, keep_going, mouth.send))
    mouth.close()
