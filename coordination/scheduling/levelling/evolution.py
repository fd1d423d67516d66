"""Many schedules at once, for problems without calendars: a population that is crossed, disturbed and justified.

Each member is a schedule. In one round parents are drawn, the fitter ones more often. A child takes from its first
parent the jobs that lie in that one's busiest stretch, from the second the order of the rest; some of its jobs are
moved a little. It is generated against the end of time and then against its beginning again (double justification,
which never makes it longer). The fittest of old and new stay.

Sources: V. Valls, F. Ballestin, S. Quintanilla, Justification and RCPSP, European Journal of Operational Research
165 (2005) 375-386; D. Debels, M. Vanhoucke, A decomposition-based genetic algorithm for the resource-constrained
project scheduling problem, Operations Research 55 (2007) 457-469. Both from memory; the scheme here is our own.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from .plain import PlainShop
from .serial import Members, Serial

if TYPE_CHECKING:
    from numpy.typing import NDArray

POPULATION = 400
CHILDREN = 100
RIVALS = 3
CROSSED = 0.8
DISTURBED = 0.15
MOVED = 2
STRETCHES = 4
WIDTH = 0.1, 0.5


@dataclass(frozen=True)
class Evolved:
    """The shortest schedule found: boundaries by job, its length, schedules tried."""

    ends: list[int]
    length: int
    tried: int


def evolve(
    plain: PlainShop,
    seed: int,
    keep_going: Callable[[], bool],
    *,
    rounds: int | None = None,
    population: int = POPULATION,
    tell: Callable[[list[int], int], None] = lambda ends, length: None,
) -> Evolved:
    """Search while ``keep_going()`` and within ``rounds``, until the least length is met; repeatable by seed.

    ``tell`` hears of every better schedule.
    """
    forward, backward = Serial(plain, backward=False), Serial(plain, backward=True)
    chance = np.random.default_rng(seed)
    standing = _fittest(forward.generate(_first_keys(plain, population, chance)), population)
    best, tried, done = _shortest(standing), population, 0
    tell(*best)
    while (rounds is None or done < rounds) and best[1] > plain.least_length and keep_going():
        keys = _children(standing, chance) if done else standing.turned()
        born = forward.generate(backward.generate(keys).turned())
        standing = _fittest(_together(standing, born), population)
        done, tried = done + 1, tried + 2 * len(keys)
        if _shortest(standing)[1] < best[1]:
            best = _shortest(standing)
            tell(*best)
    return Evolved(*best, tried)


def _first_keys(plain: PlainShop, population: int, chance: np.random.Generator) -> NDArray[np.int64]:
    """What has the longest way to the end goes first: once so, and otherwise more or less."""
    noise = chance.normal(0, 0.1 * plain.least_length, (population, plain.count))
    noise[0] = 0
    keys: NDArray[np.int64] = np.rint(noise).astype(np.int64) - plain.tails
    return keys


def _fitness(members: Members) -> NDArray[np.float64]:
    """Small is fit: the length, and between equal lengths the mean end of the jobs as a fraction of a day.

    The second part tells apart what the first leaves level, and so shows the way to shorter schedules.
    """
    fitness: NDArray[np.float64] = members.lengths + 0.9 * members.ends.mean(axis=1) / members.lengths.max()
    return fitness


def _fittest(members: Members, population: int) -> Members:
    """The fittest members, one of those that are equally fit: nearly always the same schedule."""
    _, numbers = np.unique(_fitness(members), return_index=True)
    return members.some(numbers[:population])


def _together(one: Members, two: Members) -> Members:
    days = max(one.busy.shape[1], two.busy.shape[1])
    busy = [np.pad(members.busy, ((0, 0), (0, days - members.busy.shape[1]))) for members in (one, two)]
    return Members(
        np.concatenate([one.ends, two.ends]), np.concatenate([one.lengths, two.lengths]), np.concatenate(busy)
    )


def _children(standing: Members, chance: np.random.Generator) -> NDArray[np.int64]:
    """Keys of a new generation: crossed, or only their first parent's, and often disturbed."""
    first, second = (standing.some(_drawn(standing, chance)) for _ in range(2))
    keys, other = first.turned(), second.turned()
    begin, end = _busiest(first, chance)
    inside, apart = (keys >= begin) & (keys < end), int(standing.lengths.max())
    crossed = np.where(inside, keys, np.where(other < begin, other - apart, other + apart))
    child = np.where(chance.random((CHILDREN, 1)) < CROSSED, crossed, keys)
    noise = chance.normal(0, max(3.0, float(standing.lengths.min()) / 20), keys.shape)
    noise *= chance.random(keys.shape) < MOVED / keys.shape[1]
    noise *= chance.random((CHILDREN, 1)) < DISTURBED
    return child + noise.astype(np.int64)


def _drawn(standing: Members, chance: np.random.Generator) -> NDArray[np.int64]:
    """CHILDREN members, each the fittest of a few drawn at random."""
    fitness = _fitness(standing)
    drawn = chance.integers(0, len(fitness), (RIVALS, CHILDREN))
    winners: NDArray[np.int64] = drawn[fitness[drawn].argmin(axis=0), np.arange(CHILDREN)]
    return winners


def _busiest(members: Members, chance: np.random.Generator) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """For each member the busiest of a few stretches of its time, as columns that count from its end."""
    shape = (1, len(members.lengths))
    width = np.maximum(1, (members.lengths * chance.uniform(*WIDTH, shape)).astype(np.int64))
    begin = (chance.random((STRETCHES, shape[1])) * (members.lengths - width + 1)).astype(np.int64)
    rows = np.arange(shape[1])
    so_far = np.pad(members.busy.cumsum(axis=1), ((0, 0), (1, 0)))
    work = so_far[rows, begin + width] - so_far[rows, begin]
    chosen = begin[work.argmax(axis=0), rows]
    last: NDArray[np.int64] = (members.lengths - chosen).reshape(-1, 1)
    return last - width.reshape(-1, 1), last


def _shortest(members: Members) -> tuple[list[int], int]:
    number = int(members.lengths.argmin())
    return members.ends[number].tolist(), int(members.lengths[number])
