"""Hoistway survey from plumb lines: clear size in one vertical frame, plumb, square, and the lift's best place.

Lengths in nanometres. All levels are brought into one frame before the clear size is taken: the least
width of any one level is shown beside it, and may be larger. Nobody leans into an open hoistway for
a reading. The approved drawing governs.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import degrees, radians

from coordination.siteprep.calculations.hoistway_survey.fitting import Fit, WallPoint, best_fit, least_give
from coordination.siteprep.calculations.hoistway_survey.inputs import (
    WALLS,
    Diagonals,
    PlumbLine,
    Reading,
    SurveyInputs,
    WallLengths,
)
from coordination.siteprep.calculations.values import (
    NANOMETRES_PER_MILLIMETRE,
    Finding,
    Source,
    Value,
    at_least,
    at_most,
    inches,
)

__all__ = [
    "EXAMPLE",
    "SOURCES",
    "Diagonals",
    "PlumbLine",
    "Reading",
    "SurveyInputs",
    "SurveyResult",
    "WallLengths",
    "calculate",
]

PLUMB = Source(
    "a lift maker's planning note", "hoistway plumb within 1/2 in top to bottom", "practice", "lift crew"
)
MEASURED = Source(
    "readings of this survey", "one vertical frame through the plumb lines", "drawing", "lift crew"
)
DRAWING = Source("this job's drawing", "required envelope and clearances", "drawing", "lift crew")
USUAL_PLUMB_LIMIT = inches("1/2")
# Slacks are told to the thousandth of a millimetre: the solver is not exact to the nanometre.
ROUNDING = 1000


@dataclass(frozen=True, slots=True)
class WallState:
    """One wall: plumb error over all levels (worst line), least slack, and how far it must give way."""

    wall: str
    plumb_error: Value
    least_slack: Value
    gives_way: Value


@dataclass(frozen=True, slots=True)
class Slack:
    """One reading with the slack left there; below zero the wall stands in the way by that much."""

    level: str
    line: str
    wall: str
    slack: Value


@dataclass(frozen=True, slots=True)
class SurveyResult:
    """Clear size, walls, squareness per level, and the envelope's best place.

    The envelope's centre is in the frame of the plumb lines; ``turn`` is to the left in degrees.
    Slacks hold at the best place with nothing mended; ``gives_way`` belongs to the place where the
    walls give way least in sum, and is zero when the envelope fits.
    """

    stage: str
    clear_width: Value
    clear_depth: Value
    least_width_of_a_level: Value
    least_depth_of_a_level: Value
    walls: tuple[WallState, ...]
    out_of_square: tuple[tuple[str, Value], ...]
    centre_x: Value
    centre_y: Value
    turn: Value
    least_slack: Value
    slacks: tuple[Slack, ...]
    findings: tuple[Finding, ...]


def calculate(inputs: SurveyInputs) -> SurveyResult:
    """Bring all readings into one frame and fit the envelope: greatest least slack, then least mending.

    Readings are taken as they are, with board to come put on. Only measured points are known: a wall
    may bulge between them.
    """
    places = _places(inputs)
    fit = _fit(inputs, places)
    mended = _mended(inputs, places, fit)
    width, depth = _clear(inputs, places, "left", "right"), _clear(inputs, places, "front", "rear")
    return SurveyResult(
        inputs.stage,
        Value(width, "length", MEASURED),
        Value(depth, "length", MEASURED),
        Value(_least_of_a_level(inputs, places, "left", "right"), "length", MEASURED),
        Value(_least_of_a_level(inputs, places, "front", "rear"), "length", MEASURED),
        tuple(_walls(inputs, places, fit, mended)),
        tuple((d.level, Value(abs(d.one - d.other), "length", MEASURED)) for d in inputs.diagonals),
        _told(fit.x if fit else None),
        _told(fit.y if fit and depth is not None else None),
        Value(None if fit is None else round(degrees(fit.turn), 6), "degrees", MEASURED),
        _told(fit.least if fit else None),
        tuple(_slacks(inputs, fit)),
        tuple(_findings(inputs, places, fit, mended)),
    )


def _places(inputs: SurveyInputs) -> list[int]:
    """Coordinate of the wall at each reading, x for side walls and y for front and rear, board put on."""
    lines = {line.name: line for line in inputs.lines}
    places = []
    for reading in inputs.readings:
        line = lines[reading.line]
        at = line.x if reading.wall in {"left", "right"} else line.y
        free = reading.distance - getattr(inputs.board_to_come, reading.wall)
        places.append(at - free if reading.wall in {"left", "front"} else at + free)
    return places


def _on(inputs: SurveyInputs, places: list[int], wall: str, level: str | None = None) -> list[int]:
    return [
        p for p, r in zip(places, inputs.readings, strict=True) if r.wall == wall and level in {None, r.level}
    ]


def _clear(
    inputs: SurveyInputs, places: list[int], low: str, high: str, level: str | None = None
) -> int | None:
    """Distance between the innermost points of two walls, in one frame; of one level when given."""
    lows, highs = _on(inputs, places, low, level), _on(inputs, places, high, level)
    return min(highs) - max(lows) if lows and highs else None


def _least_of_a_level(inputs: SurveyInputs, places: list[int], low: str, high: str) -> int | None:
    levels = dict.fromkeys(reading.level for reading in inputs.readings)
    widths = [_clear(inputs, places, low, high, level) for level in levels]
    return min((width for width in widths if width is not None), default=None)


def _plumb_error(inputs: SurveyInputs, places: list[int], wall: str) -> int | None:
    """Greatest difference of one wall's offsets from the same line over all levels."""
    by_line: dict[str, list[int]] = {}
    for place, reading in zip(places, inputs.readings, strict=True):
        if reading.wall == wall:
            by_line.setdefault(reading.line, []).append(place)
    return max((max(values) - min(values) for values in by_line.values()), default=None)


