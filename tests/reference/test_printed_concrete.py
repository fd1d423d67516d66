"""Strength of concrete by age and maturity, and bearing.

ACI 209R-92 equation 2-1 with the constants of table 2.2.1 (4.0 and 0.85 read, the others from memory); Nurse-Saul
and equivalent age as in ASTM C1074; bearing as in ACI 318-14/19 22.8.3 (phi 0.65 from memory). The fractions
below follow from the equation by hand. No worked maturity example of a primary source could be read: the maturity
checks here are arithmetic.
"""

import math
from fractions import Fraction

import pytest
import scipy.integrate
import scipy.optimize

from coordination.siteprep.calculations.concrete import (
    ConcreteInputs,
    Plate,
    Stretch,
    calculate,
    confinement,
    days_to,
    fraction_at,
    temperature_time,
)
from coordination.siteprep.calculations.concrete.strength import arrhenius_rate
from coordination.siteprep.calculations.values import OutOfTable, inches

KINDS = [("type I", "moist"), ("type III", "moist"), ("type I", "steam"), ("type III", "steam")]
FRACTIONS = """
1  0.206 0.311 0.513 0.595
3  0.458 0.593 0.779 0.824
7  0.704 0.801 0.915 0.926
14 0.881 0.922 0.979 0.971
28 1.007 0.998 1.014 0.995
"""
DAYS = {0.70: (6.9, 4.5, 2.1, 1.6), 0.75: (8.3, 5.6, 2.6, 2.0), 0.85: (12.3, 9.0, 4.4, 3.6)}


@pytest.mark.parametrize("row", FRACTIONS.strip().splitlines())
def test_share_of_the_28_day_strength(row):
    day, *shares = map(float, row.split())
    assert [round(fraction_at(day, *kind), 3) for kind in KINDS] == shares


@pytest.mark.parametrize(("share", "days"), DAYS.items())
def test_days_to_a_share(share, days):
    assert tuple(round(days_to(share, *kind), 1) for kind in KINDS) == days


@pytest.mark.parametrize("kind", KINDS)
def test_days_to_a_share_by_an_independent_root_search(kind):
    root = scipy.optimize.brentq(lambda t: fraction_at(t, *kind) - 0.8, 0, 100)
    assert days_to(0.8, *kind) == pytest.approx(root, rel=1e-9)


def test_share_beyond_the_curve_is_never_reached():
    assert days_to(1.2, "type I", "moist") is None


def test_other_cements_have_no_row():
    with pytest.raises(OutOfTable):
        fraction_at(7, "type II", "moist")


def test_temperature_time_of_both_datums():
    """Trap: 24 h at 10 C and 24 h at 20 C are 720 C.h above 0 C and 1200 C.h above -10 C."""
    history = [(24, 10), (24, 20)]
    assert (temperature_time(history, 0), temperature_time(history, -10)) == (720, 1200)


def test_equivalent_age_agrees_with_an_integral():
    """ASTM C1074: te = integral of exp(-Q (1/T - 1/Ts)) dt."""
    integral, _ = scipy.integrate.quad(lambda t: math.exp(-5000 * (1 / 283.15 - 1 / 293.15)), 0, 48)
    assert 48 * arrhenius_rate(10, 5000, 20) == pytest.approx(integral)
    assert arrhenius_rate(20, 5000, 20) == 1


def cold(method, **chosen):
    history = (Stretch(hours=Fraction(96), temperature=Fraction(5)),)
    return calculate(ConcreteInputs(method=method, history=history, **chosen)).fraction.amount


def test_three_methods_give_three_strengths_for_one_cold_pour():
    """Trap: datum 0 or -10 C and reference 20 or 23 C change the answer; the method is always named."""
    twenty = Fraction(20)
    found = {
        "datum 0": cold("Nurse-Saul", datum=Fraction(0), reference=twenty),
        "datum -10": cold("Nurse-Saul", datum=Fraction(-10), reference=twenty),
        "arrhenius": cold("equivalent age", activation_kelvin=Fraction(5000), reference=twenty),
        "datum -10, 23 C": cold("Nurse-Saul", datum=Fraction(-10), reference=Fraction(23)),
    }
    # 4 days at 5 C are 1, 2, 1.59 and 1.82 days at the reference
    days = {
        "datum 0": 1.0,
        "datum -10": 2.0,
        "arrhenius": 4 * math.exp(-5000 * (1 / 278.15 - 1 / 293.15)),
        "datum -10, 23 C": 4 * 15 / 33,
    }
    assert found == {name: pytest.approx(d / (4 + 0.85 * d)) for name, d in days.items()}
    assert len({round(value, 3) for value in found.values()}) == 4


@pytest.mark.parametrize(
    ("edge", "thickness", "factor"),
    [(0, None, 1), (6, None, "2"), (3, None, "1.5"), (60, None, 2), (60, 1, "4/3"), (0, 12, 1)],
)
def test_confinement(edge, thickness, factor):
    """ACI 318 22.8.3: sqrt(A2/A1) of the similar concentric base, at most 2; 12 in plate."""
    depth = None if thickness is None else inches(thickness)
    assert confinement((inches(12), inches(12)), (inches(edge), inches(edge)), depth).amount == Fraction(
        factor
    )


def test_bearing_of_a_plate():
    """12 x 12 in at the slab's edge, 3000 psi: Bn = 0.85 x 3000 x 144 = 367,200 lb, phi Bn = 238,680 lb."""
    plate = Plate(width=inches(12), depth=inches(12), edge_at_width=0, edge_at_depth=0, load=Fraction(238680))
    result = calculate(ConcreteInputs(design_strength=Fraction(3000), plate=plate))
    assert (result.nominal_bearing.amount, result.design_bearing.amount) == (367200, 238680)
    assert [f.outcome for f in result.findings if f.key == "bearing under the plate"] == ["met"]
