"""The motor circuit as a whole: rounding, duty, unknowns, drop, conduit, battery lowering."""

import math
from fractions import Fraction

import pint
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coordination.siteprep.calculations.electrical import (
    ElectricalInputs,
    OtherMotor,
    OtherWires,
    calculate,
    conduit_for,
    feeder_size,
    longest_run,
    overload_amps,
    protection_size,
    voltage_drop,
)
from coordination.siteprep.calculations.electrical.tables import SIZES
from coordination.siteprep.calculations.inputs import InputErrors
from coordination.siteprep.calculations.values import OutOfTable, feet


def circuit(**given):
    return calculate(ElectricalInputs(**{"phases": 1, "volts": Fraction(230), **given}))


def finding(result, key):
    (found,) = [f for f in result.findings if f.key == key]
    return found


def test_five_horsepower_on_single_phase():
    """28 A by table: conductor 35 A, dual-element 49 A rounds to 50 A, switch 32.2 A rounds to 60 A."""
    result = circuit(horsepower=Fraction(5), terminals="75 C")
    assert (result.full_load_amps.amount, result.conductor_amps.amount, result.conductor.amount) == (
        28,
        35,
        "10",
    )
    assert (result.protection.amount, result.disconnect_least_amps.amount, result.disconnect.amount) == (
        50,
        Fraction("32.2"),
        60,
    )
    assert result.ground.amount == "10"


def test_unmarked_terminals_count_as_60_degrees_up_to_100_amps():
    """NEC 110.14(C)."""
    result = circuit(horsepower=Fraction(5))
    assert (result.terminal_rating.amount, result.conductor.amount) == (60, "8")
    assert circuit(horsepower=Fraction(40), phases=3).terminal_rating.amount == 75


@pytest.mark.parametrize(
    ("kind", "amps", "size"),
    [
        ("dual-element fuse", 28, 50),
        ("dual-element fuse", 20, 35),
        ("non-time-delay fuse", 28, 90),
        ("inverse-time breaker", 28, 70),
        ("instantaneous breaker", 28, 224),
        ("dual-element fuse", Fraction("4.9"), 10),
        ("inverse-time breaker", Fraction("4.9"), 15),
    ],
)
def test_protection(kind, amps, size):
    """NEC table 430.52: 175, 300, 250 and 800 %; 430.52(C)(1) exception 1: next higher standard rating."""
    assert protection_size(Fraction(amps), kind).amount == size


def test_feeder_rounds_down():
    """NEC 430.62(A): 50 A device plus 16 A of other motors is 66 A, the feeder gets 60 A."""
    assert feeder_size(Fraction(50), Fraction(16)).amount == 60
    result = circuit(horsepower=Fraction(5), other_motors=(OtherMotor(name="fan", amps=Fraction(16)),))
    assert (result.feeder_protection.amount, result.feeder_conductor_amps.amount) == (60, 51)


@pytest.mark.parametrize(
    ("factor", "rise", "amps"),
    [("1.15", None, 25), ("1.0", True, 25), ("1.0", False, 23), ("1.0", None, None), (None, None, None)],
)
def test_overload_by_nameplate(factor, rise, amps):
    """NEC 430.32(A)(1): 125 % with service factor 1.15 or 40 C rise, else 115 % of nameplate amps."""
    assert overload_amps(Fraction(20), factor and Fraction(factor), rise).amount == amps


@pytest.mark.parametrize(
    ("duty", "amps"), [("5 minute", 17), ("30 or 60 minute", 18), ("intermittent with continuous rating", 28)]
)
def test_duty_from_memory(duty, amps):
    """NEC table 430.22(E), elevators (from memory): 85, 85, 90 and 140 % of nameplate amps."""
    result = circuit(horsepower=Fraction(5), duty=duty, nameplate_amps=Fraction(20))
    assert (result.conductor_amps.amount, result.conductor_amps.source.status) == (amps, "memory")


