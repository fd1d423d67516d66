# ruff: noqa: RUF009 (declare() makes a dataclass field)
"""Inputs of the accessibility checks. Lengths in nanometres, loads in pounds."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from coordination.siteprep.calculations.code_sets import declare_code_set
from coordination.siteprep.calculations.inputs import Inputs, Problem, declare
from coordination.siteprep.calculations.values import feet, inches

CLASSES = ("limited use", "private residence", "enclosed platform")


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

    code_set: str = declare_code_set()
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

    def cross_check(self) -> Iterator[Problem]:
        """An enclosed platform is known to the EN set only."""
        if self.lift_class == "enclosed platform" and self.code_set == "US":
            wrong = "an enclosed platform has no US value here (ASME A18.1)"
            yield Problem("lift_class", wrong, 'give "code_set": "EN", or ask the elevator authority')
