"""One levelling against the clock: it can be stopped, keeps its best, and is checked before it is shown."""

import signal
import threading
import time
from collections.abc import Callable
from types import FrameType
from typing import Any

from coordination.scheduling.levelling.checker import cost_of, faults
from coordination.scheduling.levelling.level import level
from coordination.scheduling.levelling.problem import CrewProblem, Levelling


class NotWorkable(Exception):
    """The checker found that an answer cannot be worked: a fault of ours."""


def level_for(
    problem: CrewProblem, seconds: float, *, workers: int, seed: int, begun: Callable[[], None] = lambda: None
) -> Levelling:
    """The best that is found within ``seconds``, or until the run is interrupted. Raises NotWorkable.

    ``begun`` is called once it may be interrupted.
    """
    stop = threading.Event()

    def stopped(_signal: int, _frame: FrameType | None) -> None:
        stop.set()

    before = signal.signal(signal.SIGINT, stopped)
    begun()
    end = time.monotonic() + seconds
    try:
        found = level(
            problem,
            lambda: time.monotonic() < end and not stop.is_set(),
            seed=seed,
            workers=workers,
            solver_seconds=seconds,
        )
    finally:
        signal.signal(signal.SIGINT, before)
    if (wrong := faults(problem, found.starts)) or cost_of(problem, found.starts) != found.cost:
        raise NotWorkable(wrong)
    return found


def levelling_as_json(problem: CrewProblem, found: Levelling) -> dict[str, Any]:
    """Days from the start: the whole, a bound that no schedule is below, and the start of each job."""
    first = problem.network.start
    return {
        "makespan": found.cost.length,
        "bound": found.bound,
        "starts": {task.key: (found.starts[task.key] - first).days for task in problem.network.tasks},
    }
