"""Few sites with the constraint solver of OR-Tools: who goes where when, better than a search finds it, or proved."""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING

from .route_model import Proven, RouteModel
from .route_problem import RouteProblem
from .route_windows import windows_of
from .routes import Route, RouteShop

if TYPE_CHECKING:
    from ortools.sat.python import cp_model


class RouteSolver:
    """One run of the solver in a thread of its own, which holds no lock of Python's while it works."""

    def __init__(self, problem: RouteProblem, known: Route, seed: int, seconds: float) -> None:
        self._problem, self._known, self._seed, self._seconds = problem, known, seed, seconds
        self._stopped, self._solver = threading.Event(), _new_solver(seed)
        self._proven: Proven | None = None
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def settled(self) -> bool:
        """Is nothing better left to find?"""
        return self._proven is not None and self._proven.optimal

    def finish(self) -> Proven | None:
        """Stop, and hand over what was found; None where the sites are too many for a model."""
        self._stopped.set()
        self._solver.stop_search()
        self._thread.join()
        return self._proven

    def wait(self, seconds: float) -> None:
        """Leave the solver to itself."""
        self._thread.join(seconds)

    def _run(self) -> None:
        shop = RouteShop(self._problem)
        windows = windows_of(shop, self._known)
        if windows is None:
            return
        model = RouteModel(shop, windows, self._known)
        if not self._stopped.is_set():
            self._proven = model.solved(self._solver, self._known, self._seconds)


def _new_solver(seed: int) -> cp_model.CpSolver:
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    solver.parameters.random_seed = seed
    solver.parameters.num_workers = 1
    solver.parameters.catch_sigint_signal = False  # its handler takes Ctrl-C from us, or aborts
    return solver
