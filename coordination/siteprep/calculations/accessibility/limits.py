"""Car and door sizes by the accessibility rule, area and load by the class; square feet and pounds."""

from collections.abc import Iterator
from fractions import Fraction

from coordination.siteprep.calculations.accessibility.inputs import AccessibilityInputs
from coordination.siteprep.calculations.accessibility.sources import (
    CAR_EXISTING,
    CAR_LIMITED_USE,
    CAR_RESIDENCE,
    CAR_SQUARE,
    CLASS_LIMITED_USE,
    CLASS_RESIDENCE,
    DOOR_RESIDENCE,
    LOAD_CURVE,
    LOAD_RESIDENCE,
    RISE_RESIDENCE,
)
from coordination.siteprep.calculations.values import (
    NANOMETRES_PER_FOOT,
    Finding,
    OutOfTable,
    Source,
    Value,
    at_least,
    at_most,
    feet,
    inches,
)

LIMITED_USE_MOST_AREA = Fraction(18)
LIMITED_USE_MOST_LOAD = Fraction(1400)
RESIDENCE_MOST_AREA = Fraction(15)
MOST_RISE = {"limited use": feet(25), "private residence": feet(50)}


def car_area(width: int | None, depth: int | None) -> Fraction | None:
    """Clear area in square feet, exact; None while a side is unknown."""
    if width is None or depth is None:
        return None
    return Fraction(width * depth, NANOMETRES_PER_FOOT**2)


def least_rated_load(lift_class: str, area: Fraction) -> Value:
    """Least rated load in pounds for an inside area in square feet.

    Limited use: W = 2 A^2 / 3 + 200 A / 3, up to 50 ft2. Residence: 40 lb/ft2 but not under 350 lb up
    to 12 ft2, 62.5 lb/ft2 above, up to the 15 ft2 of the class. Raises OutOfTable beyond.

    Source: ASME A17.1 2.16.1 (curve, read in a state's copy); 5.3.1.10 from memory.
    """
    if lift_class == "limited use":
        if not 0 < area <= 50:
            raise OutOfTable("A17.1 2.16.1 load curve", f"{float(area):g} ft2", "up to 50 ft2 here")
        return Value(Fraction(2, 3) * area**2 + Fraction(200, 3) * area, "lb", LOAD_CURVE)
    if not 0 < area <= RESIDENCE_MOST_AREA:
        raise OutOfTable("A17.1 5.3.1.10 least load", f"{float(area):g} ft2", "up to 15 ft2")
    if area <= 12:
        return Value(max(40 * area, Fraction(350)), "lb", LOAD_RESIDENCE)
    return Value(Fraction(125, 2) * area, "lb", LOAD_RESIDENCE)


def area_has_load(lift_class: str, area: Fraction) -> bool:
    """Whether :func:`least_rated_load` covers ``area``."""
    return 0 < area <= (50 if lift_class == "limited use" else RESIDENCE_MOST_AREA)


def most_area(lift_class: str) -> Value:
    """Greatest inside area of the class, square feet."""
    if lift_class == "limited use":
        return Value(LIMITED_USE_MOST_AREA, "ft2", CLASS_LIMITED_USE)
    return Value(RESIDENCE_MOST_AREA, "ft2", CLASS_RESIDENCE)


def car(inputs: AccessibilityInputs, area: Fraction | None) -> tuple[str | None, list[Finding]]:
    """The rule that the car meets, or the findings of the rule that is meant for it."""
    rules = _car_rules(inputs, area)
    for name, findings in rules.items():
        if all(finding.outcome == "met" for finding in findings):
            return name, findings
    return None, next(iter(rules.values()))


def _car_rules(inputs: AccessibilityInputs, area: Fraction | None) -> dict[str, list[Finding]]:
    if inputs.lift_class == "private residence":
        return {"409.4.1": _sizes(inputs, (36, 48, 32), CAR_RESIDENCE, DOOR_RESIDENCE)}
    narrow = Finding(
        "door at narrow end", "met" if inputs.door_side == "narrow end" else "not met", CAR_LIMITED_USE
    )
    rules = {
        "408.4.1": [*_sizes(inputs, (42, 54, 32), CAR_LIMITED_USE), narrow],
        "408.4.1 exception 1": _sizes(inputs, (51, 51, 36), CAR_SQUARE),
    }
    if inputs.existing:
        net = at_least(
            "car net area", area, Fraction(15), "ft2", CAR_EXISTING, missing="car_width, car_depth"
        )
        existing = [*_sizes(inputs, (36, 54, 32), CAR_EXISTING), net]
        return {"408.4.1 exception 2": existing, **rules}
    return rules


def _sizes(
    inputs: AccessibilityInputs,
    least: tuple[int, int, int],
    source: Source,
    door_source: Source | None = None,
) -> list[Finding]:
    width, depth, door = map(inches, least)
    return [
        at_least("car width", inputs.car_width, width, "length", source, missing="car_width"),
        at_least("car depth", inputs.car_depth, depth, "length", source, missing="car_depth"),
        at_least(
            "door clear width",
            inputs.door_clear_width,
            door,
            "length",
            door_source or source,
            missing="door_clear_width",
        ),
    ]


def class_limits(inputs: AccessibilityInputs, area: Fraction | None) -> Iterator[Finding]:
    """Area, rise and load against the limits of the lift's class."""
    most = most_area(inputs.lift_class)
    limit = at_most("class area", area, most.amount, "ft2", most.source, missing="car_width, car_depth")
    yield _warned_when_rules_disagree(inputs, area, limit)
    yield at_most(
        "rise",
        inputs.rise,
        MOST_RISE[inputs.lift_class],
        "length",
        CLASS_LIMITED_USE if inputs.lift_class == "limited use" else RISE_RESIDENCE,
        missing="rise",
    )
    if area is not None and area_has_load(inputs.lift_class, area):
        least = least_rated_load(inputs.lift_class, area)
        yield at_least(
            "rated load", inputs.rated_load, least.amount, "lb", least.source, missing="rated_load"
        )
        if inputs.lift_class == "limited use" and least.amount > LIMITED_USE_MOST_LOAD:  # type: ignore[operator]
            yield Finding(
                "load curve over class load",
                "warning",
                CLASS_LIMITED_USE,
                "",
                least.amount,
                LIMITED_USE_MOST_LOAD,
                "lb",
            )
    if inputs.lift_class == "limited use":
        yield at_most(
            "class load",
            inputs.rated_load,
            LIMITED_USE_MOST_LOAD,
            "lb",
            CLASS_LIMITED_USE,
            missing="rated_load",
        )


def _warned_when_rules_disagree(
    inputs: AccessibilityInputs, area: Fraction | None, limit: Finding
) -> Finding:
    """A 51 x 51 in car is asked for by one rule and just over the class limit of the other: a warning."""
    smallest = Fraction(51 * 51, 144)
    if limit.outcome != "not met" or inputs.lift_class != "limited use" or area is None or area > smallest:
        return limit
    return Finding(
        "class area",
        "warning",
        CLASS_LIMITED_USE,
        "",
        area,
        LIMITED_USE_MOST_AREA,
        "ft2",
        (),
        {"accessible size": smallest},
    )