def test_single_and_three_phase_drop_with_an_independent_unit_library():
    units = pint.UnitRegistry()
    ohms = units.Quantity(1.24, "ohm / kilofoot") * units.Quantity(80, "foot")
    single = (2 * units.Quantity(28, "ampere") * ohms).to("volt").magnitude
    assert voltage_drop(1, Fraction(28), "10", feet(80)).amount == pytest.approx(single)
    assert voltage_drop(3, Fraction(28), "10", feet(80)).amount == pytest.approx(single * math.sqrt(3) / 2)


def test_larger_wire_where_the_run_is_long():
    result = circuit(horsepower=Fraction(5), terminals="75 C", one_way_length=feet(200))
    assert (
        result.conductor.amount,
        result.conductor_for_drop.amount,
        finding(result, "voltage drop").outcome,
    ) == ("10", "6", "not met")


@settings(max_examples=40, deadline=None)
@given(st.sampled_from(SIZES), st.integers(1, 150), st.sampled_from([1, 3]))
def test_longest_run_just_uses_up_the_drop(size, amps, phases):
    run = longest_run(phases, Fraction(amps), size, Fraction("6.9")).amount
    assert voltage_drop(phases, Fraction(amps), size, run).amount == pytest.approx(6.9, rel=1e-6)


def test_conduit_counts_grounding_wires():
    """3 x 10 AWG THHN is 0.0633 in2: 3/8 of the way to the 0.1216 in2 of 1/2 in EMT; two more 6 AWG ask for 3/4."""
    assert conduit_for({"10": 3}).trade_size.amount == "1/2"
    assert conduit_for({"10": 3, "6": 2}).trade_size.amount == "3/4"
    result = circuit(horsepower=Fraction(5), terminals="75 C", other_wires=(OtherWires(size="14", count=4),))
    assert (result.conduit.wires, result.conduit.area.amount) == (7, Fraction("0.1021"))


def test_too_much_wire_is_said():
    with pytest.raises(OutOfTable):
        conduit_for({"4/0": 6})


@pytest.mark.parametrize(
    ("phases", "contact", "pole", "ways", "outcome"),
    [
        (3, True, None, ("auxiliary contact",), "met"),
        (3, False, True, ("auxiliary contact",), "not met"),
        (3, None, None, ("auxiliary contact",), "unknown"),
        (1, False, True, ("auxiliary contact", "third fused pole"), "warning"),
        (1, True, False, ("auxiliary contact", "third fused pole"), "met"),
    ],
)
def test_two_ways_to_battery_lowering(phases, contact, pole, ways, outcome):
    result = circuit(
        phases=phases,
        horsepower=Fraction(5),
        battery_lowering=True,
        auxiliary_contact=contact,
        third_fused_pole=pole,
    )
    assert (result.battery_ways, finding(result, "battery cut off by the disconnect").outcome) == (
        ways,
        outcome,
    )


def test_unknown_motor_leaves_the_circuit_unknown():
    result = circuit()
    assert (
        result.full_load_amps.amount,
        result.conductor.amount,
        result.protection.amount,
        result.conduit,
    ) == (None,) * 4
    assert finding(result, "motor current").missing == ("horsepower", "nameplate_amps")


def test_nameplate_only_is_used_with_a_warning():
    result = circuit(nameplate_amps=Fraction(26))
    assert (result.full_load_amps.amount, finding(result, "sized on nameplate").outcome) == (26, "warning")


@pytest.mark.parametrize(
    ("changed", "field"),
    [({"phases": 2}, "phases"), ({"volts": Fraction(0)}, "volts"), ({"duty": "often"}, "duty")],
)
def test_nonsense_is_refused_by_name(changed, field):
    with pytest.raises(InputErrors) as refused:
        ElectricalInputs(**{"phases": 1, "volts": Fraction(230), **changed})
    assert [p.field for p in refused.value.problems] == [field]
