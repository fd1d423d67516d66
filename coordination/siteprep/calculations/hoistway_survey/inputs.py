# ruff: noqa: RUF009 (declare() makes a dataclass field)
"""Inputs of the hoistway survey. Lengths in nanometres; x runs to the right, y to the rear, seen from the front."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from coordination.siteprep.calculations.inputs import Inputs, Problem, declare
from coordination.siteprep.calculations.values import feet, inches

WALLS = ("left", "right", "front", "rear")


@dataclass(frozen=True, kw_only=True)
class PlumbLine(Inputs):
    """A plumb line hung the whole height; all positions in one frame of the plan."""

    name: str = declare("text", "name of the line")
    x: int = declare("length", "to the right of any fixed point", low=-feet(100), high=feet(100))
    y: int = declare("length", "to the rear of that point", low=-feet(100), high=feet(100))


@dataclass(frozen=True, kw_only=True)
class Reading(Inputs):
    """Distance from a line to a wall at one level, measured square to the wall."""

    level: str = declare("text", 'level, such as "pit", "landing 1", "mid 1-2"')
    line: str = declare("text", "name of the plumb line")
    wall: str = declare("choice", "wall measured to", choices=WALLS)
    distance: int = declare("length", "from the line to the wall", low=-feet(5), high=feet(100))


@dataclass(frozen=True, kw_only=True)
class Diagonals(Inputs):
    """Both diagonals of the hoistway at one level."""

    level: str = declare("text", "level")
    one: int = declare("length", "one diagonal", low=1, high=feet(200))
    other: int = declare("length", "the other diagonal", low=1, high=feet(200))


@dataclass(frozen=True, kw_only=True)
class WallLengths(Inputs):
    """A length for each wall."""

    left: int = declare("length", "left wall", default=0, low=0, high=feet(5))
    right: int = declare("length", "right wall", default=0, low=0, high=feet(5))
    front: int = declare("length", "front wall", default=0, low=0, high=feet(5))
    rear: int = declare("length", "rear wall", default=0, low=0, high=feet(5))


@dataclass(frozen=True, kw_only=True)
class SurveyInputs(Inputs):
    """Readings from plumb lines, and the envelope the lift needs. Distances below zero lie beyond the line."""

    stage: str = declare(
        "choice", "when it was measured", default="open framing", choices=("open framing", "after board")
    )
    lines: tuple[PlumbLine, ...] = declare("record", "plumb lines", many=True, of=PlumbLine, least=1)
    readings: tuple[Reading, ...] = declare("record", "readings", many=True, of=Reading, least=2)
    diagonals: tuple[Diagonals, ...] = declare(
        "record", "diagonals per level", default=(), many=True, of=Diagonals
    )
    envelope_width: int | None = declare(
        "length", "clear width the lift needs, from the drawing", unknown=True, low=inches(12), high=feet(50)
    )
    envelope_depth: int | None = declare(
        "length", "clear depth the lift needs, from the drawing", unknown=True, low=inches(12), high=feet(50)
    )
    clearance: WallLengths = declare(
        "record", "clearance wanted beyond the envelope, per wall", default=WallLengths(), of=WallLengths
    )
    board_to_come: WallLengths = declare(
        "record", "thickness still to be put on each wall", default=WallLengths(), of=WallLengths
    )
    walls_that_can_move: tuple[str, ...] = declare(
        "choice", "walls that could be mended", default=WALLS, many=True, choices=WALLS
    )
    turn_limit: Fraction = declare(
        "degrees", "greatest turn of the envelope either way", default=Fraction(1, 2), low=0, high=3
    )
    plumb_limit: int | None = declare(
        "length",
        "greatest plumb error, top to bottom (1/2 in by a maker's note if not given)",
        unknown=True,
        low=0,
    )
    square_limit: int | None = declare(
        "length", "greatest difference of diagonals, from the drawing", unknown=True, low=0
    )

    def cross_check(self) -> Iterator[Problem]:
        """Readings name lines that exist, once per level, line and wall; both width and depth or neither."""
        names = [line.name for line in self.lines]
        if len(set(names)) < len(names):
            yield Problem("lines", "has two lines of one name", "name each line differently")
        seen: set[tuple[str, str, str]] = set()
        for number, reading in enumerate(self.readings):
            if reading.line not in names:
                yield Problem(
                    f"readings[{number}].line", f"{reading.line!r} is not a line", f"use {', '.join(names)}"
                )
            key = (reading.level, reading.line, reading.wall)
            if key in seen:
                yield Problem(
                    f"readings[{number}]", "is the second of its level, line and wall", "give each once"
                )
            seen.add(key)
        for wall in ("left", "right"):
            if not any(reading.wall == wall for reading in self.readings):
                yield Problem("readings", f"has none on the {wall} wall", "give readings on both side walls")
