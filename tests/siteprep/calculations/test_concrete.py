"""Earliest day of loading: dates, unknowns, methods that name their constants."""

import datetime
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coordination.siteprep.calculations.concrete import CLEARED_BY, ConcreteInputs, Stretch, calculate
from coordination.siteprep.calculations.inputs import InputErrors

MONDAY = datetime.date(2026, 3, 2)


def test_day_is_the_first_that_starts_with_the_share():
    """75 % of type I moist is reached after 8.28 days: the ninth day after the pour."""
    result = calculate(ConcreteInputs(pour_date=MONDAY))
    assert (round(result.days_needed.amount, 2), result.earliest_loading.amount) == (8.28, "2026-03-11")


def test_computed_strength_clears_nothing():
    assert calculate(ConcreteInputs(pour_date=MONDAY)).cleared_by == CLEARED_BY


def test_history_then_expected_temperature():
    """At the reference temperature maturity is age, whatever the method."""
    for chosen in (
        {"method": "Nurse-Saul", "datum": Fraction(-10)},
        {"method": "equivalent age", "activation_kelvin": Fraction(5000)},
    ):
        result = calculate(
            ConcreteInputs(
                pour_date=MONDAY,
                reference=Fraction(20),
                history=(Stretch(hours=Fraction(30), temperature=Fraction(20)),),
                expected_temperature=Fraction(20),
                **chosen,
            )
        )
        assert (round(result.days_needed.amount, 6), result.earliest_loading.amount) == (
            round(3 / 0.3625, 6),
            "2026-03-11",
        )


def test_history_that_already_reached_the_share():
    result = calculate(
        ConcreteInputs(
            method="Nurse-Saul",
            datum=Fraction(-10),
            reference=Fraction(20),
            history=(Stretch(hours=Fraction(24 * 20), temperature=Fraction(20)),),
        )
    )
    assert round(result.days_needed.amount, 2) == 8.28


def test_without_expected_temperature_the_date_is_unknown():
    result = calculate(
        ConcreteInputs(pour_date=MONDAY, method="Nurse-Saul", datum=Fraction(0), reference=Fraction(20))
    )
    assert (result.earliest_loading.amount, [f.missing for f in result.findings]) == (
        None,
        [("history", "expected_temperature")],
    )


def test_frozen_concrete_gains_nothing_and_says_so():
    result = calculate(
        ConcreteInputs(
            pour_date=MONDAY,
            method="Nurse-Saul",
            datum=Fraction(0),
            reference=Fraction(20),
            expected_temperature=Fraction(-2),
        )
    )
    assert (result.earliest_loading.amount, [(f.key, f.outcome) for f in result.findings]) == (
        None,
        [("no strength gained at the expected temperature", "not met")],
    )


def test_full_strength_of_type_three_is_reached_late():
    result = calculate(ConcreteInputs(cement="type III", needed_fraction=Fraction(100), pour_date=MONDAY))
    assert round(result.days_needed.amount, 2) == 28.75


@pytest.mark.parametrize(
    ("chosen", "field"),
    [
        ({"method": "Nurse-Saul", "reference": Fraction(20)}, "datum"),
        ({"method": "Nurse-Saul", "datum": Fraction(0)}, "reference"),
        ({"method": "equivalent age", "reference": Fraction(20)}, "activation_kelvin"),
        ({"method": "age", "expected_temperature": Fraction(20)}, "method"),
        ({"cement": "type II"}, "cement"),
        ({"needed_fraction": Fraction(120)}, "needed_fraction"),
    ],
)
def test_constants_are_never_assumed(chosen, field):
    with pytest.raises(InputErrors) as refused:
        ConcreteInputs(**chosen)
    assert [p.field for p in refused.value.problems] == [field]


@settings(max_examples=40, deadline=None)
@given(
    st.integers(1, 35),
    st.integers(1, 35),
    st.integers(0, 200),
    st.sampled_from(["Nurse-Saul", "equivalent age"]),
)
def test_warmer_is_never_later(one, other, hours, method):
    chosen = {"datum": Fraction(-10)} if method == "Nurse-Saul" else {"activation_energy": Fraction(42)}
    days = [
        calculate(
            ConcreteInputs(
                method=method,
                reference=Fraction(20),
                history=(Stretch(hours=Fraction(hours), temperature=Fraction(12)),),
                expected_temperature=Fraction(t),
                **chosen,
            )
        ).days_needed.amount
        for t in sorted((one, other))
    ]
    assert days[0] >= days[1]
