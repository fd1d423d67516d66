"""Hours that count only while people are at work."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coordination.readiness import WorkingHours, answer_hours, due_after, halfway
from coordination.readiness.working_hours import NoWorkingDay

DENVER = ZoneInfo("America/Denver")
SITE = WorkingHours()


def at(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=DENVER)


@pytest.mark.parametrize(
    ("asked", "hours", "due"),
    [
        ("2026-03-02T08:00", 4, "2026-03-02T12:00"),
        ("2026-03-02T11:00", 4, "2026-03-02T15:00"),
        ("2026-03-02T14:00", 4, "2026-03-03T10:00"),
        ("2026-03-06T14:30", 4, "2026-03-09T10:30"),
        ("2026-03-07T10:00", 4, "2026-03-09T11:00"),
        ("2026-03-02T05:00", 4, "2026-03-02T11:00"),
        ("2026-03-02T20:00", 16, "2026-03-04T15:00"),
    ],
)
def test_hours_run_only_in_working_time(asked, hours, due):
    assert due_after(at(asked), hours, SITE) == at(due)


def test_closed_days_are_skipped_and_opened_ones_count():
    calendar = WorkingHours(closed={date(2026, 3, 9)}, opened={date(2026, 3, 7)})
    assert due_after(at("2026-03-06T15:00"), 8, calendar) == at("2026-03-07T15:00")
    assert due_after(at("2026-03-07T14:30"), 1, calendar) == at("2026-03-10T07:30")


def test_the_night_the_clocks_change_does_not_move_the_wall_clock():
    """Sunday 8 March 2026: 02:00 becomes 03:00 in Denver."""
    due = due_after(at("2026-03-06T14:00"), 4, SITE)
    assert (due, due.utcoffset()) == (at("2026-03-09T10:00"), timedelta(hours=-6))


def test_covered_work_is_answered_within_four_hours_and_else_the_shortest_time_asked_counts():
    assert answer_hours([24, 16], about_to_be_covered=True) == 4
    assert answer_hours([24, 16], about_to_be_covered=False) == 16
    assert answer_hours([], about_to_be_covered=False) == 8


def test_a_calendar_without_working_days_is_refused():
    with pytest.raises(NoWorkingDay):
        due_after(at("2026-03-02T08:00"), 1, WorkingHours(weekdays=frozenset()))
    with pytest.raises(ValueError, match="by the hour"):
        due_after(at("2026-03-02T08:00"), 0, SITE)
    with pytest.raises(ValueError, match="by the hour"):
        due_after(at("2026-03-02T08:00"), 1, WorkingHours(begins=time(9), ends=time(9)))


moments = st.integers(0, 365 * 24 * 60).map(
    lambda minutes: datetime(2026, 1, 1, tzinfo=UTC) + timedelta(minutes=minutes)
)


@given(moments, moments, st.integers(1, 60), st.integers(1, 60))
def test_asking_later_or_for_longer_never_makes_it_due_earlier(one, two, short, long):
    first, second = sorted([one, two])
    less, more = sorted([short, long])
    assert due_after(first, less, SITE) <= due_after(second, less, SITE)
    assert due_after(first, less, SITE) <= due_after(first, more, SITE)


@given(moments, st.integers(1, 60))
def test_it_is_always_due_in_working_time(asked, hours):
    due = due_after(asked, hours, SITE)
    assert SITE.works_on(due.date())
    assert SITE.begins < due.time() <= SITE.ends


@pytest.mark.parametrize(
    ("asked", "due", "half"),
    [
        ("2026-03-02T08:00", "2026-03-02T12:00", "2026-03-02T10:00"),
        ("2026-03-02T14:00", "2026-03-03T10:00", "2026-03-03T08:00"),
        ("2026-03-06T14:30", "2026-03-09T10:30", "2026-03-09T08:30"),
        ("2026-03-06T13:00", "2026-03-09T09:00", "2026-03-06T15:00"),
        ("2026-03-02T20:00", "2026-03-03T15:00", "2026-03-03T11:00"),
        ("2026-03-07T08:00", "2026-03-08T20:00", "2026-03-08T20:00"),
    ],
)
def test_half_of_an_answer_time_is_reckoned_in_working_hours(asked, due, half):
    assert halfway(at(asked), at(due), SITE) == at(half)


@given(
    st.datetimes(at("2026-01-01T00:00").replace(tzinfo=None), at("2026-12-31T00:00").replace(tzinfo=None)),
    st.integers(1, 20),
    st.frozensets(st.integers(0, 6), min_size=1),
    st.sets(st.dates(date(2026, 1, 1), date(2027, 1, 31)), max_size=5),
)
def test_half_the_hours_lie_before_halfway_whatever_the_calendar(asked, hours, weekdays, closed):
    calendar = WorkingHours(weekdays=weekdays, closed=frozenset(closed))
    moment = asked.replace(tzinfo=DENVER)
    half = halfway(moment, due_after(moment, 2 * hours, calendar), calendar)
    assert half == due_after(moment, hours, calendar)
