"""Inputs of the bracket calculation. Lengths in nanometres."""

from collections.abc import Iterator
from dataclasses import dataclass

from coordination.siteprep.calculations.inputs import Inputs, Problem, declare
from coordination.siteprep.calculations.values import feet, inches

MOST_SPACING = {"limited use": feet(6), "private residence": feet(5)}
FIRST_OFFSET = feet(1)
LAST_OFFSET = feet(1)


@dataclass(frozen=True, kw_only=True)
class Zone(Inputs):
    """A stretch of wall where no bracket may sit, in elevation above the bottom landing's floor."""

    name: str = declare("text", 'what is there, such as "floor 2 band"')
    bottom: int = declare(
        "length", "its lower end above the bottom landing's finished floor (negative below)"
    )
    top: int = declare("length", "its upper end above the bottom landing's finished floor")

    def cross_check(self) -> Iterator[Problem]:
        if self.top <= self.bottom:
            yield Problem("top", "is not above bottom", "give the upper end of the zone")


@dataclass(frozen=True, kw_only=True)
class LandingZones(Inputs):
    """What must stay clear at one landing; depths left out or zero make no zone."""

    name: str = declare("text", "name of the landing")
    elevation: int = declare("length", "finished floor above the bottom landing's finished floor", low=0)
    floor_depth: int = declare("length", "floor band below the finished floor", default=0, low=0)
    sill_depth: int = declare("length", "sill zone below the finished floor", default=0, low=0)
    door_height: int = declare("length", "opening height, lower end of the header zone", default=0, low=0)
    header_depth: int = declare("length", "header zone above the opening", default=0, low=0)


@dataclass(frozen=True, kw_only=True)
class BracketInputs(Inputs):
    """Hoistway heights, spacing rule, zones to keep clear, and the approved drawing when there is one."""

    pit_depth: int = declare("length", "bottom landing's finished floor to pit floor", low=0, high=feet(20))
    travel: int = declare("length", "bottom to top landing's finished floor", low=0, high=feet(100))
    overhead: int = declare(
        "length", "top landing's finished floor to the lowest obstruction above", low=0, high=feet(40)
    )
    lift_class: str = declare(
        "choice", "class of lift, for the usual spacing", default="limited use", choices=tuple(MOST_SPACING)
    )
    max_spacing: int | None = declare(
        "length",
        "greatest spacing; without it the usual spacing of the class",
        unknown=True,
        low=inches(6),
        high=feet(16),
    )
    first_offset: int | None = declare(
        "length", "first bracket above the pit floor (1 ft if not given)", unknown=True, low=0
    )
    last_offset: int | None = declare(
        "length", "last bracket below the overhead obstruction (1 ft if not given)", unknown=True, low=0
    )
    bracket_height: int = declare(
        "length", "height of a bracket, kept clear of zones as a whole", default=0, low=0, high=feet(3)
    )
    keep_clear: tuple[Zone, ...] = declare(
        "record", "zones where no bracket may sit", default=(), many=True, of=Zone
    )
    landings: tuple[LandingZones, ...] = declare(
        "record", "landings with floor, sill and header zones", default=(), many=True, of=LandingZones
    )
    drawing_elevations: tuple[int, ...] = declare(
        "length",
        "bracket elevations above the pit floor on the approved drawing; they override",
        default=(),
        many=True,
        low=0,
    )
    drawing_revision: str | None = declare("text", "revision of that drawing", unknown=True)

    def cross_check(self) -> Iterator[Problem]:
        first, last = ends(self)
        if last < first:
            yield Problem(
                "last_offset",
                "puts the last bracket below the first",
                "give offsets that fit into pit + travel + overhead",
            )
        if self.drawing_elevations and not self.drawing_revision:
            yield Problem("drawing_revision", "is missing", "name the revision of the approved drawing")
        if self.drawing_revision and not self.drawing_elevations:
            yield Problem("drawing_elevations", "is missing", "give the elevations printed on that revision")
        height = self.pit_depth + self.travel + self.overhead
        if any(elevation > height for elevation in self.drawing_elevations):
            yield Problem(
                "drawing_elevations",
                "lie above the hoistway",
                "give elevations above the pit floor, not above a landing",
            )
        if len(set(self.drawing_elevations)) < len(self.drawing_elevations):
            yield Problem("drawing_elevations", "name one elevation twice", "give each bracket once")


def ends(inputs: BracketInputs) -> tuple[int, int]:
    """Wanted height of the first and the last bracket above the pit floor."""
    first = FIRST_OFFSET if inputs.first_offset is None else inputs.first_offset
    last = LAST_OFFSET if inputs.last_offset is None else inputs.last_offset
    return first, inputs.pit_depth + inputs.travel + inputs.overhead - last
