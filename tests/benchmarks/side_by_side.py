"""Measures two ways of doing a thing in turns, so that what else the machine does hits both."""

from collections.abc import Callable
from statistics import median
from time import perf_counter


def medians(
    *ways: Callable[[], object],
    rounds: int = 15,
    repeats: int = 1,
    before: Callable[[], object] = lambda: None,
    clock: Callable[[], float] = perf_counter,
) -> list[float]:
    """Median seconds of one run of each way, after one that does not count; a turn is ``repeats`` runs.

    ``before`` is called ahead of each turn and not counted. ``clock`` may be that of the processor, for machines that
    are busy with other things.
    """
    for way in ways:
        way()
    times: list[list[float]] = [[] for _ in ways]
    for _ in range(rounds):
        for way, taken in zip(ways, times, strict=True):
            before()
            begin = clock()
            for _ in range(repeats):
                way()
            taken.append((clock() - begin) / repeats)
    return [median(taken) for taken in times]
