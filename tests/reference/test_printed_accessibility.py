"""Car sizes, gaps and heights against the 2010 ADA Standards 407 to 409, and class limits of ASME A17.1.

ADA values read in public copies of sections 407, 408 and 409; A17.1 5.2.1.16 in a trade article, the load curve of
2.16.1 in a state's copy. 5.3.1.10, the residence door width and car illumination are from memory.
"""

from fractions import Fraction

import pytest

from coordination.siteprep.calculations import accessibility
from coordination.siteprep.calculations.accessibility import AccessibilityInputs, LandingReadings, calculate
from coordination.siteprep.calculations.values import OutOfTable, feet, inches


def checked(**given):
    return calculate(AccessibilityInputs(**given))


def outcome(result, key, subject=""):
    (found,) = [f for f in result.findings if (f.key, f.subject) == (key, subject)]
    return found.outcome


@pytest.mark.parametrize(
    ("width", "depth", "door", "existing", "rule"),
    [
        ("42", "54", "32", False, "408.4.1"),
        ("41.75", "54", "32", False, None),
        ("42", "53.75", "32", False, None),
        ("42", "54", "31.75", False, None),
        ("51", "51", "36", False, "408.4.1 exception 1"),
        ("51", "51", "32", False, None),
        ("50.75", "51", "36", False, None),
        ("40", "54", "32", True, "408.4.1 exception 2"),
        ("36", "60", "32", True, "408.4.1 exception 2"),
        ("36", "54", "32", True, None),
        ("40", "54", "32", False, None),
    ],
)
def test_limited_use_cars(width, depth, door, existing, rule):
    """ADA 408.4.1 and its exceptions; 36 x 54 in alone is 13.5 ft2 and lacks the 15 ft2 of exception 2."""
    found = checked(
        lift_class="limited use",
        car_width=inches(width),
        car_depth=inches(depth),
        door_clear_width=inches(door),
        existing=existing,
    )
    assert found.car_rule == rule


def test_narrow_car_needs_its_door_at_the_narrow_end():
    found = checked(
        lift_class="limited use",
        car_width=inches(42),
        car_depth=inches(54),
        door_clear_width=inches(32),
        door_side="long side",
    )
    assert (found.car_rule, outcome(found, "door at narrow end")) == (None, "not met")


@pytest.mark.parametrize(
    ("width", "depth", "area", "class_area"),
    [
        (42, 54, "15.75", "met"),
        (51, 51, "18.0625", "warning"),
        (48, 54, "18", "met"),
        (54, 54, "20.25", "not met"),
    ],
)
def test_area_against_the_18_square_feet_of_the_class(width, depth, area, class_area):
    """Trap: 51 x 51 in is accessible by one rule and just over the limit of the other: shown, not passed."""
    found = checked(lift_class="limited use", car_width=inches(width), car_depth=inches(depth))
    assert (found.car_area.amount, outcome(found, "class area")) == (Fraction(area), class_area)


@pytest.mark.parametrize(("area", "pounds"), [("18", 1416), ("12", 896), ("50", 5000)])
def test_load_curve(area, pounds):
    """ASME A17.1 2.16.1: W = 2 A^2 / 3 + 200 A / 3; the 1416 lb at 18 ft2 are over the 1400 lb of 5.2.1.16."""
    assert accessibility.least_rated_load("limited use", Fraction(area)).amount == pounds


def test_load_curve_and_class_load_disagree_at_18_square_feet():
    found = checked(
        lift_class="limited use", car_width=feet(4), car_depth=feet("4.5"), rated_load=Fraction(1400)
    )
    assert (
        outcome(found, "load curve over class load"),
        outcome(found, "class load"),
        outcome(found, "rated load"),
    ) == ("warning", "met", "not met")


@pytest.mark.parametrize(("area", "pounds"), [("5", 350), ("12", 480), ("15", "937.5"), ("13", "812.5")])
def test_residence_load(area, pounds):
    """ASME A17.1 5.3.1.10 (from memory)."""
    value = accessibility.least_rated_load("private residence", Fraction(area))
    assert (value.amount, value.source.status) == (Fraction(pounds), "memory")


