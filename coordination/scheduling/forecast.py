"""How sure the dates are: the network run many times over with sampled durations.

Only work still to do is sampled, from the data date on; calendars and all kinds of link apply in every sample.
Dates are whole days: of a quantile, the last day of work, as a schedule has it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import TYPE_CHECKING

from .calendars import OutOfHorizon
from .estimates import Curve, Draws, Estimate
from .network import Network
from .passes import Passes

if TYPE_CHECKING:
    import numpy
    from numpy.typing import NDArray

SHARES = (0.1, 0.5, 0.8, 0.9)
END = ""
DEFAULT_CURVE = Curve()
BLOCK = 2500


@dataclass(frozen=True)
class Quantile:
    """The first day by whose end at least ``share`` of the samples are done.

    ``low`` and ``high`` hold the true quantile with 95 % confidence (order statistics, exact binomial ranks).
    """

    share: float
    last_day: date
    low: date
    high: date


@dataclass(frozen=True)
class Settings:
    """How a forecast is made. ``causes`` is the correlation between tasks that share a cause (0 to 1).

    The correlation is that of the normal scores of the two durations: a Gaussian copula with one common factor.
    """

    samples: int = 10_000
    seed: int = 20_250_101
    causes: float = 0.3
    curve: Curve = DEFAULT_CURVE

    def __post_init__(self) -> None:
        if self.samples < 1:
            raise ValueError("samples: at least 1")
        if self.seed < 0:
            raise ValueError("seed: 0 or more")
        if not 0 <= self.causes <= 1:
            raise ValueError("causes: a correlation between 0 and 1")


class Forecast:
    """Samples of every date of a network. Tasks are named by key; END, the empty key, is the whole project."""

    def __init__(
        self,
        passes: Passes,
        settings: Settings,
        lengths: NDArray[numpy.int32],
        ends: NDArray[numpy.int32],
        driving: Mapping[str, Mapping[str, float]],
    ) -> None:
        self.settings, self.driving = settings, driving
        self._passes, self._lengths, self._ends = passes, lengths, ends

    def quantiles(self, key: str = END, shares: Sequence[float] = SHARES) -> tuple[Quantile, ...]:
        """Dates that are kept with the given certainty. Raises KeyError."""
        import numpy as np

        ordered = np.sort(self._boundaries(key))
        found = []
        for share in shares:
            ranks = _ranks(share, self.settings.samples)
            middle, low, high = (self._passes.date(int(ordered[rank - 1]) - 1) for rank in ranks)
            found.append(Quantile(share, middle, low, high))
        return tuple(found)

    def chance_by(self, last_day: date, key: str = END) -> float:
        """Share of the samples that are done by the end of ``last_day``."""
        import numpy as np

        return float(np.mean(self._boundaries(key) <= self._passes.number(last_day) + 1))

    def mean_length(self, key: str = END) -> float:
        """Mean number of days from the start of the project to the boundary."""
        return float(self._boundaries(key).mean()) - self._passes.number(self._passes.network.start)

    def ready_days(self, key: str = END) -> dict[date, int]:
        """How often each day was the first one on which everything is done."""
        import numpy as np

        days, counts = np.unique(self._boundaries(key), return_counts=True)
        return {self._passes.date(int(day)): int(count) for day, count in zip(days, counts, strict=True)}

    def swings(self, key: str = END) -> dict[str, float]:
        """Calendar days by which the date moves when a task goes from its P10 to its P90, widest first.

        The slope of the date over the task's length in these samples, times that step; what other tasks with
        the same cause do at the same time is part of it. Tasks without spread are left out.
        """
        return self.swings_towards((key,))[key]

    def swings_towards(self, keys: Sequence[str]) -> dict[str, dict[str, float]]:
        """``swings`` of several dates, for little more than the price of one."""
        import numpy as np

        targets = np.array([self._boundaries(key) for key in keys], np.float64)
        targets -= targets.mean(axis=1, keepdims=True)
        found: dict[str, dict[str, float]] = {key: {} for key in keys}
        for task, lengths in zip(self._passes.tasks, self._lengths, strict=True):
            own = lengths - lengths.mean(dtype=np.float64)
            if spread := float(own @ own):
                low, high = np.percentile(lengths, (10, 90))
                for key, slope in zip(keys, targets @ own / spread, strict=True):
                    found[key][task.key] = float(slope * (high - low))
        return {
            key: dict(sorted(of.items(), key=lambda item: (-item[1], item[0]))) for key, of in found.items()
        }

    def boundaries(self, key: str = END) -> list[date]:
        """The first day on which everything is done, sample by sample: the same sample has the same draws."""
        return [self._passes.date(int(boundary)) for boundary in self._boundaries(key)]

    def _boundaries(self, key: str) -> NDArray[numpy.int32]:
        row: NDArray[numpy.int32] = self._ends[self._passes.rank[key] if key != END else self._passes.count]
        return row


def forecast(
    network: Network,
    estimates: Mapping[str, Estimate],
    causes: Mapping[str, str] | None = None,
    settings: Settings | None = None,
    towards: Sequence[str] = (),
) -> Forecast:
    """Run ``network`` with sampled durations for the tasks that have an estimate.

    ``driving`` of the answer says, for the end of the project and for each task in ``towards``, in which share of
    the samples each task lay on a chain of links that set its date. A task under way is sampled for the share
    of its duration that remains. Raises KeyError for estimates of unknown tasks, OutOfHorizon.
    """
    import numpy as np

    settings = settings or Settings()
    passes = Passes(network)
    for key in (*estimates, *(causes or {}), *towards):
        passes.rank[key]
    draws = Draws(settings.seed, settings.samples, settings.causes)
    lengths = np.empty((passes.count, settings.samples), np.int32)
    for rank, task in enumerate(passes.tasks):
        length, estimate = passes.lengths[rank], estimates.get(task.key)
        if not length or estimate is None:
            lengths[rank] = length
        else:
            done = 1 - length / task.duration if task.started and task.duration else 0.0
            lengths[rank] = draws.days(
                task.key, estimate, settings.curve, (causes or {}).get(task.key, ""), done
            )
    run = _Run(passes, towards)
    ends = np.empty((passes.count + 1, settings.samples), np.int32)
    for first in range(0, settings.samples, BLOCK):
        block = slice(first, first + BLOCK)
        try:
            run.block(lengths[:, block], ends[:, block])
        except IndexError:
            raise OutOfHorizon(network.first, network.last) from None
    driving = {
        target: {task.key: count / settings.samples for task, count in zip(passes.tasks, counts, strict=True)}
        for target, counts in run.driving.items()
    }
    return Forecast(passes, settings, lengths, ends, driving)


class _Run:
    """The forward pass over blocks of samples at once; see passes for places and steps."""

    def __init__(self, passes: Passes, towards: Sequence[str]) -> None:
        import numpy as np

        self.passes = passes
        self.driving = {target: [0] * passes.count for target in (END, *towards)}
        self.links = passes.bounds()
        tables = {id(tables): tables for tables in passes.tables}
        self.day = {name: np.array(table.day) for name, table in tables.items()}
        self.evening = {name: np.array(table.evening) for name, table in tables.items()}
        self.starts_read = {place for links in self.links for _, place, *_ in links if place < passes.count}

    def block(self, lengths: NDArray[numpy.int32], ends: NDArray[numpy.int32]) -> None:
        """Fill ``ends`` (a row of boundaries by rank, and last the end of the project) from ``lengths``."""
        import numpy as np

        passes, n = self.passes, self.passes.count
        at: dict[int, NDArray[numpy.intp] | int] = dict(enumerate(passes.at))
        bounds: list[list[tuple[int, NDArray[numpy.bool_]]]] = [[] for _ in range(n)]
        for i, task in enumerate(passes.tasks):
            if task.finished:
                ends[i] = passes.at[n + i]
                continue
            k: NDArray[numpy.intp] | int = passes.floors[i]
            met = []
            for before, place, bound, days, more, binds_end in self.links[i]:
                x = at[place] + days if days else at[place]
                least = bound.array[x]
                if more:
                    least = least + more
                if binds_end:
                    least = least - lengths[i]
                met.append((before, least))
                k = np.maximum(k, least)
            bounds[i] = [(before, least == k) for before, least in met]
            name = id(passes.tables[i])
            if i in self.starts_read:
                at[i] = self.day[name][k]
            boundary = self.evening[name][k + lengths[i]]
            at[n + i] = boundary
            ends[i] = boundary if passes.lengths[i] else np.maximum(boundary, passes.base)
        ends[n] = ends[:n].max(axis=0, initial=passes.base if passes.rows else 0)
        for target, counts in self.driving.items():
            self._trace(target, counts, bounds, ends)

    def _trace(
        self,
        target: str,
        counts: list[int],
        bounds: list[list[tuple[int, NDArray[numpy.bool_]]]],
        ends: NDArray[numpy.int32],
    ) -> None:
        """Add up in how many samples each open task lies on a driving chain to the target."""
        import numpy as np

        n = self.passes.count
        drives = np.zeros(ends[:n].shape, np.bool_)
        if target == END:
            still_open = [i for i, *_ in self.passes.rows]
            drives[still_open] = ends[still_open] == ends[still_open].max(axis=0, initial=0)
        else:
            drives[self.passes.rank[target]] = True
        for i in range(n - 1, -1, -1):
            if self.passes.tasks[i].finished:
                continue
            for before, binds in bounds[i]:
                drives[before] |= binds & drives[i]
            counts[i] += int(np.count_nonzero(drives[i]))


@lru_cache(maxsize=64)
def _ranks(share: float, samples: int) -> tuple[int, int, int]:
    """Rank of the quantile, and the ranks between which the true one lies with 95 % confidence."""
    middle = min(max(math.ceil(share * samples - 1e-9), 1), samples)
    low, high, below = 1, samples, 0.0
    for count in range(samples):
        below += _binomial(count, samples, share)
        if below <= 0.025:
            low = count + 1
        if below >= 0.975:
            high = count + 1
            break
    return middle, min(low, middle), max(high, middle)


def _binomial(count: int, samples: int, share: float) -> float:
    ways = math.lgamma(samples + 1) - math.lgamma(count + 1) - math.lgamma(samples - count + 1)
    return math.exp(ways + count * math.log(share) + (samples - count) * math.log1p(-share))
