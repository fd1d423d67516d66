"""Worked examples of published documents, run through the command's own door as JSON."""

import json
import math
from typing import Any

import pytest

from coordination.siteprep.calculations.registry import CALCULATIONS


def run(name: str, **given: Any) -> Any:
    return CALCULATIONS[name].run(json.loads(json.dumps(given)))


def amounts(result: Any, *names: str) -> dict[str, Any]:
    return {name: result[name]["amount"] for name in names}


def test_motor_circuit_of_the_electrical_code():
    """NEC (NFPA 70), Informative Annex D, example D8: 25 hp, 460 V, nameplate 32 A, and two motors of 40 A."""
    result = run(
        "electrical",
        phases=3,
        volts="460 V",
        horsepower="25 hp",
        nameplate_amps="32 A",
        service_factor=1.15,
        protection="Non-time-delay fuse",
        terminals="75 C",
        other_motors=[{"name": "hoist 1", "amps": 40}, {"name": "hoist 2", "amps": "40 amps"}],
    )
    wanted = {
        "full_load_amps": 34,
        "conductor_amps": 42.5,
        "overload": 40,
        "protection": 110,
        "feeder_conductor_amps": 124,
        "feeder_protection": 175,
    }
    assert amounts(result, *wanted) == wanted


@pytest.mark.parametrize(
    ("phases", "conductor", "amps", "feet", "volts"),
    [
        # the formulas of voltage drop with chapter 9, table 8 resistances: 2 I R L / 1000, sqrt 3 I R L / 1000
        (1, "10", 28, 100, 2 * 28 * 1.24 * 100 / 1000),
        (3, "8", 40, 150, math.sqrt(3) * 40 * 0.778 * 150 / 1000),
        (1, "4 AWG", 50, 200, 2 * 50 * 0.308 * 200 / 1000),
    ],
)
def test_drop_on_the_conductor_that_is_run(phases, conductor, amps, feet, volts):
    result = run(
        "electrical",
        phases=phases,
        volts=230,
        nameplate_amps=amps,
        conductor=conductor,
        one_way_length=f"{feet} ft",
    )
    assert result["voltage_drop"]["amount"] == pytest.approx(volts, rel=1e-9)
    assert result["drop_percent"]["amount"] == pytest.approx(volts / 2.3, rel=1e-9)
    allowed = 0.03 * 230
    assert result["longest_run"]["in"] / 12 == pytest.approx(feet * allowed / volts, rel=1e-6)


def test_fill_of_a_conduit_without_a_motor():
    """Chapter 9, tables 4 and 5: three 8 AWG and one 10 AWG are 0.1309 in2, over 1/2 in EMT, within 3/4 in."""
    result = run(
        "electrical",
        phases=3,
        volts=208,
        other_wires=[{"size": "8", "count": 3}, {"size": "#10", "count": 1}],
    )["conduit"]
    shown = {name: result[name]["amount"] for name in ("trade_size", "area", "allowed")}
    assert (shown, result["wires"]) == ({"trade_size": "3/4", "area": 0.1309, "allowed": 0.2132}, 4)


def test_a_small_fuse_stays_within_the_fuse_sizes():
    """NEC 240.6(A): fuses come in 1, 3, 6 and 10 A as well. 1 1/2 hp at 575 V: 2.4 A, 175 % is 4.2 A."""
    result = run("electrical", phases=3, volts=575, horsepower="1 1/2 hp")
    wanted = {"full_load_amps": 2.4, "protection": 6, "feeder_protection": 6}
    assert amounts(result, *wanted) == wanted


def test_a_conductor_too_thin_is_found():
    result = run("electrical", phases=1, volts=230, horsepower=5, conductor="12", terminals="60 C")
    [finding] = [each for each in result["findings"] if each["key"] == "conductor carries the amps"]
    assert (finding["outcome"], finding["found"], finding["limit"]) == ("not met", 35, 20)


@pytest.mark.parametrize(
    ("given", "pascal_per_metre"),
    [
        # two public exercises on pipe flow; the first prints 3.848 kPa/m after taking 27.3 mPa.s for 27.6
        ({"dynamic_viscosity": "27.6 mPa.s", "density": "850 kg/m3", "flow": "75 L/min", "bore": "24.508 mm"}, 3897),
        ({"dynamic_viscosity": "155.31 cP", "density": 1000, "flow": "72 L/h", "bore": "20 mm"}, 791.0),
    ],
)  # fmt: skip
def test_loss_of_laminar_flow(given, pascal_per_metre):
    result = run("hydraulics", length="1 m", **given)
    assert result["loss"]["kPa"] * 1000 == pytest.approx(pascal_per_metre, rel=5e-4)
    assert result["regime"] == "laminar"


def test_strength_by_age():
    """ACI 209R-92, equation 2-1, type I moist: 28-day strength 4000 psi gives 4000 x 7 / (4 + 0.85 x 7) at 7 days."""
    result = run("concrete", age="7 days", design_strength="4000 psi", cement="Type I")
    assert result["strength"]["amount"] == pytest.approx(4000 * 7 / 9.95)
    assert result["days_needed"]["amount"] == pytest.approx(4 * 0.75 / (1 - 0.85 * 0.75))


def test_maturity_by_both_functions():
    """ASTM C1074, equations 1 and 2: 12 h at 10 C, 12 h at 30 C."""
    history = [{"hours": "12 hours", "temperature": "50 F"}, {"hours": 12, "temperature": "30 C"}]
    sums = run("concrete", method="nurse-saul", datum="0 C", reference="20 C", history=history)
    assert sums["temperature_time"]["amount"] == pytest.approx(12 * 10 + 12 * 30)
    assert sums["equivalent_age"]["amount"] == pytest.approx(480 / 20 / 24)
    aged = run("concrete", method="Arrhenius", activation_kelvin=5000, reference="20 C", history=history)
    hours = 12 * sum(math.exp(-5000 * (1 / (273.15 + t) - 1 / 293.15)) for t in (10, 30))
    assert aged["equivalent_age"]["amount"] == pytest.approx(hours / 24)


def test_lag_screws_of_the_design_note():
    """NDS 12.2.1: a 5/8 in lag in G 0.50 holds 447 lb an inch; 4 in of thread 1789 lb, not the note's 1787."""
    lag = {"lag": "5/8 in", "count": 1, "thread": "4 in", "species": "DF-L", "pull": "1000 lbs"}
    result = run("backing", height="10 ft", anchorage=lag)
    assert round(result["anchorage"]["withdrawal"]["amount"]) == 1789
