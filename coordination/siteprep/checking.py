"""What calculations and class limits say about the stated facts: limits touched, rules that disagree."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from coordination.siteprep.calculations import accessibility
from coordination.siteprep.calculations.values import Finding as Checked
from coordination.siteprep.classes import SQUARE_FOOT, class_of
from coordination.siteprep.fact_checks import within_class
from coordination.siteprep.fact_types import Facts
from coordination.siteprep.plan_parts import Number
from coordination.siteprep.sources import Source, own_sources

_CLASSES = {"limited-use": "limited use", "private residence": "private residence"}
_POUND = 0.45359237
_CAR = ("lift.car_width", "lift.car_depth")
LOAD_PER_SQUARE_METRE = 250


@dataclass(frozen=True)
class Worked:
    """One thing worked out: the finding's key, what was found against which limit, and by which rule."""

    key: str
    facts: tuple[str, ...]
    found: Number
    limit: Number
    unit: str
    source: Source


def worked_findings(facts: Facts) -> Iterator[Worked]:
    """Yield what the stated figures are worth showing for; nothing is said of what is unknown.

    Source: 2010 ADA Standards 408, 409; ASME A17.1 2.16.1, 5.2, 5.3; EN 81-41, each named in the finding.
    """
    yield from _class_limits(facts)
    yield from _car(facts)
    yield from _platform_load(facts)


def _class_limits(facts: Facts) -> Iterator[Worked]:
    for name, key, found, limit in within_class(facts):
        if limit.source.status == "memory":
            yield Worked(f"class-{name}", ("lift.class", key), found, limit.most, limit.unit, limit.source)


# Findings of the calculation: (its key, its outcome) -> the catalogue's key and the facts it leans on.
_CHECKS = {
    ("class area", "warning"): ("accessible-car-over-class", _CAR),
    ("class area", "not met"): ("class-area", ("lift.class", *_CAR)),
    ("load curve over class load", "warning"): ("load-curve-over-class", ("lift.class", *_CAR)),
    ("rated load", "not met"): ("load-below-curve", (*_CAR, "lift.load")),
    ("car width", "not met"): ("car-too-narrow", ("lift.car_width",)),
    ("car depth", "not met"): ("car-too-shallow", ("lift.car_depth",)),
    ("door clear width", "not met"): ("car-door-too-narrow", ("lift.car_door_width",)),
}


def _car(facts: Facts) -> Iterator[Worked]:
    """Yield what ``calculations.accessibility`` finds of the car, for the two classes it knows."""
    lift_class = _CLASSES.get(str(facts.value("lift.class")))
    if lift_class is None or facts.code_set != "us":
        return
    load = facts.value("lift.load")
    result = accessibility.calculate(
        accessibility.AccessibilityInputs(
            lift_class=lift_class,
            existing=facts.value("building.stage") == "existing",
            car_width=facts.length("lift.car_width"),
            car_depth=facts.length("lift.car_depth"),
            door_clear_width=facts.length("lift.car_door_width"),
            rated_load=Fraction(round(load / _POUND, 6)) if isinstance(load, float) else None,
        )
    )
    warned = {finding.key for finding in result.findings if finding.outcome == "warning"}
    for finding in result.findings:
        # Where the curve asks for more than the class may carry, no load can satisfy both: say that instead.
        beaten = finding.key == "rated load" and "load curve over class load" in warned
        if (finding.key, finding.outcome) in _CHECKS and not beaten:
            key, read = _CHECKS[finding.key, finding.outcome]
            yield _worked(key, read, finding)


def _worked(key: str, read: tuple[str, ...], finding: Checked) -> Worked:
    """Return the finding in the units of facts: square feet become m2, pounds kg."""
    factor, unit = {"ft2": (SQUARE_FOOT, "m2"), "lb": (_POUND, "kg")}.get(finding.unit, (1, finding.unit))
    found, limit = (_number(amount) * factor for amount in (finding.found, finding.limit))
    return Worked(key, read, found, limit, unit, finding.source)


def _number(amount: object) -> Number:
    if isinstance(amount, Fraction):
        return float(amount)
    if not isinstance(amount, int | float):
        raise TypeError(f"{amount!r} is no number")
    return amount


def _platform_load(facts: Facts) -> Iterator[Worked]:
    """Yield a platform whose rated load is below 250 kg for each square metre. EN 81-41, from memory."""
    if facts.code_set != "en" or class_of(str(facts.value("lift.class")), "en") is None:
        return
    width, depth, load = (facts.value(key) for key in (*_CAR, "lift.load"))
    if isinstance(width, int) and isinstance(depth, int) and isinstance(load, float):
        least = LOAD_PER_SQUARE_METRE * width * depth / 1e18
        if load < least:
            source = own_sources()["en81-41-load"]
            yield Worked("platform-load-basis", (*_CAR, "lift.load"), load, least, "kg", source)
