"""Three-point durations, and samples of them that are the same whatever else the network holds."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    import numpy
    from numpy.typing import NDArray

Shape = Literal["triangular", "beta"]
Points = Literal["P10 and P90", "limits"]
CELLS = 4096
GRID = 2048
REACH = 4.0
SHAPES = 256


class EstimateError(ValueError):
    """Three points out of order: wanted low <= likely <= high, none negative."""


@dataclass(frozen=True)
class Estimate:
    """A duration in working days: P10, most likely, P90. Raises EstimateError."""

    low: int
    likely: int
    high: int

    def __post_init__(self) -> None:
        if not 0 <= self.low <= self.likely <= self.high:
            raise EstimateError("low <= likely <= high, none negative")


@dataclass(frozen=True)
class Curve:
    """How three points become a distribution.

    ``points`` says what low and high are: P10 and P90 (what people give when asked for the shortest and longest they
    have seen), or hard limits. A beta has the weight of the most likely value that the PERT formula gives it,
    alpha + beta = 6.
    """

    shape: Shape = "beta"
    points: Points = "P10 and P90"

    def quantiles(self, estimate: Estimate, shares: NDArray[numpy.float64]) -> NDArray[numpy.float64]:
        """Days, not rounded, that are not exceeded with the given shares (of 0 to 1) of certainty."""
        import numpy as np

        low, likely, high = estimate.low, estimate.likely, estimate.high
        if low == high:
            return np.full(shares.shape, float(low))
        if self.points == "limits":
            return low + (high - low) * _unit(self.shape, (likely - low) / (high - low), shares)
        modes, lowest, highest = _fits(self.shape)
        mode = float(np.interp((likely - low) / (high - low), (modes - lowest) / (highest - lowest), modes))
        p10, p90 = _unit(self.shape, mode, np.array([0.1, 0.9]))
        scaled: NDArray[numpy.float64] = (_unit(self.shape, mode, shares) - p10) / (p90 - p10)
        return low + (high - low) * scaled


def _unit(shape: Shape, mode: float, shares: NDArray[numpy.float64]) -> NDArray[numpy.float64]:
    """Quantiles of the distribution between 0 and 1 with the given mode."""
    import numpy as np

    if shape == "triangular":
        rising = np.sqrt(shares * mode)
        return np.where(shares < mode, rising, 1 - np.sqrt((1 - shares) * (1 - mode)))
    x, below = _beta(1 + 4 * mode)
    return np.interp(shares, below, x)


@lru_cache(maxsize=512)
def _beta(alpha: float) -> tuple[NDArray[numpy.float64], NDArray[numpy.float64]]:
    """A beta with alpha + beta = 6 as points (x, share below x): Simpson's rule between the points."""
    import numpy as np

    fine = np.linspace(0, 1, 2 * GRID + 1)
    density = fine ** (alpha - 1) * (1 - fine) ** (5 - alpha)
    steps = density[:-2:2] + 4 * density[1::2] + density[2::2]
    below = np.concatenate([[0.0], np.cumsum(steps)])
    return fine[::2], below / below[-1]


@lru_cache(maxsize=2)
def _fits(shape: Shape) -> tuple[NDArray[numpy.float64], NDArray[numpy.float64], NDArray[numpy.float64]]:
    """Modes with the P10 and P90 that belong to them, from the mode at P10 to the mode at P90."""
    import numpy as np

    modes = np.linspace(0, 1, SHAPES + 1)
    p10, p90 = np.array([_unit(shape, float(mode), np.array([0.1, 0.9])) for mode in modes]).T
    inside = (modes >= p10) & (modes <= p90)
    first, last = int(np.argmax(inside)), len(modes) - int(np.argmax(inside[::-1]))
    span = slice(max(first - 1, 0), last + 1)
    return modes[span], p10[span], p90[span]


@lru_cache(maxsize=1)
def _normal_shares() -> NDArray[numpy.float64]:
    """Shares below the middles of CELLS equal cells between -REACH and REACH standard deviations."""
    import numpy as np

    middles = (np.arange(CELLS) + 0.5) / CELLS * 2 * REACH - REACH
    return np.array([0.5 * math.erfc(-z / math.sqrt(2)) for z in middles])


@lru_cache(maxsize=1024)
def _days(estimate: Estimate, curve: Curve, done: float, normal: bool) -> NDArray[numpy.int32]:
    """Whole days by cell: of equal chance, or equally wide in standard deviations."""
    import numpy as np

    shares = _normal_shares() if normal else (np.arange(CELLS) + 0.5) / CELLS
    days = np.rint(curve.quantiles(estimate, shares) * (1 - done))
    return np.maximum(days, 1).astype(np.int32)


class Draws:
    """Random numbers by task and by cause, from one seed.

    Each task draws from a stream of its own, made of the seed and its key. So another estimate, another link
    or another task leaves every other draw as it was, and two forecasts can be compared sample by sample.
    """

    def __init__(self, seed: int, samples: int, causes: float) -> None:
        self.seed, self.samples, self.causes = seed, samples, causes
        self._shared: dict[str, NDArray[numpy.float32]] = {}

    def days(
        self, key: str, estimate: Estimate, curve: Curve, cause: str = "", done: float = 0.0
    ) -> NDArray[numpy.int32]:
        """Sampled whole days of one task of which the share ``done`` lies behind; never less than one day."""
        import numpy as np

        own = self._stream("task", key)
        if not cause or not self.causes:
            cells = own.integers(0, CELLS, self.samples, dtype=np.uint16)
            return _days(estimate, curve, done, False)[cells]
        z = own.standard_normal(self.samples, dtype=np.float32)
        z *= math.sqrt(1 - self.causes)
        z += self._of_cause(cause)
        z += REACH
        z *= CELLS / (2 * REACH)
        cells = np.clip(z, 0, CELLS - 1).astype(np.intp)
        return _days(estimate, curve, done, True)[cells]

    def _of_cause(self, cause: str) -> NDArray[numpy.float32]:
        import numpy as np

        if cause not in self._shared:
            drawn = self._stream("cause", cause).standard_normal(self.samples, dtype=np.float32)
            self._shared[cause] = drawn * np.float32(math.sqrt(self.causes))
        return self._shared[cause]

    def _stream(self, kind: str, key: str) -> numpy.random.Generator:
        import numpy as np

        name = int.from_bytes(f"{kind} {key}".encode(), "big")
        return np.random.Generator(np.random.SFC64(np.random.SeedSequence([self.seed, name])))