def _points(inputs: SurveyInputs, places: list[int]) -> list[WallPoint]:
    lines = {line.name: line for line in inputs.lines}
    points = []
    for place, reading in zip(places, inputs.readings, strict=True):
        line, margin = lines[reading.line], getattr(inputs.clearance, reading.wall)
        inward = place + margin if reading.wall in {"left", "front"} else place - margin
        x, y = (inward, line.y) if reading.wall in {"left", "right"} else (line.x, inward)
        points.append(WallPoint(reading.wall, x / NANOMETRES_PER_MILLIMETRE, y / NANOMETRES_PER_MILLIMETRE))
    return points


def _size(inputs: SurveyInputs) -> tuple[float, float] | None:
    if inputs.envelope_width is None or inputs.envelope_depth is None:
        return None
    return (
        inputs.envelope_width / NANOMETRES_PER_MILLIMETRE,
        inputs.envelope_depth / NANOMETRES_PER_MILLIMETRE,
    )


def _fit(inputs: SurveyInputs, places: list[int]) -> Fit | None:
    size = _size(inputs)
    if size is None:
        return None
    return best_fit(_points(inputs, places), *size, radians(float(inputs.turn_limit)))


def _mended(inputs: SurveyInputs, places: list[int], fit: Fit | None) -> Fit | None:
    """Where the walls give way least, when the envelope does not fit; None when it fits or cannot."""
    size = _size(inputs)
    if fit is None or size is None or _nanometres(fit.least) >= 0:
        return None
    turn = radians(float(inputs.turn_limit))
    return least_give(_points(inputs, places), *size, turn, inputs.walls_that_can_move)


def _nanometres(millimetres: float) -> int:
    return round(millimetres * NANOMETRES_PER_MILLIMETRE / ROUNDING) * ROUNDING


def _told(millimetres: float | None) -> Value:
    return Value(None if millimetres is None else _nanometres(millimetres), "length", MEASURED)


def _slacks(inputs: SurveyInputs, fit: Fit | None) -> Iterator[Slack]:
    for number, reading in enumerate(inputs.readings):
        slack = None if fit is None else fit.slacks[number]
        yield Slack(reading.level, reading.line, reading.wall, _told(slack))


def _walls(
    inputs: SurveyInputs, places: list[int], fit: Fit | None, mended: Fit | None
) -> Iterator[WallState]:
    for wall in WALLS:
        error = _plumb_error(inputs, places, wall)
        own = (
            []
            if fit is None
            else [s for s, r in zip(fit.slacks, inputs.readings, strict=True) if r.wall == wall]
        )
        give = None if fit is None else mended.gives[wall] if mended else 0.0
        if fit is not None and mended is None and _nanometres(fit.least) < 0:
            give = None
        yield WallState(wall, Value(error, "length", MEASURED), _told(min(own, default=None)), _told(give))


def _findings(
    inputs: SurveyInputs, places: list[int], fit: Fit | None, mended: Fit | None
) -> Iterator[Finding]:
    limit = USUAL_PLUMB_LIMIT if inputs.plumb_limit is None else inputs.plumb_limit
    source = PLUMB if inputs.plumb_limit is None else DRAWING
    for wall in WALLS:
        error = _plumb_error(inputs, places, wall)
        yield at_most("plumb", error, limit, "length", source, missing="readings", subject=wall)
    if inputs.square_limit is not None:
        for both in inputs.diagonals:
            yield at_most(
                "square",
                abs(both.one - both.other),
                inputs.square_limit,
                "length",
                DRAWING,
                missing="",
                subject=both.level,
            )
    if fit is None:
        missing = tuple(n for n in ("envelope_width", "envelope_depth") if getattr(inputs, n) is None)
        yield Finding("envelope fits", "unknown", DRAWING, missing=missing)
        return
    yield at_least("envelope fits", _nanometres(fit.least), 0, "length", DRAWING, missing="")
    if _nanometres(fit.least) < 0 and mended is None:
        yield Finding("walls that can move are not enough", "not met", DRAWING)
    for wall, give in (mended.gives if mended else {}).items():
        if _nanometres(give) > 0:
            yield Finding("wall must give way", "not met", DRAWING, wall, _nanometres(give), 0, "length")


SOURCES = (PLUMB, MEASURED, DRAWING)
EXAMPLE = {
    "length_unit": "in",
    "stage": "open framing",
    "lines": [{"name": "A", "x": 6, "y": 27}, {"name": "B", "x": 54, "y": 27}],
    "readings": [
        {"level": level, "line": line, "wall": wall, "distance": distance}
        for level, (left, right, front, rear) in {
            "pit": (6, 6, 27, 27),
            "landing 1": (6.25, 5.875, 27, 27),
            "landing 2": (6.5, 5.625, 27.125, 26.875),
        }.items()
        for line, wall, distance in (
            ("A", "left", left),
            ("B", "right", right),
            ("A", "front", front),
            ("A", "rear", rear),
            ("B", "front", front),
            ("B", "rear", rear),
        )
    ],
    "diagonals": [{"level": "pit", "one": 80.75, "other": 80.5}],
    "envelope_width": 58,
    "envelope_depth": 52,
    "board_to_come": {"rear": 0.625},
}
