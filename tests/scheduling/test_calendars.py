"""Working days against numpy's business-day arithmetic, and what a calendar refuses."""

from datetime import date, timedelta

import numpy
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coordination.scheduling.calendars import CalendarError, OutOfHorizon, WorkCalendar

START = date(2026, 1, 1)
some_days = st.integers(0, 399).map(lambda n: START + timedelta(days=n))
calendars = st.builds(
    lambda weekdays, closed: WorkCalendar(START, 400, weekdays, closed),
    st.frozensets(st.integers(0, 6), min_size=1),
    st.frozensets(some_days, max_size=12),
)


def mask(calendar):
    return numpy.busdaycalendar(
        [day in calendar.weekdays for day in range(7)],
        sorted(calendar.closed) and [*map(str, sorted(calendar.closed))],
    )


@given(calendars, some_days, st.integers(-30, 30))
def test_adding_working_days_equals_numpy(calendar, day, working_days):
    wanted = numpy.busday_offset(str(day), working_days, roll="forward", busdaycal=mask(calendar)).astype(
        object
    )
    if START <= wanted <= calendar.last:
        assert calendar.add(day, working_days) == wanted
    else:
        with pytest.raises(OutOfHorizon):
            calendar.add(day, working_days)


@given(calendars, some_days, some_days)
def test_counting_working_days_equals_numpy(calendar, a, b):
    begin, end = sorted([a, b])
    assert calendar.count(begin, end) == numpy.busday_count(str(begin), str(end), busdaycal=mask(calendar))
    assert calendar.count(end, begin) == -calendar.count(begin, end)
    assert calendar.is_working(a) == bool(numpy.is_busday(str(a), busdaycal=mask(calendar)))


def test_opened_days_are_worked_besides():
    calendar = WorkCalendar(START, 60, opened=frozenset({date(2026, 1, 3)}))  # a Saturday
    assert calendar.roll_forward(date(2026, 1, 3)) == date(2026, 1, 3)
    assert calendar.add(date(2026, 1, 2), 2) == date(2026, 1, 5)


@pytest.mark.parametrize(
    ("given_", "kind"),
    [
        ({"horizon_days": 0}, "horizon too short"),
        ({"weekdays": frozenset({7})}, "no such weekday"),
        ({"weekdays": frozenset()}, "no working day"),
        ({"closed": frozenset({START}), "opened": frozenset({START})}, "closed and opened"),
    ],
)
def test_impossible_calendars_are_refused_by_name(given_, kind):
    with pytest.raises(CalendarError) as refusal:
        WorkCalendar(START, **{"horizon_days": 60, **given_})
    assert refusal.value.kind == kind


def test_days_outside_the_horizon_are_refused_with_its_limits():
    calendar = WorkCalendar(START, 31)
    with pytest.raises(OutOfHorizon) as refusal:
        calendar.roll_forward(date(2026, 2, 2))
    assert (refusal.value.first, refusal.value.last) == (START, date(2026, 1, 31))
