"""Doors, gaps, heights and the readings per landing. Lengths in nanometres."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from coordination.siteprep.calculations.accessibility.inputs import AccessibilityInputs, LandingReadings
from coordination.siteprep.calculations.accessibility.sources import (
    BUTTON_SIZE,
    DOOR_TO_SILL,
    EMERGENCY_CONTROLS,
    GAP_PUBLIC,
    GAP_RESIDENCE,
    HALL_BUTTON,
    ILLUMINATION,
    JAMB_SIGNS,
    LEVELLING,
    PANEL_RESIDENCE,
    SLIDING_DOORS,
    SPHERE,
    SWING_DOORS,
)
from coordination.siteprep.calculations.values import Finding, Value, at_least, at_most, holds, inches

DOOR_TO_SILL_LIMITS: Mapping[str, int] = {"swing": inches("3/4"), "sliding": inches("9/4")}


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


def door_findings(inputs: AccessibilityInputs) -> Iterator[Finding]:
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


def reading_findings(inputs: AccessibilityInputs) -> Iterator[Finding]:
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


def landing_findings(landing: LandingReadings, doors: str | None) -> Iterator[Finding]:
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


def framing_dimension(landing: LandingReadings, doors: str | None) -> FramingDimension:
    most = DOOR_TO_SILL_LIMITS[doors] if doors else None
    from_framing = None if most is None or landing.door_setback is None else most - landing.door_setback
    return FramingDimension(
        landing.name, Value(most, "length", DOOR_TO_SILL), Value(from_framing, "length", DOOR_TO_SILL)
    )
