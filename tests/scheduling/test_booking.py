"""The cost curve against the plain sum over all samples, and the fractile in closed form."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coordination.scheduling.booking import (
    Advice,
    DayCost,
    Readiness,
    Terms,
    VisitDays,
    advise,
    first_bookable,
    visit_days,
)
from coordination.scheduling.calendars import EVERY_DAY, WorkCalendar

TODAY = date(2026, 3, 2)  # a Monday
EVERY = WorkCalendar(date(2026, 1, 1), 700, EVERY_DAY)
CREW = WorkCalendar(date(2026, 1, 1), 700, closed=frozenset({date(2026, 3, 13)}))
TERMS = Terms(EVERY, 0, 0, 0, wasted_trip=90_000, waiting_day=10_000)

ready = st.dictionaries(
    st.integers(0, 60).map(lambda n: TODAY + timedelta(days=n)), st.integers(1, 50), min_size=1
)
terms = st.builds(
    Terms,
    st.sampled_from([EVERY, CREW]),
    st.integers(0, 10),
    st.just(2),
    st.just(1),
    st.integers(0, 10**6),
    st.integers(0, 10**5),
    st.integers(0, 10**5),
)


@given(ready, terms)
def test_every_day_costs_the_mean_over_the_samples(ready_days, terms):
    for point in advise(ready_days, terms, TODAY).curve:
        total = waiting = late = 0
        for day, count in ready_days.items():
            apart = (point.day - day).days
            total += count * (
                terms.waiting_day * apart if apart >= 0 else terms.wasted_trip - terms.early_day * apart
            )
            waiting += count * max(apart, 0)
            late += count * (apart < 0)
        samples = sum(ready_days.values())
        assert point == DayCost(point.day, total / samples, late / samples, waiting / samples)


@given(ready, terms)
def test_the_curve_runs_over_the_crews_days_until_every_sample_is_ready(ready_days, terms):
    advice = advise(ready_days, terms, TODAY)
    days = [point.day for point in advice.curve]
    assert days[0] == first_bookable(terms, TODAY)
    assert days == [
        day
        for n in range(200)
        if terms.calendar.is_working(day := days[0] + timedelta(days=n)) and day <= days[-1]
    ]
    assert days[-1] >= max(ready_days)
    assert advice.cheapest.cost == min(point.cost for point in advice.curve)
    chances = [point.wasted for point in advice.curve]
    assert chances == sorted(chances, reverse=True)
    assert chances[-1] == 0


@given(ready, st.integers(0, 10**5), st.integers(1, 10**5))
def test_with_a_cost_per_early_day_alone_it_is_the_newsvendors_fractile(ready_days, early_day, waiting_day):
    advice = advise(ready_days, Terms(EVERY, 0, 0, 0, 0, waiting_day, early_day), TODAY)
    samples, seen = sum(ready_days.values()), 0
    for day in sorted(ready_days):
        seen += ready_days[day]
        if seen * (early_day + waiting_day) >= samples * early_day:
            break
    assert advice.cheapest.cost == min(
        DayCost_of(ready_days, day, early_day, waiting_day), advice.cheapest.cost
    )
    assert advice.cheapest.cost == pytest.approx(
        DayCost_of(ready_days, day if early_day else TODAY, early_day, waiting_day)
    )


def DayCost_of(ready_days, day, early_day, waiting_day):
    return Readiness(ready_days).on(day, Terms(EVERY, 0, 0, 0, 0, waiting_day, early_day)).cost


@given(ready, terms, st.integers(1, 10**6))
def test_a_dearer_wasted_trip_never_brings_the_visit_forward(ready_days, terms, more):
    before = advise(ready_days, terms, TODAY).cheapest
    after = advise(ready_days, replace(terms, wasted_trip=terms.wasted_trip + more), TODAY).cheapest
    assert after.wasted <= before.wasted


def test_a_worked_case():
    """Ready on Friday 6 (30 %), Monday 9 (50 %), Thursday 12 (20 %); 900 for a wasted trip, 100 a day of waiting."""
    ready_days = {date(2026, 3, 6): 30, date(2026, 3, 9): 50, date(2026, 3, 12): 20}
    advice = advise(ready_days, replace(TERMS, calendar=CREW, lead=4), TODAY)
    assert [(point.day.day, round(point.cost), point.wasted) for point in advice.curve] == [
        (6, 63_000, 0.7),
        (9, 27_000, 0.2),
        (10, 35_000, 0.2),
        (11, 43_000, 0.2),
        (12, 33_000, 0.0),
    ]
    assert advice.advised == advice.cheapest == advice.curve[1]


def test_the_go_no_go_list_outranks_the_curve():
    free = advise({TODAY: 1}, TERMS, TODAY)
    held = advise({TODAY: 1}, TERMS, TODAY, held_by=("guard@landing-2",))
    assert held == Advice(free.curve, free.cheapest, ("guard@landing-2",))
    assert (free.advised, held.advised) == (free.cheapest, None)


def test_days_that_hang_on_a_visit_are_counted_in_the_crews_days():
    terms = replace(TERMS, calendar=CREW, lead=10, free_cancellation=3, confirm=1)
    assert visit_days(terms, date(2026, 3, 16)) == VisitDays(
        date(2026, 3, 16), date(2026, 2, 27), date(2026, 3, 10), date(2026, 3, 12)
    )


def test_nothing_known_is_refused():
    with pytest.raises(ValueError, match="no samples"):
        advise({}, TERMS, TODAY)
    with pytest.raises(ValueError, match="lead: 0 or more"):
        replace(TERMS, lead=-1)
