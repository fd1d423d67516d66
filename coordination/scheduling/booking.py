"""Which day to send the crew: what each day costs on average, from the same samples as the forecast.

With D the first day on which the site is ready, a trip on day v costs

- ``wasted_trip`` once, and ``early_day`` for each day still missing, when D is after v;
- ``waiting_day`` for each calendar day from D to v, when it is not.

With a cost per early day alone the cheapest day is the newsvendor's: the first on which the site is ready with
the share early_day / (early_day + waiting_day). A fixed cost moves it further out.

Source: common practice, no source; the fractile is Arrow, Harris and Marschak, Econometrica 19 (1951), from memory.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import accumulate

from .calendars import WorkCalendar

MOST_DAYS = 800


@dataclass(frozen=True)
class Terms:
    """What a visit is booked on. Money in cents; all counts of days are working days of the crew's calendar.

    A visit is booked at least ``lead`` days ahead, may be cancelled free of charge until ``free_cancellation``
    days before, and is confirmed ``confirm`` days before.
    """

    calendar: WorkCalendar
    lead: int
    free_cancellation: int
    confirm: int
    wasted_trip: int
    waiting_day: int
    early_day: int = 0

    def __post_init__(self) -> None:
        for name, value in vars(self).items():
            if name != "calendar" and value < 0:
                raise ValueError(f"{name}: 0 or more")


@dataclass(frozen=True)
class DayCost:
    """One day of the cost curve: mean cost in cents, chance that the site is not ready, mean days of waiting."""

    day: date
    cost: float
    wasted: float
    waiting: float


@dataclass(frozen=True)
class VisitDays:
    """The days that hang on a visit."""

    day: date
    book_by: date
    last_free_cancellation: date
    confirm_by: date


@dataclass(frozen=True)
class Advice:
    """The curve from the first bookable day to the day on which every sample is ready.

    ``cheapest`` is the first of the cheapest days. ``advised`` is the same day, or None while anything on the
    go/no-go list is missing: ``held_by`` then names it, and no curve outranks it.
    """

    curve: tuple[DayCost, ...]
    cheapest: DayCost
    held_by: tuple[str, ...]

    @property
    def advised(self) -> DayCost | None:
        """The day to book, None while the go/no-go list holds the visit."""
        return None if self.held_by else self.cheapest


class Readiness:
    """How likely the site is ready, by day: ``ready_days`` counts samples by their first ready day.

    Raises ValueError when there is no sample.
    """

    def __init__(self, ready_days: Mapping[date, int]) -> None:
        counts = {day: count for day, count in sorted(ready_days.items()) if count}
        if not counts:
            raise ValueError("no samples of the ready day")
        self.samples = sum(counts.values())
        self.last = max(counts)
        self._days = [day.toordinal() for day in counts]
        self._ready = [0, *accumulate(counts.values())]
        self._ordinals = [
            0,
            *accumulate(n * count for n, count in zip(self._days, counts.values(), strict=True)),
        ]

    def on(self, day: date, terms: Terms) -> DayCost:
        """What a trip on ``day`` costs, whether or not it can still be booked."""
        number = day.toordinal()
        found = bisect_right(self._days, number)
        ready, ordinals = self._ready[found], self._ordinals[found]
        waiting = ready * number - ordinals
        late = self.samples - ready
        early = (self._ordinals[-1] - ordinals) - late * number
        cost = terms.wasted_trip * late + terms.early_day * early + terms.waiting_day * waiting
        return DayCost(day, cost / self.samples, late / self.samples, waiting / self.samples)


def advise(
    ready_days: Mapping[date, int], terms: Terms, today: date, held_by: tuple[str, ...] = ()
) -> Advice:
    """Cost of every day the crew works, from the first bookable one on. Raises ValueError, OutOfHorizon.

    ``held_by`` are the missing entries of the go/no-go list.
    """
    readiness = Readiness(ready_days)
    day = first_bookable(terms, today)
    curve = [readiness.on(day, terms)]
    while day < readiness.last and len(curve) < MOST_DAYS:
        day = terms.calendar.roll_forward(day + timedelta(days=1))
        curve.append(readiness.on(day, terms))
    return Advice(tuple(curve), min(curve, key=lambda on_day: on_day.cost), held_by)


def first_bookable(terms: Terms, today: date) -> date:
    """The first day for which a visit can be booked today. Raises OutOfHorizon."""
    return terms.calendar.add(today, terms.lead)


def visit_days(terms: Terms, day: date) -> VisitDays:
    """Last days to book, to cancel free of charge and to confirm a visit on ``day``. Raises OutOfHorizon."""
    back = terms.calendar.add
    return VisitDays(
        day, back(day, -terms.lead), back(day, -terms.free_cancellation), back(day, -terms.confirm)
    )
