"""What was typed for a reading: its value, and whether it lies within what is asked for."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coordination.evidence.readings import NotAReading, Reading, read, shown, unit_sign, within

INCH = 25_400_000


@pytest.mark.parametrize(
    ("terms", "typed", "value", "fits"),
    [
        ({"unit": "length", "low": 29 * INCH, "high": 31 * INCH}, '30"', 30 * INCH, True),
        ({"unit": "length", "low": 29 * INCH, "high": 31 * INCH}, '31"', 31 * INCH, True),
        ({"unit": "length", "low": 29 * INCH, "high": 31 * INCH}, '31 1/64"', 31 * INCH + INCH // 64, False),
        ({"unit": "length", "low": 29 * INCH}, "737 mm", 737_000_000, True),
        ({"unit": "length"}, "2.857 m", 2_857_000_000, None),
        ({"unit": "length", "low": -INCH // 8, "high": INCH // 8}, '+1/16"', INCH // 16, True),
        ({"unit": "volt", "high": 5}, "+4,5 V", 4.5, True),
        ({"unit": "lux", "low": 100}, "120", 120, True),
        ({"unit": "lux", "low": 100}, "10 fc", 107.639104, True),
        ({"unit": "lux", "low": 100}, "9 fc", 96.8751938, False),
        ({"unit": "ohm", "high": 25}, "25 Ω", 25, True),
        ({"unit": "volt", "low": 197, "high": 229}, "208V", 208, True),
        ({"unit": "volt", "low": 197, "high": 229}, "1,208 V", 1208, False),
        ({"unit": "degree C", "low": 13, "high": 32}, "55 °F", 12.7777778, False),
        ({"unit": "degree C", "low": 13, "high": 32}, "13", 13, True),
        ({"unit": "psi", "low": 2500}, "2600 psi", 2600, True),
        ({"unit": "force"}, "2 kN", 2000, None),
        ({"unit": "count", "low": 2, "high": 2}, "2", 2, True),
        ({"unit": "day", "low": 7}, "7 days", 7, True),
        ({"unit": "date"}, "2026-03-31", "2026-03-31", None),
        ({"unit": "decibel", "low": 60}, "75 dBA", 75, True),
    ],
)
def test_a_reading_is_read_in_its_unit_and_judged_at_once(terms, typed, value, fits):
    assert read(terms, typed) == Reading(value, fits)


def test_a_bare_length_counts_only_where_the_site_measures_in_one_system():
    assert read({"unit": "length"}, "30", "us").value == 30 * INCH
    assert read({"unit": "length"}, "762", "metric").value == 762_000_000
    with pytest.raises(NotAReading) as refusal:
        read({"unit": "length"}, "30")
    assert dict(refusal.value.reasons[0].args) == {"typed": "30", "why": "no unit"}


@pytest.mark.parametrize(
    ("unit", "typed", "key"),
    [
        ("length", "about a foot", "not a length"),
        ("lux", "bright", "not a number"),
        ("lux", "", "not a number"),
        ("lux", "120 V", "wrong unit"),
        ("ohm", "3 3", "not a number"),
        ("count", "2.5", "not a whole number"),
        ("degree C", "55 K", "wrong unit"),
        ("psi", "2500 bar", "wrong unit"),
        ("date", "31 March", "not a date"),
        ("volt", "nan", "not a number"),
    ],
)
def test_what_cannot_be_read_is_refused_by_name(unit, typed, key):
    with pytest.raises(NotAReading) as refusal:
        read({"unit": unit}, typed)
    assert [reason.key for reason in refusal.value.reasons] == [key]


@given(st.integers(-100, 100), st.integers(-100, 100), st.integers(-100, 100))
def test_within_is_the_closed_interval(low, high, value):
    assert within({"low": low, "high": high}, value) == (low <= value <= high)


@pytest.mark.parametrize(
    ("value", "unit", "words"),
    [
        (30 * INCH, "length", "2' 6\""),
        (208, "volt", "208 V"),
        (2, "count", "2"),
        ("2026-03-31", "date", "2026-03-31"),
        (None, "lux", ""),
        (5337.86594, "force", "1200 lbf"),
        (42702.9275, "N", "9600 lbf"),
        (12.7777778, "degree C", "55 °F"),
        (3000, "psi", "3000 psi"),
        (1234567, "ohm", "1234567 ohm"),
        (1_500_000, "ohm", "1.5 Mohm"),
    ],
)
def test_a_value_is_shown_with_its_unit(value, unit, words):
    assert shown(value, unit) == words.replace("ohm", "Ω")


@pytest.mark.parametrize(
    ("value", "unit", "words"),
    [
        (30 * INCH, "length", "762 mm"),
        (5337.86594, "force", "5338 N"),
        (12.7777778, "degree C", "12.78 °C"),
        (3000, "psi", "20.68 MPa"),
    ],
)
def test_a_metric_job_shows_metric_units(value, unit, words):
    assert shown(value, unit, "metric") == words


@pytest.mark.parametrize(
    ("unit", "typed", "system", "value", "asked"),
    [
        ("force", "1200", "us", 5337.86594, "lbf"),
        ("force", "1200", "metric", 1200, "N"),
        ("force", "1200 N", "us", 1200, "lbf"),
        ("degree C", "55", "us", 12.7777778, "°F"),
        ("degree C", "-4", "us", -20, "°F"),
        ("degree C", "55", "metric", 55, "°C"),
        ("psi", "3000", "us", 3000, "psi"),
        ("psi", "20", "metric", 2900.75475, "MPa"),
    ],
)
def test_a_bare_number_counts_in_the_unit_that_was_asked_for(unit, typed, system, value, asked):
    assert (read({"unit": unit}, typed, system).value, unit_sign(unit, system)) == (value, asked)
