"""Three-point durations."""

from __future__ import annotations

from dataclasses import dataclass


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
