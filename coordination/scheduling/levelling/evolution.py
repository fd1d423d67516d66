"""Many schedules at once, for problems without calendars: a population that is crossed, disturbed and justified.

Each member is a schedule. In one round parents are drawn, the fitter ones more often. A child takes from its first
parent the jobs that lie in that one's busiest stretch, from the second the order of the rest; some of its jobs are
moved a little. It is generated against the end of time and then against its beginning again (double justification,
which never makes it longer). The fittest of old and new stay.

All children are generated together: one step of the serial scheme is a few NumPy operations over all of them, or,
in a longer search and where numba is there, compiled code.

Sources: V. Valls, F. Ballestin, S. Quintanilla, Justification and RCPSP, European Journal of Operational Research
165 (2005) 375-386; D. Debels, M. Vanhoucke, A decomposition-based genetic algorithm for the resource-constrained
project scheduling problem, Operations Research 55 (2007) 457-469. Both from memory; the scheme here is our own.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any

from . import inner_loop
from .generation import Shop

if TYPE_CHECKING:
    import numpy
    from numpy.typing import NDArray

POPULATION = 200
CHILDREN = 100
RIVALS = 3
CROSSED = 0.8
DISTURBED = 0.15
MOVED = 2
STRETCHES = 4
WIDTH = 0.1, 0.5
APART = 10_000.0
NEAR = 3
BEFORE_COMPILING = 4
GROWTH = 2
MOST = 15_000


@dataclass(frozen=True)
class Members:
    """Schedules of a population: boundaries by member and job, lengths, and use of all crews by day."""

    ends: NDArray[numpy.int64]
    lengths: NDArray[numpy.int64]
    busy: NDArray[numpy.float64]


class PlainShop:
    """A shop seen as the classic problem: jobs with a length, finish-to-start links, crews that never leave.

    ``jobs`` are the ranks of the tasks that have a length; links through tasks without one are drawn through.
    """

    def __init__(self, shop: Shop) -> None:
        import numpy as np

        self.shop = shop
        self.jobs = [i for i in sorted(shop.rows) if shop.passes.lengths[i]]
        self.count = len(self.jobs)
        numbers = {i: job for job, i in enumerate(self.jobs)}
        self.lengths = np.array([shop.passes.lengths[i] for i in self.jobs], np.int64)
        self.crews = np.array([shop.problem.crews[name].count for name in shop.names] or [1], np.int64)
        self.needs = np.zeros((self.count, len(self.crews)), np.int64)
        for job, i in enumerate(self.jobs):
            for number, count in shop.needs[i]:
                self.needs[job, number] = count
        before = _drawn_through(shop, numbers)
        after: list[list[int]] = [[] for _ in self.jobs]
        for job, others in enumerate(before):
            for other in others:
                after[other].append(job)
        self.before, self.after = before, after

    @cached_property
    def tails(self) -> NDArray[numpy.int64]:
        """Longest way from the end of each job to the end of all, crews left aside."""
        import numpy as np

        tails = np.zeros(self.count, np.int64)
        for job in range(self.count - 1, -1, -1):
            for other in self.after[job]:
                tails[job] = max(tails[job], tails[other] + self.lengths[other])
        return tails

    @cached_property
    def least_length(self) -> int:
        """No schedule is shorter: the longest way through the links, and each crew's work shared out evenly."""
        ways = int((self.tails + self.lengths + self._heads).max(initial=0))
        work = (self.needs * self.lengths[:, None]).sum(axis=0)
        return max(
            ways, *(-(-int(days) // max(1, int(count))) for days, count in zip(work, self.crews, strict=True))
        )

    @cached_property
    def _heads(self) -> NDArray[numpy.int64]:
        import numpy as np

        heads = np.zeros(self.count, np.int64)
        for job in range(self.count):
            for other in self.before[job]:
                heads[job] = max(heads[job], heads[other] + self.lengths[other])
        return heads


def is_plain(shop: Shop) -> bool:
    """Can the shop be treated as the classic problem?"""
    passes, tasks = shop.passes, shop.passes.tasks
    everyday = all(len(tables.day) == tables.size - 1 for tables in passes.tables)
    free = all(floor == passes.base for floor in passes.floors) and not shop.standing and not shop.weighted
    linked = all(link.kind == "FS" and not link.lag for link in passes.acting)
    return (
        everyday
        and free
        and linked
        and len(passes.rows) == len(tasks)
        and not any(crew.away or crew.count > MOST for crew in shop.problem.crews.values())
        and sum(passes.lengths) <= MOST
    )


class _Serial:
    """The serial scheme for a whole population, in one direction of time."""

    def __init__(self, plain: PlainShop, backward: bool) -> None:
        import numpy as np

        self.plain, self.count = plain, plain.count
        self.placing: Any = None
        before = plain.after if backward else plain.before
        self.order = range(self.count - 1, -1, -1) if backward else range(self.count)
        self.before = before
        most = max((len(others) for others in before), default=0)
        self.waits_for = np.full((self.count, max(1, most)), self.count, np.int64)
        for job, others in enumerate(before):
            self.waits_for[job, : len(others)] = others
        self.longest = int(plain.lengths.max())
        self.horizon = int(plain.lengths.sum()) + self.longest + 1
        self.ramp, self.days = np.arange(self.longest), np.arange(self.horizon, dtype=np.int16)
        self.taken = plain.needs[:, :, None] * (self.ramp < plain.lengths[:, None, None])
        self.taken, self.needs = self.taken.astype(np.int16), plain.needs.astype(np.int16)
        self.lengths, self.crews = plain.lengths.astype(np.int16), plain.crews.astype(np.int16)

    def generate(self, keys: NDArray[numpy.float64]) -> Members:
        """Schedules for priority lists by member and job: small keys go first."""
        import numpy as np

        if self.placing is not None:
            return self._placed(keys)
        size, count, horizon = len(keys), self.count, self.horizon
        left = np.empty((len(self.crews), size, horizon), np.int16)
        left[:] = self.crews[:, None, None]
        flat, members = left.reshape(-1), np.arange(size)
        corner = (np.arange(len(self.crews)) * size * horizon)[:, None] + members * horizon
        ends, top = np.zeros((size, count + 1), np.int16), 0
        for job in self._in_turn(keys):
            earliest = ends[members[:, None], self.waits_for[job]].max(axis=1)
            begin = self._first_fit(left, job, earliest, top)
            end = begin + self.lengths[job]
            ends[members, job] = end
            top = max(top, int(end.max()))
            flat[(corner + begin)[:, :, None] + self.ramp] -= self.taken[job].transpose(1, 0, 2)
        whole: NDArray[numpy.int64] = ends[:, :count].astype(np.int64)
        used = self.crews[:, None, None] - left[:, :, :top]
        busy = (used / np.maximum(self.crews, 1)[:, None, None]).sum(axis=0)
        return Members(whole, whole.max(axis=1), busy)

    def _placed(self, keys: NDArray[numpy.float64]) -> Members:
        """The same by the inner loop, one member after the other."""
        import numpy as np

        plain, size = self.plain, len(keys)
        ends = np.zeros((size, self.count), np.int64)
        busy = np.zeros((size, self.horizon))
        left = np.empty((self.horizon, len(plain.crews)), np.int64)
        load = (plain.needs / np.maximum(plain.crews, 1)).sum(axis=1)
        turns = self._in_turn(keys)
        self.placing(turns, self.waits_for, plain.lengths, plain.needs, plain.crews, load, left, ends, busy)
        lengths = ends.max(axis=1)
        return Members(ends, lengths, busy[:, : int(lengths.max())])

    def _first_fit(
        self, left: NDArray[numpy.int16], job: NDArray[numpy.int64], earliest: NDArray[numpy.int16], top: int
    ) -> NDArray[numpy.int64]:
        """First days from ``earliest`` on from which on each member's job finds its crews for its whole length.

        Looks near at first; at the latest behind ``top``, the end of all that is placed, everything is free.
        """
        import numpy as np

        low, far = int(earliest.min()), top + self.longest + 1
        for high in (min(far, int(earliest.max()) + NEAR * self.longest), far):
            window = self.days[low:high]
            enough = (left[:, :, low:high] >= self.needs[job].T[:, :, None]).all(axis=0)
            enough &= window >= earliest[:, None]
            short = np.where(enough, np.int16(32_000), window)
            run = np.minimum.accumulate(short[:, ::-1], axis=1)[:, ::-1] - window
            fits = run >= self.lengths[job][:, None]
            begin: NDArray[numpy.int64] = fits.argmax(axis=1)
            if high == far or fits[np.arange(len(begin)), begin].all():
                break
        return begin + low

    def _in_turn(self, keys: NDArray[numpy.float64]) -> NDArray[numpy.int64]:
        """Jobs by turn and member: by key, each after all it waits for."""
        import numpy as np

        raised = np.ascontiguousarray(keys.T)
        for job in self.order:
            for other in self.before[job]:
                np.maximum(raised[job], raised[other] + 1e-6, out=raised[job])
        return np.argsort(raised, axis=0, kind="stable")


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
    waiting: bool = True,
) -> Evolved:
    """Search while ``keep_going()`` and within ``rounds``, until the least length is met; repeatable by seed.

    ``tell`` hears of every better schedule. ``waiting`` for the compiler costs a second or more in which nobody
    is asked whether to go on; not waiting takes longer until compiled code is there. Compiled code makes so many
    schedules that the population may be GROWTH times as large before it becomes too much of one kind; so numbers
    repeat only with it or only without.
    """
    import numpy as np

    forward, backward = _Serial(plain, False), _Serial(plain, True)
    chance = np.random.default_rng(seed)
    keys = chance.normal(0, 0.1 * plain.least_length, (population, plain.count)) - plain.tails
    keys[0] = -plain.tails
    standing = _fittest(forward.generate(keys), population)
    swift = _swift(waiting or rounds is not None)
    best, tried, done = _shortest(standing), population, 0
    tell(*best)
    while (rounds is None or done < rounds) and best[1] > plain.least_length and keep_going():
        if forward.placing is None and (placing := swift(done)):
            forward.placing = backward.placing = placing
            population *= GROWTH
        keys = _children(standing, chance) if done else _turned(standing)
        born = forward.generate(_turned(backward.generate(keys)))
        standing = _fittest(_together(standing, born), population)
        done, tried = done + 1, tried + 2 * len(keys)
        if _shortest(standing)[1] < best[1]:
            best = _shortest(standing)
            tell(*best)
    return Evolved(*best, tried)


def _swift(waiting: bool) -> Callable[[int], Any]:
    """Compiled code by the number of rounds done, or None; ``waiting`` for it makes the answer repeatable."""
    compiling: inner_loop.Compiling | None = None

    def swift(done: int) -> Any:
        nonlocal compiling
        if done < BEFORE_COMPILING:
            return None
        if waiting:
            return inner_loop.compiled() if done == BEFORE_COMPILING else None
        compiling = compiling or inner_loop.Compiling()
        return compiling.ready()

    return swift


def _turned(members: Members) -> NDArray[numpy.float64]:
    """Keys against the other end of time: what ends last goes first."""
    keys: NDArray[numpy.float64] = (members.lengths[:, None] - members.ends).astype(float)
    return keys


def _fitness(members: Members) -> NDArray[numpy.float64]:
    """Small is fit: the length, and between equal lengths the mean end of the jobs as a fraction of a day.

    The second part tells apart what the first leaves level, and so shows the way to shorter schedules.
    """
    fitness: NDArray[numpy.float64] = (
        members.lengths + 0.9 * members.ends.mean(axis=1) / members.lengths.max()
    )
    return fitness


def _fittest(members: Members, population: int) -> Members:
    """The fittest members, no two of them alike."""
    import numpy as np

    chosen: list[int] = []
    known: set[bytes] = set()
    for number in np.argsort(_fitness(members), kind="stable").tolist():
        ends = members.ends[number].tobytes()
        if ends not in known and len(chosen) < population:
            known.add(ends)
            chosen.append(number)
    return _some(members, np.array(chosen))


def _some(members: Members, numbers: NDArray[numpy.int64]) -> Members:
    return Members(members.ends[numbers], members.lengths[numbers], members.busy[numbers])


def _together(one: Members, two: Members) -> Members:
    import numpy as np

    days = max(one.busy.shape[1], two.busy.shape[1])
    busy = [np.pad(members.busy, ((0, 0), (0, days - members.busy.shape[1]))) for members in (one, two)]
    return Members(
        np.concatenate([one.ends, two.ends]), np.concatenate([one.lengths, two.lengths]), np.concatenate(busy)
    )


def _children(standing: Members, chance: numpy.random.Generator) -> NDArray[numpy.float64]:
    """Keys of a new generation: crossed, or only their first parent's, and often disturbed."""
    import numpy as np

    first, second = (_some(standing, _drawn(standing, chance)) for _ in range(2))
    keys, other = _turned(first), _turned(second)
    begin, end = _busiest(first, chance)
    inside = (keys >= begin) & (keys < end)
    crossed = np.where(inside, keys, np.where(other < begin, other - APART, other + APART))
    child = np.where(chance.random((CHILDREN, 1)) < CROSSED, crossed, keys)
    noise = chance.normal(0, max(3.0, float(standing.lengths.min()) / 20), keys.shape)
    noise *= chance.random(keys.shape) < MOVED / keys.shape[1]
    noise *= chance.random((CHILDREN, 1)) < DISTURBED
    return child + noise


def _drawn(standing: Members, chance: numpy.random.Generator) -> NDArray[numpy.int64]:
    """CHILDREN members, each the fittest of a few drawn at random."""
    import numpy as np

    fitness = _fitness(standing)
    drawn = chance.integers(0, len(fitness), (RIVALS, CHILDREN))
    winners: NDArray[numpy.int64] = drawn[fitness[drawn].argmin(axis=0), np.arange(CHILDREN)]
    return winners


def _busiest(
    members: Members, chance: numpy.random.Generator
) -> tuple[NDArray[numpy.int64], NDArray[numpy.int64]]:
    """For each member the busiest of a few stretches of its time, as columns that count from its end."""
    import numpy as np

    shape = (1, len(members.lengths))
    width = np.maximum(1, (members.lengths * chance.uniform(*WIDTH, shape)).astype(np.int64))
    begin = (chance.random((STRETCHES, shape[1])) * (members.lengths - width + 1)).astype(np.int64)
    rows = np.arange(shape[1])
    so_far = np.pad(members.busy.cumsum(axis=1), ((0, 0), (1, 0)))
    work = so_far[rows, begin + width] - so_far[rows, begin]
    chosen = begin[work.argmax(axis=0), rows]
    last: NDArray[numpy.int64] = (members.lengths - chosen).reshape(-1, 1)
    return last - width.reshape(-1, 1), last


def _shortest(members: Members) -> tuple[list[int], int]:
    number = int(members.lengths.argmin())
    return members.ends[number].tolist(), int(members.lengths[number])


def _drawn_through(shop: Shop, numbers: dict[int, int]) -> list[list[int]]:
    """Jobs that each job waits for, tasks without length left out."""
    reached: list[set[int]] = []
    for i in range(shop.count):
        found: set[int] = set()
        for other in shop.before[i]:
            found |= {numbers[other]} if other in numbers else reached[other]
        reached.append(found)
    return [sorted(reached[i]) for i in numbers]
