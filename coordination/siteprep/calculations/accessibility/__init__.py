"""Car, door, gap and height checks of the accessibility rules, and the area and load limits of the class.

Lengths in nanometres, areas in square feet, loads in pounds.
"""

from dataclasses import dataclass
from fractions import Fraction

from coordination.siteprep.calculations.accessibility import en
from coordination.siteprep.calculations.accessibility.inputs import (
    CLASSES,
    AccessibilityInputs,
    LandingReadings,
)
from coordination.siteprep.calculations.accessibility.limits import (
    area_has_load,
    car,
    car_area,
    class_limits,
    least_rated_load,
    most_area,
)
from coordination.siteprep.calculations.accessibility.readings import (
    FramingDimension,
    door_findings,
    framing_dimension,
    landing_findings,
    reading_findings,
)
from coordination.siteprep.calculations.accessibility.sources import (
    CAR_LIMITED_USE,
    CAR_RESIDENCE,
)
from coordination.siteprep.calculations.accessibility.sources import (
    SOURCES as US_SOURCES,
)
from coordination.siteprep.calculations.values import Finding, Value

__all__ = [
    "CLASSES",
    "SOURCES",
    "AccessibilityInputs",
    "AccessibilityResult",
    "FramingDimension",
    "LandingReadings",
    "calculate",
    "car_area",
    "framing_dimension",
    "least_rated_load",
    "most_area",
]


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

    Source: 2010 ADA Standards 407 to 409; ASME A17.1 5.2, 5.3 and 2.16.1; EN 81-20, 81-41 and 81-70.
    """
    if inputs.code_set == "EN":
        return _under_en(inputs)
    area = car_area(inputs.car_width, inputs.car_depth)
    rule, car_findings = car(inputs, area)
    residence = inputs.lift_class == "private residence"
    landings = tuple(
        finding for landing in inputs.landings for finding in landing_findings(landing, inputs.landing_doors)
    )
    findings = (
        *car_findings,
        *class_limits(inputs, area),
        *door_findings(inputs),
        *reading_findings(inputs),
        *(landings if residence else ()),
    )
    most = most_area(inputs.lift_class)
    least = Value(None, "lb", most.source)
    if area is not None and area_has_load(inputs.lift_class, area):
        least = least_rated_load(inputs.lift_class, area)
    return AccessibilityResult(
        Value(area, "ft2", CAR_RESIDENCE if residence else CAR_LIMITED_USE),
        most,
        least,
        rule,
        findings,
        tuple(framing_dimension(landing, inputs.landing_doors) for landing in inputs.landings)
        if residence
        else (),
        ("door face to sill", "4 in sphere") if residence else (),
    )


def _under_en(inputs: AccessibilityInputs) -> AccessibilityResult:
    """Areas in square metres; the rule is the largest car type that the car holds."""
    width, depth = inputs.car_width, inputs.car_depth
    area = None if width is None or depth is None else Fraction(width * depth, 10**18)
    platform = inputs.lift_class == "enclosed platform" and area is not None
    return AccessibilityResult(
        Value(area, "m2", en.CAR),
        Value(None, "m2", en.CAR),
        Value(en.platform_load(area) if platform and area is not None else None, "lb", en.PLATFORM_LOAD),
        en.car_type(width, depth),
        tuple(en.findings(inputs)),
        (),
        (),
    )


SOURCES = (*US_SOURCES, *en.SOURCES)
EXAMPLE = {
    "lift_class": "private residence",
    "car_width": "36 in",
    "car_depth": "48 in",
    "door_clear_width": "32 in",
    "rated_load": "950 lb",
    "landing_doors": "swing",
    "landings": [
        {"name": "1", "door_face_to_sill": "3/4 in", "sphere_rejected": True, "door_setback": "1/2 in"},
        {"name": "2", "door_face_to_sill": "unknown", "sphere_rejected": "unknown"},
    ],
}
