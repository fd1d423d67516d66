"""What a stranger writes after reading the explanation: units, short names, yes and no; and what is still refused."""

from fractions import Fraction

import pytest

from coordination.siteprep.calculations.inputs import InputErrors
from coordination.siteprep.calculations.measures import ALSO_WRITTEN, UNITS, MeasureError, read_measure
from coordination.siteprep.calculations.registry import CALCULATIONS


@pytest.mark.parametrize(
    ("written", "kind", "kept"),
    [
        ("480 Volts", "volts", 480),
        ("32 amps", "amps", 32),
        ("7 1/2 HP", "power", Fraction(15, 2)),
        ("900 lbs", "force", 900),
        ("3 days", "duration", 72),
        ("7 d", "age", 168),
        ("50 lux", "light", 50),
        ("30 gallons", "volume", 30 * Fraction("3.785411784")),
        ("3000 GPH", "flow", 50 * Fraction("3.785411784")),
        ("54 pcf", "density", 54 * Fraction("16.018463373960142")),
        ("27.6 mPa·s", "dynamic viscosity", Fraction("27.6")),
    ],
)
def test_units_as_people_write_them(written, kind, kept):
    assert read_measure(written, kind) == kept


def test_every_other_spelling_leads_to_a_unit_that_is_known():
    known = {unit for units in UNITS.values() for unit in units}
    assert {unit for unit in ALSO_WRITTEN.values() if unit not in known} == set()


def test_an_age_needs_its_unit():
    with pytest.raises(MeasureError, match="no unit"):
        read_measure(7, "age")


@pytest.mark.parametrize(
    ("name", "given", "field", "kept"),
    [
        ("accessibility", {"lift_class": "LU/LA"}, "lift_class", "limited use"),
        ("concrete", {"cement": "Type III"}, "cement", "type III"),
        ("hydraulics", {"grade": "ISO VG 46"}, "grade", "VG46"),
        ("electrical", {"phases": 1, "volts": 230, "terminals": "75C"}, "terminals", "75 C"),
        ("electrical", {"phases": 1, "volts": 230, "protection": "Inverse Time Breaker"}, "protection", "inverse-time breaker"),
        ("pit", {"electrical_edition": 2017}, "electrical_edition", "2017"),
        ("pit", {"hydraulic": "yes"}, "hydraulic", True),
        ("pit", {"hydraulic": "No"}, "hydraulic", False),
        ("backing", {"height": "8 ft", "material": "2 x 6"}, "material", "2x6"),
    ],
)  # fmt: skip
def test_choices_as_people_write_them(name, given, field, kept):
    assert getattr(CALCULATIONS[name].read(given), field) == kept


@pytest.mark.parametrize(
    ("name", "given", "told"),
    [
        ("pit", {"hydraulic": "perhaps"}, "hydraulic: 'perhaps': is neither true nor false; use true or false"),
        ("pit", {"electrical_edition": 2018}, "electrical_edition: 2018: is not one of the choices; use 2011, 2014"),
        ("concrete", {"age": 7}, "age: 7: has no unit; write \"7 d\" or \"168 h\""),
        ("concrete", {"design_strength": "30 N/mm2"}, "unit 'N/mm2' is not known here, use psi, ksi, kPa, MPa, bar"),
    ],
)  # fmt: skip
def test_what_is_still_refused_says_what_would_be_right(name, given, told):
    with pytest.raises(InputErrors) as refused:
        CALCULATIONS[name].read(given)
    assert told in str(refused.value)


def test_no_two_choices_of_one_input_are_read_alike():
    from coordination.siteprep.calculations.inputs import _bare, specs

    def walk(cls):
        for name, spec, _default in specs(cls):
            bare = [_bare(choice) for choice in spec.choices]
            assert len(set(bare)) == len(bare), name
            if spec.of is not None:
                walk(spec.of)

    for calculation in CALCULATIONS.values():
        walk(calculation.inputs)