def test_residence_area_is_15_square_feet_not_the_old_12():
    """Trap: 12 ft2 and 700 lb belong to an edition long superseded."""
    found = checked(lift_class="private residence", car_width=inches(36), car_depth=inches(60))
    assert (found.most_area.amount, outcome(found, "class area")) == (15, "met")


def test_limited_use_rise_is_25_feet_not_50():
    """Trap: 50 ft belongs to the residence class."""
    assert outcome(checked(lift_class="limited use", rise=feet(26)), "rise") == "not met"
    assert outcome(checked(lift_class="limited use", rise=feet(25)), "rise") == "met"
    assert outcome(checked(lift_class="private residence", rise=feet(50)), "rise") == "met"


@pytest.mark.parametrize(
    ("lift_class", "gap", "result"),
    [
        ("limited use", "1.25", "met"),
        ("limited use", "1.5", "not met"),
        ("private residence", "1.5", "met"),
        ("private residence", "1.5625", "not met"),
    ],
)
def test_sill_gap(lift_class, gap, result):
    """Trap: ADA 407.4.3 has 1 1/4 in for the public, 409.4.3 1 1/2 in for residence lifts."""
    assert outcome(checked(lift_class=lift_class, sill_gap=inches(gap)), "sill gap") == result


@pytest.mark.parametrize(
    ("doors", "distance", "result"),
    [
        ("swing", "0.75", "met"),
        ("swing", "0.765625", "not met"),
        ("sliding", "2.25", "met"),
        ("sliding", "2.28125", "not met"),
    ],
)
def test_door_face_to_sill(doors, distance, result):
    """ASME A17.1 5.3.1.8 and the same limits in a state bill of 2016: 3/4 in swing, 2 1/4 in sliding."""
    landing = LandingReadings(name="1", door_face_to_sill=inches(distance), sphere_rejected=True)
    found = checked(lift_class="private residence", landing_doors=doors, landings=(landing,))
    assert (outcome(found, "door face to sill", "1"), outcome(found, "4 in sphere", "1")) == (result, "met")
    assert set(found.not_concedable) == {"door face to sill", "4 in sphere"}


@pytest.mark.parametrize(
    ("name", "key", "low", "high"),
    [
        ("hall_button_height", "hall button not too", "15", "48"),
        ("jamb_sign_base", "jamb sign not too", "48", "60"),
    ],
)
def test_heights(name, key, low, high):
    """ADA 308 with 407.2.1.1, and 703.4.1."""
    for height, too_low, too_high in [
        (low, "met", "met"),
        (high, "met", "met"),
        (Fraction(low) - 1, "not met", "met"),
        (Fraction(high) + 1, "met", "not met"),
    ]:
        found = checked(lift_class="limited use", **{name: inches(height)})
        assert (outcome(found, f"{key} low"), outcome(found, f"{key} high")) == (too_low, too_high)


def test_swing_door_stays_open_20_seconds():
    """ADA 408.3.2."""
    for seconds, result in [(20, "met"), (19, "not met")]:
        found = checked(
            lift_class="limited use", landing_doors="swing", power_operated=True, stays_open=Fraction(seconds)
        )
        assert outcome(found, "swing door stays open") == result


def test_residence_car():
    """ADA 409.4: 36 x 48 in, panel 12 in from the adjacent wall; door 32 in from memory."""
    found = checked(
        lift_class="private residence",
        car_width=inches(36),
        car_depth=inches(48),
        door_clear_width=inches(32),
        panel_to_wall=inches(12),
    )
    assert (found.car_rule, outcome(found, "car panel to wall")) == ("409.4.1", "met")


def test_no_load_beyond_the_curve():
    with pytest.raises(OutOfTable):
        accessibility.least_rated_load("limited use", Fraction(51))
    with pytest.raises(OutOfTable):
        accessibility.least_rated_load("private residence", Fraction(16))
