# ruff: noqa: RUF009 (declare() makes a dataclass field)
"""Car, door, gap and height checks of the accessibility rules, and the area and load limits of the class.

Lengths in nanometres, areas in square feet, loads in pounds.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from coordination.siteprep.calculations.inputs import Inputs, declare
from coordination.siteprep.calculations.values import (
    NANOMETRES_PER_FOOT,
    Finding,
    OutOfTable,
    Source,
    Value,
    at_least,
    at_most,
    feet,
    holds,
    inches,
)

ADA = "2010 ADA Standards"
CAR_LIMITED_USE = Source(ADA, "408.4.1", "code")
CAR_SQUARE = Source(ADA, "408.4.1, exception 1", "code")
CAR_EXISTING = Source(ADA, "408.4.1, exception 2", "code")
CAR_RESIDENCE = Source(ADA, "409.4.1", "code")
DOOR_RESIDENCE = Source(ADA, "409.4", "memory", "building")
PANEL_RESIDENCE = Source(ADA, "409.4.6", "code")
SWING_DOORS = Source(ADA, "408.3.2", "code")
SLIDING_DOORS = Source(ADA, "408.3.1 with 407.3.1 to 407.3.3", "code")
GAP_PUBLIC = Source(ADA, "408.4.3 with 407.4.3", "code")
GAP_RESIDENCE = Source(ADA, "409.4.3", "code")
LEVELLING = Source(ADA, "407.4.4, 409.4.4", "code")
HALL_BUTTON = Source(ADA, "407.2.1.1 with 308", "code")
BUTTON_SIZE = Source(ADA, "407.2.1", "code")
EMERGENCY_CONTROLS = Source(ADA, "407.4.6.4.1", "code")
ILLUMINATION = Source(ADA, "407.4.5, 408.4.5", "memory", "building")
JAMB_SIGNS = Source(ADA, "407.2.3.1 with 703.4.1", "code")
CLASS_LIMITED_USE = Source("ASME A17.1/CSA B44", "5.2.1.16", "code", "elevator")
CLASS_RESIDENCE = Source("ASME A17.1/CSA B44", "5.3.1.10", "memory", "elevator")
LOAD_CURVE = Source(
    "ASME A17.1/CSA B44", "2.16.1, rated load by inside area up to 50 ft2", "code", "elevator"
)
LOAD_RESIDENCE = Source("ASME A17.1/CSA B44", "5.3.1.10, least rated load", "memory", "elevator")
RISE_RESIDENCE = Source("ASME A17.1/CSA B44", "5.3.1.10 and 5.3.1.16", "code", "elevator")
DOOR_TO_SILL = Source(
    "ASME A17.1/CSA B44", "5.3.1.8 (2016 and later); same limits in a state bill of 2016", "code", "elevator"
)
SPHERE = Source(
    "ASME A17.1/CSA B44", "5.3.1.8 (2016 and later), 4 in sphere under 75 lbf", "code", "elevator"
)

CLASSES = ("limited use", "private residence")
LIMITED_USE_MOST_AREA = Fraction(18)
LIMITED_USE_MOST_LOAD = Fraction(1400)
RESIDENCE_MOST_AREA = Fraction(15)
MOST_RISE = {"limited use": feet(25), "private residence": feet(50)}
DOOR_TO_SILL_LIMITS: Mapping[str, int] = {"swing": inches("3/4"), "sliding": inches("9/4")}


@dataclass(frozen=True, kw_only=True)
class LandingReadings(Inputs):
    """What was measured at one landing of a residence lift."""

    name: str = declare("text", "name of the landing")
    door_face_to_sill: int | None = declare(
        "length", "landing door's hoistway face to the edge of the landing sill", unknown=True, low=0
    )
    sphere_rejected: bool | None = declare(
        "flag",
        "a 4 in sphere pushed with 75 lbf does not pass between landing door and car door",
        unknown=True,
    )
    door_setback: int | None = declare(
        "length", "door's hoistway face behind the framing's hoistway face (negative: in front)", unknown=True
    )


@dataclass(frozen=True, kw_only=True)
class AccessibilityInputs(Inputs):
    """The car, its doors and landings. Everything but the class may be unknown."""

    lift_class: str = declare("choice", "class of lift", choices=CLASSES)
    existing: bool = declare("flag", "an existing car is altered", default=False)
    door_side: str = declare(
        "choice", "side of the car with the door", default="narrow end", choices=("narrow end", "long side")
    )
    car_width: int | None = declare(
        "length", "clear inside width, along the door side", unknown=True, low=inches(12), high=feet(12)
    )
    car_depth: int | None = declare(
        "length", "clear inside depth, away from the door", unknown=True, low=inches(12), high=feet(12)
    )
    door_clear_width: int | None = declare(
        "length", "clear width of the car door opening", unknown=True, low=inches(12), high=feet(8)
    )
    rated_load: Fraction | None = declare("mass", "rated load", unknown=True, low=1)
    rise: int | None = declare("length", "travel", unknown=True, low=0)
    landing_doors: str | None = declare(
        "choice", "kind of landing doors", unknown=True, choices=("swing", "sliding")
    )
    power_operated: bool | None = declare("flag", "landing doors are power operated", unknown=True)
    stays_open: Fraction | None = declare(
        "seconds", "time a power-operated swing door stays open", unknown=True, low=0
    )
    reopening_device: bool | None = declare("flag", "sliding doors have a reopening device", unknown=True)
    sill_gap: int | None = declare("length", "car platform to landing sill", unknown=True, low=0)
    levelling: int | None = declare(
        "length", "greatest stopping difference, rated to zero load", unknown=True, low=0
    )
    hall_button_height: int | None = declare(
        "length", "centreline of the landing call button above the floor", unknown=True, low=0
    )
    hall_button_size: int | None = declare(
        "length", "smallest dimension of the landing call button", unknown=True, low=0
    )
    emergency_controls_height: int | None = declare(
        "length", "centreline of the emergency controls above the car floor", unknown=True, low=0
    )
    car_light: Fraction | None = declare(
        "light", "illumination at car controls, platform and sill", unknown=True, low=0
    )
    panel_to_wall: int | None = declare(
        "length", "residence lift: car panel to the adjacent wall", unknown=True, low=0
    )
    jamb_sign_base: int | None = declare(
        "length", "base line of the raised jamb characters above the floor", unknown=True, low=0
    )
    landings: tuple[LandingReadings, ...] = declare(
        "record", "readings per landing of a residence lift", default=(), many=True, of=LandingReadings
    )


@dataclass(frozen=True, slots=True)
class FramingDimension:
    """Where the sill edge may lie at one landing, for the framing sheet.

    ``most_door_to_sill`` is the limit itself; ``most_sill_from_framing`` is the farthest that the
    sill edge may stand out from the framing's hoistway face towards the car (negative: it must stay
    behind that face), unknown while the door's setback is. Nobody may concede either.
    """

    landing: str
    most_door_to_sill: Value
    most_sill_from_framing: Value
    may_be_conceded: bool = False


@dataclass(frozen=True, slots=True)
class AccessibilityResult:
    """Area, least load, findings per rule, and the framing dimensions of a residence lift.

    ``not_concedable`` names the findings that no role may concede.
    """

    car_area: Value
    most_area: Value
    least_load: Value
    car_rule: str | None
    findings: tuple[Finding, ...]
    framing: tuple[FramingDimension, ...]
    not_concedable: tuple[str, ...]


def calculate(inputs: AccessibilityInputs) -> AccessibilityResult:
    """Check a car and its landings; warn where accessibility and class limits disagree.

    A limit exactly reached is met. Missing inputs give "unknown".

    Source: 2010 ADA Standards 407 to 409; ASME A17.1 5.2, 5.3 and 2.16.1.
    """
    area = car_area(inputs.car_width, inputs.car_depth)
    rule, car = _car(inputs, area)
    residence = inputs.lift_class == "private residence"
    landings = tuple(
        finding for landing in inputs.landings for finding in _landing(landing, inputs.landing_doors)
    )
    findings = (
        *car,
        *_class_limits(inputs, area),
        *_doors(inputs),
        *_readings(inputs),
        *(landings if residence else ()),
    )
    least = Value(None, "lb", LOAD_CURVE) if area is None else least_rated_load(inputs.lift_class, area)
    most = _most_area(inputs.lift_class)
    return AccessibilityResult(
        Value(area, "ft2", CAR_RESIDENCE if residence else CAR_LIMITED_USE),
        most,
        least,
        rule,
        findings,
        tuple(_framing(landing, inputs.landing_doors) for landing in inputs.landings) if residence else (),
        ("door face to sill", "4 in sphere") if residence else (),
    )


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


def _most_area(lift_class: str) -> Value:
    if lift_class == "limited use":
        return Value(LIMITED_USE_MOST_AREA, "ft2", CLASS_LIMITED_USE)
    return Value(RESIDENCE_MOST_AREA, "ft2", CLASS_RESIDENCE)


def _car(inputs: AccessibilityInputs, area: Fraction | None) -> tuple[str | None, list[Finding]]:
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


def _class_limits(inputs: AccessibilityInputs, area: Fraction | None) -> Iterator[Finding]:
    most = _most_area(inputs.lift_class)
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
    if area is not None and (inputs.lift_class == "limited use" or area <= RESIDENCE_MOST_AREA):
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


def _doors(inputs: AccessibilityInputs) -> Iterator[Finding]:
    if inputs.lift_class == "private residence":
        return
    if inputs.landing_doors is None:
        yield Finding("landing doors", "unknown", SWING_DOORS, missing=("landing_doors",))
    elif inputs.landing_doors == "swing":
        yield holds("swing door power operated", inputs.power_operated, SWING_DOORS, missing="power_operated")
        yield at_least(
            "swing door stays open", inputs.stays_open, Fraction(20), "s", SWING_DOORS, missing="stays_open"
        )
    else:
        yield holds(
            "sliding door reopening device",
            inputs.reopening_device,
            SLIDING_DOORS,
            missing="reopening_device",
        )


def _readings(inputs: AccessibilityInputs) -> Iterator[Finding]:
    residence = inputs.lift_class == "private residence"
    gap, gap_source = (inches("3/2"), GAP_RESIDENCE) if residence else (inches("5/4"), GAP_PUBLIC)
    yield at_most("sill gap", inputs.sill_gap, gap, "length", gap_source, missing="sill_gap")
    yield at_most("levelling", inputs.levelling, inches("1/2"), "length", LEVELLING, missing="levelling")
    button, low, high = inputs.hall_button_height, inches(15), inches(48)
    yield at_least(
        "hall button not too low", button, low, "length", HALL_BUTTON, missing="hall_button_height"
    )
    yield at_most(
        "hall button not too high", button, high, "length", HALL_BUTTON, missing="hall_button_height"
    )
    if residence:
        yield at_least(
            "car panel to wall",
            inputs.panel_to_wall,
            inches(12),
            "length",
            PANEL_RESIDENCE,
            missing="panel_to_wall",
        )
        return
    yield at_least(
        "hall button size",
        inputs.hall_button_size,
        inches("3/4"),
        "length",
        BUTTON_SIZE,
        missing="hall_button_size",
    )
    yield at_least(
        "emergency controls height",
        inputs.emergency_controls_height,
        inches(35),
        "length",
        EMERGENCY_CONTROLS,
        missing="emergency_controls_height",
    )
    yield at_least(
        "car light",
        inputs.car_light,
        5 * Fraction("10.763910416709722"),
        "lx",
        ILLUMINATION,
        missing="car_light",
    )
    yield at_least(
        "jamb sign not too low",
        inputs.jamb_sign_base,
        inches(48),
        "length",
        JAMB_SIGNS,
        missing="jamb_sign_base",
    )
    yield at_most(
        "jamb sign not too high",
        inputs.jamb_sign_base,
        inches(60),
        "length",
        JAMB_SIGNS,
        missing="jamb_sign_base",
    )


def _landing(landing: LandingReadings, doors: str | None) -> Iterator[Finding]:
    if doors is None:
        yield Finding(
            "door face to sill",
            "unknown",
            DOOR_TO_SILL,
            landing.name,
            landing.door_face_to_sill,
            None,
            "length",
            ("landing_doors",),
        )
    else:
        yield at_most(
            "door face to sill",
            landing.door_face_to_sill,
            DOOR_TO_SILL_LIMITS[doors],
            "length",
            DOOR_TO_SILL,
            missing="door_face_to_sill",
            subject=landing.name,
        )
    yield holds(
        "4 in sphere", landing.sphere_rejected, SPHERE, missing="sphere_rejected", subject=landing.name
    )


def _framing(landing: LandingReadings, doors: str | None) -> FramingDimension:
    most = DOOR_TO_SILL_LIMITS[doors] if doors else None
    from_framing = None if most is None or landing.door_setback is None else most - landing.door_setback
    return FramingDimension(
        landing.name, Value(most, "length", DOOR_TO_SILL), Value(from_framing, "length", DOOR_TO_SILL)
    )


SOURCES = (
    CAR_LIMITED_USE, CAR_SQUARE, CAR_EXISTING, CAR_RESIDENCE, DOOR_RESIDENCE, PANEL_RESIDENCE, SWING_DOORS,
    SLIDING_DOORS, GAP_PUBLIC, GAP_RESIDENCE, LEVELLING, HALL_BUTTON, BUTTON_SIZE, EMERGENCY_CONTROLS, ILLUMINATION,
    JAMB_SIGNS, CLASS_LIMITED_USE, CLASS_RESIDENCE, LOAD_CURVE, LOAD_RESIDENCE, RISE_RESIDENCE, DOOR_TO_SILL, SPHERE,
)  # fmt: skip
