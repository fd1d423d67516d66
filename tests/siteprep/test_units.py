import pint
import pytest

from coordination.siteprep.units import STORED, UnitError, as_read, parse_quantity

ureg = pint.UnitRegistry()


@pytest.mark.parametrize(
    ("kind", "typed"),
    [
        ("force", "4200 lbf"),
        ("force", "18.7 kN"),
        ("force", "4.2 kip"),
        ("force", "1 200 N"),
        ("mass", "1,400 lb"),
        ("mass", "635 kg"),
        ("volume", "22 gal"),
        ("volume", "83 L"),
        ("strength", "3000 psi"),
        ("strength", "20.7 MPa"),
    ],
)
def test_quantities_agree_with_an_independent_unit_library(kind, typed):
    expected = ureg(typed.replace(",", "").replace("1 200", "1200")).to(STORED[kind]).magnitude
    assert parse_quantity(kind, typed) == pytest.approx(expected, rel=1e-8)


@pytest.mark.parametrize(
    ("typed", "celsius"), [("50 F", 10.0), ("-4 °F", -20.0), ("10 C", 10.0), ("10 degree C", 10.0)]
)
def test_temperatures_are_read_in_either_scale(typed, celsius):
    assert parse_quantity("temperature", typed) == celsius


@pytest.mark.parametrize(
    ("kind", "typed", "reason", "units"),
    [
        ("force", "4200", "wrong unit", ("N", "kN", "lbf", "kip")),
        ("force", "4200 psi", "wrong unit", ("N", "kN", "lbf", "kip")),
        ("temperature", "warm", "not a number", ("C", "F")),
    ],
)
def test_a_quantity_without_its_unit_is_refused(kind, typed, reason, units):
    with pytest.raises(UnitError) as refused:
        parse_quantity(kind, typed)
    assert (refused.value.reason, refused.value.units) == (reason, units)


@pytest.mark.parametrize(
    ("stored", "us", "metric"),
    [
        ("N", "lbf", "N"),
        ("force", "lbf", "N"),
        ("kg", "lb", "kg"),
        ("L", "gal", "L"),
        ("m/s", "ft/min", "m/s"),
        ("m2", "sq ft", "m2"),
        ("psi", "psi", "MPa"),
        ("degree C", "degree F", "degree C"),
    ],
)
def test_what_readers_see_agrees_with_an_independent_unit_library(stored, us, metric):
    pint_name = {"sq ft": "ft**2", "m2": "m**2", "force": "N", "degree C": "degC", "degree F": "degF"}
    for system, unit in (("us", us), ("metric", metric)):
        number, counted = as_read(37.5, stored, system)
        expected = ureg.Quantity(37.5, pint_name.get(stored, stored)).to(pint_name.get(unit, unit)).magnitude
        assert (number, counted) == (pytest.approx(expected, rel=1e-9), unit)
