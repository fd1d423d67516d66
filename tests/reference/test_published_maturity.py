"""The temperature-time factor of a series of slab temperatures, against values worked out in publications.

ASTM C1074, section on computing the temperature-time factor: M(t) = sum of (Ta - T0) dt, with Ta the mean concrete
temperature during each interval.
"""

import pytest

from coordination.siteprep.calculations.registry import CALCULATIONS
from coordination.siteprep.facts import read_facts
from coordination.siteprep.series_inputs import maturity_inputs


def factor(history, datum):
    """Degree-hours of (moment, degrees C) above the datum."""
    facts = read_facts({"pit": {"maturity_datum": datum}})
    given = maturity_inputs({(moment, "plate"): degrees for moment, degrees in history}, facts)
    return CALCULATIONS["concrete"].run(given)["temperature_time"]["amount"]


def hourly(degrees, hours):
    return [(f"2026-03-0{2 + hour // 24}T{hour % 24:02d}:00", degrees) for hour in range(hours + 1)]


@pytest.mark.parametrize(
    ("degrees", "hours", "datum", "expected"),
    [
        # At a steady temperature the factor is (Ta - T0) x t: 20 C for 24 h above 0 C is 480 C h (ASTM C1074, from memory).
        (20, 24, "0", 480),
        # The same above the older datum of -10 C (Saul 1951, from memory): 720 C h.
        (20, 24, "-10", 720),
        # Nothing is gained at the datum.
        (0, 24, "0", 0),
    ],
)
def test_a_steady_temperature(degrees, hours, datum, expected):
    assert factor(hourly(degrees, hours), datum) == pytest.approx(expected)


def test_a_day_of_rising_temperature():
    """By hand, after ASTM C1074 (figures of our own, no published table): the mean of each interval counts.

    16 C at pouring, 22 C after 6 h, 30 C after 12 h, 26 C after 24 h, datum 0 C:
    6 x 19 + 6 x 26 + 12 x 28 = 606 C h.
    """
    told = [
        ("2026-03-02T06:00", 16),
        ("2026-03-02T12:00", 22),
        ("2026-03-02T18:00", 30),
        ("2026-03-03T06:00", 26),
    ]
    assert factor(told, "0") == pytest.approx(606)
