"""Working days that people set, and the public holidays that a region keeps."""

from datetime import date

import pytest

from coordination.access.permissions import NotAllowed
from coordination.projects.actions import set_calendar
from coordination.projects.models import Calendar
from coordination.projects.public_holidays import UnknownRegion, public_holidays
from coordination.projects.refusals import DatesRefused
from coordination.record.models import Event
from tests.standing_cast import AT


def test_holidays_of_the_united_states_in_2027_are_those_of_the_statute():
    """5 U.S.C. 6103(a): ten holidays and Juneteenth, where the fixed day falls on a weekend also the day observed.

    The statute's rules are from memory.
    """
    statute = {
        date(2027, 1, 1),  # New Year's Day
        date(2027, 1, 18),  # Birthday of Martin Luther King, Jr.: third Monday in January
        date(2027, 2, 15),  # Washington's Birthday: third Monday in February
        date(2027, 5, 31),  # Memorial Day: last Monday in May
        date(2027, 6, 19),  # Juneteenth, a Saturday
        date(2027, 7, 4),  # Independence Day, a Sunday
        date(2027, 9, 6),  # Labor Day: first Monday in September
        date(2027, 10, 11),  # Columbus Day: second Monday in October
        date(2027, 11, 11),  # Veterans Day
        date(2027, 11, 25),  # Thanksgiving: fourth Thursday in November
        date(2027, 12, 25),  # Christmas, a Saturday
    }
    observed = {date(2027, 6, 18), date(2027, 7, 5), date(2027, 12, 24), date(2027, 12, 31)}
    assert public_holidays("US", 2027, 2027) == statute | observed


def test_a_region_may_keep_days_of_its_own():
    """Town Meeting Day, 1 V.S.A. 371: first Tuesday in March (from memory)."""
    assert date(2027, 3, 2) in public_holidays("US-VT", 2027, 2027) - public_holidays("US", 2027, 2027)


@pytest.mark.parametrize("region", ["ZZ", "US-ZZ", "", "US-"])
def test_an_unknown_region_is_refused(region):
    with pytest.raises(UnknownRegion):
        public_holidays(region, 2027, 2027)


def test_a_calendar_is_set_once_and_altered_whole(cast):
    contractor, before = cast.visitor("contractor"), Event.objects.count()
    for _ in range(2):
        set_calendar(cast.project, contractor, AT, "site", closed=[date(2027, 7, 5), date(2027, 7, 2)])
    assert Event.objects.count() == before + 1
    set_calendar(cast.project, contractor, AT, "site", weekdays=[5, 0], opened=[date(2027, 7, 3)])
    assert list(Calendar.objects.values_list("key", "weekdays", "closed", "opened")) == [
        ("site", [0, 5], [], ["2027-07-03"])
    ]
    set_calendar(cast.project, contractor, AT, "lift")
    assert Event.objects.count() == before + 2


def test_what_cannot_be_is_named_and_changes_nothing(cast):
    before, day = Event.objects.count(), date(2027, 7, 5)
    for key, given, reasons in [
        ("crew", {}, ["no such calendar"]),
        ("site", {"weekdays": []}, ["no working day"]),
        ("site", {"weekdays": [7]}, ["no such weekday"]),
        ("site", {"closed": [day], "opened": [day]}, ["closed and opened"]),
    ]:
        with pytest.raises(DatesRefused) as refused:
            set_calendar(cast.project, cast.visitor("contractor"), AT, key, **given)
        assert [reason.key for reason in refused.value.reasons] == reasons
    with pytest.raises(NotAllowed):
        set_calendar(cast.project, cast.visitor("framer"), AT, "site")
    assert (Event.objects.count(), Calendar.objects.count()) == (before, 0)
