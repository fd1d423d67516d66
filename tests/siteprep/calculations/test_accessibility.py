"""Accessibility checks: unknowns, framing dimensions, areas outside the class."""

from fractions import Fraction

from coordination.siteprep.calculations.accessibility import AccessibilityInputs, LandingReadings, calculate
from coordination.siteprep.calculations.values import inches


def test_everything_missing_is_unknown_and_names_what_is_missing():
    result = calculate(AccessibilityInputs(lift_class="limited use"))
    kept = [f for f in result.findings if f.key != "door at narrow end"]
    assert {f.outcome for f in kept} == {"unknown"}
    assert all(f.missing for f in kept)
    assert (result.car_area.amount, result.least_load.amount, result.car_rule) == (None, None, None)


def test_framing_dimension_per_landing():
    """The sill edge may stand at most the limit in front of the door's face."""
    landings = (
        LandingReadings(name="1", door_setback=inches("1/2")),
        LandingReadings(name="2", door_setback=inches(2)),
        LandingReadings(name="3"),
    )
    result = calculate(
        AccessibilityInputs(lift_class="private residence", landing_doors="swing", landings=landings)
    )
    assert [(d.landing, d.most_sill_from_framing.amount, d.may_be_conceded) for d in result.framing] == [
        ("1", inches("1/4"), False),
        ("2", -inches("5/4"), False),
        ("3", None, False),
    ]


def test_area_beyond_the_class_has_no_load_but_a_finding():
    result = calculate(
        AccessibilityInputs(lift_class="private residence", car_width=inches(48), car_depth=inches(48))
    )
    (area,) = [f for f in result.findings if f.key == "class area"]
    assert (result.least_load.amount, area.outcome, area.found) == (None, "not met", Fraction(16))


def test_sphere_let_through_is_not_met():
    landing = LandingReadings(name="2", door_face_to_sill=inches("1/2"), sphere_rejected=False)
    result = calculate(
        AccessibilityInputs(lift_class="private residence", landing_doors="swing", landings=(landing,))
    )
    assert [(f.key, f.outcome) for f in result.findings if f.subject == "2"] == [
        ("door face to sill", "met"),
        ("4 in sphere", "not met"),
    ]
