"""Best place of the lift's envelope among measured wall points: a linear programme. Millimetres and radians.

The envelope may shift and turn a little. Its sides stand square to each other; every wall point keeps
a slack to the side that faces it. For a fixed turn the slacks are linear in the shift; the small turn
is linear around the last one and settled by repeating; slacks are then taken from the turned envelope itself.
"""

import contextlib
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from coordination.siteprep.calculations.hoistway_survey.inputs import WALLS

ROUNDS = 4
FAR = 100_000.0
WORTH_TURNING = 1e-3


@dataclass(frozen=True, slots=True)
class WallPoint:
    """A point of a wall in plan, already moved inward by board to come and clearance."""

    wall: str
    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Fit:
    """Centre of the envelope, its turn to the left in radians, slack per point, give per wall."""

    x: float
    y: float
    turn: float
    slacks: tuple[float, ...]
    gives: Mapping[str, float]

    @property
    def least(self) -> float:
        """The least slack."""
        return min(self.slacks)


def best_fit(points: Sequence[WallPoint], width: float, depth: float, turn_limit: float) -> Fit:
    """The place with the greatest least slack, unturned where turning gains nothing, then most room on both axes."""
    size = (width, depth)
    straight, turned = (
        max(_rounds(points, size, (-limit, limit), _greatest_slack), key=lambda fit: fit.least)
        for limit in (0.0, turn_limit)
    )
    chosen = turned if turned.least > straight.least + WORTH_TURNING else straight
    fixed = (chosen.turn, chosen.turn)
    return _rounds(points, size, fixed, lambda rows: _most_room(rows, chosen.least))[0]


def least_give(
    points: Sequence[WallPoint], width: float, depth: float, turn_limit: float, movable: Sequence[str]
) -> Fit | None:
    """The place where the walls must give way least in sum; None when the walls that stay leave none."""
    found = []
    for limit in (0.0, turn_limit):
        with contextlib.suppress(NoPlaceError):
            rounds = _rounds(points, (width, depth), (-limit, limit), lambda rows: _least_sum(rows, movable))
            found.append(min(rounds, key=_total_give))
    if len(found) == 2 and _total_give(found[0]) <= _total_give(found[1]) + WORTH_TURNING:
        return found[0]
    return min(found, key=_total_give, default=None)


def _total_give(fit: Fit) -> float:
    return sum(fit.gives.values())


class NoPlaceError(ValueError):
    """The linear programme has no solution."""


@dataclass(frozen=True, slots=True)
class _Rows:
    """Slack of each point as constant + a u + b v + c turn, and bounds of the three."""

    points: Sequence[WallPoint]
    constant: list[float]
    terms: list[tuple[float, float, float]]
    bounds: list[tuple[float, float]]


_Place = tuple[float, float, float]
_Solve = Callable[[_Rows], _Place]


def _rounds(
    points: Sequence[WallPoint], size: tuple[float, float], turns: tuple[float, float], solve: _Solve
) -> list[Fit]:
    """Solutions, each linear around the turn of the one before; a single one when the turn is fixed."""
    turn, fits = (turns[0] + turns[1]) / 2, []
    for _ in range(ROUNDS if turns[0] < turns[1] else 1):
        u, v, turn = solve(_rows(points, size, turn, turns))
        fits.append(_made(points, size, u, v, turn))
    return fits


def _made(points: Sequence[WallPoint], size: tuple[float, float], *place: float) -> Fit:
    u, v, turn = place
    slacks = tuple(_slack(point, size, u, v, turn) for point in points)
    x = u * math.cos(turn) - v * math.sin(turn)
    y = u * math.sin(turn) + v * math.cos(turn)
    own = {wall: [s for s, p in zip(slacks, points, strict=True) if p.wall == wall] for wall in WALLS}
    gives = {wall: max(0.0, -min(values, default=0.0)) for wall, values in own.items()}
    return Fit(x, y, turn, slacks, gives)


def _slack(point: WallPoint, size: tuple[float, float], u: float, v: float, turn: float) -> float:
    """Distance of a wall point from the envelope's side; u and v are the centre along its own axes."""
    along = point.x * math.cos(turn) + point.y * math.sin(turn)
    across = -point.x * math.sin(turn) + point.y * math.cos(turn)
    return {
        "left": u - size[0] / 2 - along,
        "right": along - u - size[0] / 2,
        "front": v - size[1] / 2 - across,
        "rear": across - v - size[1] / 2,
    }[point.wall]


def _rows(
    points: Sequence[WallPoint], size: tuple[float, float], turn: float, turns: tuple[float, float]
) -> _Rows:
    """Slacks linear around ``turn``: d along / d turn = across, d across / d turn = - along."""
    constant, terms = [], []
    for point in points:
        along = point.x * math.cos(turn) + point.y * math.sin(turn)
        across = -point.x * math.sin(turn) + point.y * math.cos(turn)
        a, b, slope = {
            "left": (1.0, 0.0, -across),
            "right": (-1.0, 0.0, across),
            "front": (0.0, 1.0, along),
            "rear": (0.0, -1.0, -along),
        }[point.wall]
        constant.append(_slack(point, size, 0.0, 0.0, turn) - slope * turn)
        terms.append((a, b, slope))
    return _Rows(points, constant, terms, [(-FAR, FAR), (-FAR, FAR), turns])


def _programme(
    cost: list[float], rows: list[list[float]], limits: list[float], bounds: list[Any]
) -> list[float]:
    from scipy.optimize import linprog

    found = linprog(cost, A_ub=rows, b_ub=limits, bounds=bounds, method="highs")
    if found.status != 0:
        raise NoPlaceError(found.message)
    return [float(value) for value in found.x]


def _greatest_slack(rows: _Rows) -> _Place:
    below = [[-a, -b, -c, 1.0] for a, b, c in rows.terms]
    u, v, turn, _ = _programme([0, 0, 0, -1], below, rows.constant, [*rows.bounds, (-FAR, FAR)])
    return u, v, turn


def _most_room(rows: _Rows, least: float) -> _Place:
    """Greatest sum of the least slacks of both axes, no slack under ``least``."""
    sides = [1.0 if point.wall in {"left", "right"} else 0.0 for point in rows.points]
    below = [[-a, -b, -c, side, 1.0 - side] for (a, b, c), side in zip(rows.terms, sides, strict=True)]
    below += [[-a, -b, -c, 0.0, 0.0] for a, b, c in rows.terms]
    limits = rows.constant + [value - least + 1e-7 for value in rows.constant]
    walls = {point.wall for point in rows.points}
    both = [1.0, 1.0 if {"front", "rear"} <= walls else 0.0]
    cost = [0, 0, 0, -both[0], -both[1]]
    u, v, turn, *_ = _programme(
        [float(c) for c in cost], below, limits, [*rows.bounds, (-FAR, FAR), (-FAR, FAR)]
    )
    return u, v, turn


def _least_sum(rows: _Rows, movable: Sequence[str]) -> _Place:
    """Least sum of what the movable walls give way; no slack under zero after it."""
    below = [
        [-a, -b, -c, *(-1.0 if wall == point.wall else 0.0 for wall in WALLS)]
        for (a, b, c), point in zip(rows.terms, rows.points, strict=True)
    ]
    give: list[Any] = [(0, None) if wall in movable else (0, 0) for wall in WALLS]
    u, v, turn, *_ = _programme([0, 0, 0, 1, 1, 1, 1], below, rows.constant, [*rows.bounds, *give])
    return u, v, turn
