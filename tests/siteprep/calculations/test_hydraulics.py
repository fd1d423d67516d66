"""Route, longest run, oil to contain, sleeves."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coordination.siteprep.calculations.hydraulics import HydraulicInputs, Segment, calculate
from coordination.siteprep.calculations.inputs import InputErrors
from coordination.siteprep.calculations.values import feet, inches


def line(**changed):
    given = {
        "grade": "VG32",
        "oil_temperature": Fraction(10),
        "flow": Fraction(30),
        "bore": inches("0.62"),
        "length": feet(30),
        "allowed_loss": Fraction(60),
    }
    return HydraulicInputs(**{**given, **changed})


def test_longest_route_just_uses_up_the_allowed_loss():
    longest = calculate(line(fittings_length=feet(6))).longest_route.amount
    again = calculate(line(length=longest, fittings_length=feet(6)))
    assert again.loss.amount == pytest.approx(60, rel=1e-6)


def test_loss_over_the_allowed_is_not_met():
    outcomes = {f.key: f.outcome for f in calculate(line(length=feet(300))).findings}
    assert outcomes["loss over the route"] == "not met"


def test_route_adds_up_and_sleeves_are_listed():
    route = (
        Segment(name="room", length=feet(6), through="rated wall", control_conduit=inches("1.05")),
        Segment(name="slab", length=feet(18), through="underground"),
        Segment(name="pit", length=feet(3)),
    )
    result = calculate(line(length=None, route=route, line_outside=inches("0.75")))
    assert (result.route_length.amount, [(s.place, s.serves, s.pipe.amount) for s in result.sleeves]) == (
        feet(27),
        [("room", "hydraulic line", "2"), ("room", "control conduit", "2"), ("slab", "hydraulic line", "2")],
    )
    assert result.sleeves[0].least_inside.amount == inches("1.75")


def test_sleeve_without_the_line_is_unknown():
    result = calculate(line(length=None, route=(Segment(name="room", length=feet(6), through="wall"),)))
    assert result.sleeves[0].pipe.amount is None


def test_oil_of_tank_jack_and_line_is_contained():
    """120 L in the tank, 16 L in the jack, and 9.144 m of 15.748 mm bore: 1.781 L."""
    result = calculate(
        line(
            tank_volume=Fraction(120),
            jack_volume=Fraction(16),
            containment_share=Fraction(110),
            containment_volume=Fraction(150),
        )
    )
    assert float(result.oil_volume.amount) == pytest.approx(137.781, abs=5e-4)
    assert float(result.containment.amount) == pytest.approx(151.559, abs=1e-3)
    assert {f.key: f.outcome for f in result.findings}["containment"] == "not met"


def test_dynamic_viscosity_needs_the_density():
    result = calculate(
        line(grade=None, oil_temperature=None, dynamic_viscosity=Fraction(87), density=Fraction(870))
    )
    assert result.viscosity.amount == 100


def test_missing_oil_is_unknown_and_named():
    result = calculate(line(grade=None))
    assert (result.loss.amount, result.regime) == (None, "unknown")
    assert [f.missing for f in result.findings if f.key == "line loss"] == [("grade",)]


def test_transition_is_a_warning():
    found = {
        f.key: f.outcome for f in calculate(line(oil_temperature=Fraction(40), flow=Fraction(60))).findings
    }
    assert found["flow may be laminar or turbulent"] == "warning"


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"viscosity": Fraction(30)}, "viscosity"),
        ({"bore": 0}, "bore"),
        ({"route": (Segment(name="a", length=feet(1)),)}, "length"),
    ],
)
def test_nonsense_is_refused_by_name(changed, field):
    with pytest.raises(InputErrors) as refused:
        line(**changed)
    assert [p.field for p in refused.value.problems] == [field]


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 60), st.integers(0, 60), st.integers(5, 30))
def test_colder_oil_never_goes_farther_while_laminar(one, other, flow):
    cold, warm = sorted((one, other))
    runs = [
        calculate(replace(line(flow=Fraction(flow), bore=inches(1)), oil_temperature=Fraction(t)))
        for t in (cold, warm)
    ]
    if {r.regime for r in runs} == {"laminar"}:
        assert runs[0].longest_route.amount <= runs[1].longest_route.amount
