"""Hoistway survey: one vertical frame, best place, mending; Shapely and brute force as independent references."""

import math
from dataclasses import replace
from fractions import Fraction

import pytest
import shapely
import shapely.affinity
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from coordination.siteprep.calculations.hoistway_survey import (
    Diagonals,
    PlumbLine,
    Reading,
    SurveyInputs,
    WallLengths,
    calculate,
)
from coordination.siteprep.calculations.hoistway_survey.fitting import WallPoint, best_fit, least_give
from coordination.siteprep.calculations.inputs import InputErrors
from coordination.siteprep.calculations.values import inches

LINES = (
    PlumbLine(name="A", x=0, y=0),
    PlumbLine(name="B", x=inches(48), y=0),
    PlumbLine(name="C", x=0, y=inches(48)),
    PlumbLine(name="D", x=inches(48), y=inches(48)),
)
CORNERS = [
    ("A", "left"),
    ("A", "front"),
    ("B", "right"),
    ("B", "front"),
    ("C", "left"),
    ("C", "rear"),
    ("D", "right"),
    ("D", "rear"),
]
LEVELS = ("pit", "landing 1", "landing 2")
MICROMETRE = 1000


def survey(offsets=None, **changed):
    """A shaft of 60 x 60 in, six inches beyond every line, with ``offsets`` (level, line, wall) to inches added."""
    readings = tuple(
        Reading(
            level=level,
            line=line,
            wall=wall,
            distance=inches(6) + inches((offsets or {}).get((level, line, wall), 0)),
        )
        for level in LEVELS
        for line, wall in CORNERS
    )
    given = {"lines": LINES, "readings": readings, "envelope_width": inches(58), "envelope_depth": inches(57)}
    return SurveyInputs(**{**given, **changed})


def near(value, expected):
    return abs(value.amount - expected) <= MICROMETRE


def walls(result):
    return {state.wall: state for state in result.walls}


def test_true_shaft():
    result = calculate(survey())
    assert (result.clear_width.amount, result.clear_depth.amount) == (inches(60), inches(60))
    assert {state.plumb_error.amount for state in result.walls} == {0}
    assert near(result.centre_x, inches(24))
    assert near(result.centre_y, inches(24))
    assert (result.turn.amount, near(result.least_slack, inches(1))) == (0, True)
    assert near(walls(result)["front"].least_slack, inches("1.5"))


def leaning(amount):
    """Left wall leans in and right wall out by ``amount`` from pit to top: every level keeps its width."""
    step = {"pit": 0, "landing 1": Fraction(amount) / 2, "landing 2": Fraction(amount)}
    offsets = {}
    for level, out in step.items():
        offsets.update(
            {
                (level, "A", "left"): -out,
                (level, "C", "left"): -out,
                (level, "B", "right"): out,
                (level, "D", "right"): out,
            }
        )
    return offsets


def test_clear_width_is_taken_in_one_vertical_frame():
    """A shaft that leans by 1 in keeps 60 in at each level, but a plumb lift has 59 in."""
    result = calculate(survey(leaning(1)))
    assert (result.clear_width.amount, result.least_width_of_a_level.amount) == (inches(59), inches(60))
    assert walls(result)["left"].plumb_error.amount == inches(1)
    assert [f.outcome for f in result.findings if f.key == "plumb"] == ["not met", "not met", "met", "met"]
    assert near(result.least_slack, inches("1/2"))


def test_envelope_that_does_not_fit_says_which_wall_where():
    """59 in in one frame, 59 1/2 in needed: half an inch must come off; only the left wall can move."""
    result = calculate(survey(leaning(1), envelope_width=inches("59.5"), walls_that_can_move=("left",)))
    assert near(result.least_slack, -inches("1/4"))
    assert near(walls(result)["left"].gives_way, inches("1/2"))
    assert walls(result)["right"].gives_way.amount == 0
    short = {(s.level, s.wall) for s in result.slacks if s.slack.amount < 0}
    assert short == {("landing 2", "left"), ("pit", "right")}
    found = [
        (f.key, f.outcome, f.subject)
        for f in result.findings
        if f.key in {"envelope fits", "wall must give way"}
    ]
    assert found == [("envelope fits", "not met", ""), ("wall must give way", "not met", "left")]


def test_walls_that_stay_leave_no_place():
    result = calculate(survey(envelope_width=inches(61), walls_that_can_move=("front", "rear")))
    assert [f.key for f in result.findings if f.outcome == "not met"] == [
        "envelope fits",
        "walls that can move are not enough",
    ]
    assert walls(result)["left"].gives_way.amount is None


def test_turned_shaft_is_followed_by_a_turned_envelope():
    """Walls turned by 0.3 degrees around the middle: turning with them gains what standing straight loses."""
    lean = 24 * math.tan(math.radians(0.3))
    signs = {
        ("A", "left"): -1,
        ("C", "left"): 1,
        ("B", "right"): 1,
        ("D", "right"): -1,
        ("A", "front"): 1,
        ("B", "front"): -1,
        ("C", "rear"): -1,
        ("D", "rear"): 1,
    }
    offsets = {
        (level, *corner): Fraction(round(sign * lean * 10_000), 10_000)
        for level in LEVELS
        for corner, sign in signs.items()
    }
    turned = calculate(survey(offsets, envelope_width=inches(58), envelope_depth=inches(58)))
    straight = calculate(
        survey(offsets, envelope_width=inches(58), envelope_depth=inches(58), turn_limit=Fraction(0))
    )
    assert abs(abs(turned.turn.amount) - 0.3) < 0.01
    assert turned.least_slack.amount > straight.least_slack.amount + inches("1/10")


def test_board_to_come_and_clearance_count():
    board = calculate(survey(board_to_come=WallLengths(rear=inches("5/8"))))
    assert (board.clear_depth.amount, board.clear_width.amount) == (inches("59.375"), inches(60))
    wanted = calculate(survey(clearance=WallLengths(left=inches("3/4"), right=inches("3/4"))))
    assert (wanted.clear_width.amount, near(wanted.least_slack, inches("1/4"))) == (inches(60), True)


def test_diagonals():
    result = calculate(
        survey(
            diagonals=(Diagonals(level="pit", one=inches("84.75"), other=inches("84.5")),),
            square_limit=inches("1/8"),
        )
    )
    assert [(level, value.amount) for level, value in result.out_of_square] == [("pit", inches("1/4"))]
    assert [f.outcome for f in result.findings if f.key == "square"] == ["not met"]


def test_without_envelope_the_place_is_unknown():
    result = calculate(survey(envelope_width=None))
    assert (result.centre_x.amount, result.least_slack.amount, result.clear_width.amount) == (
        None,
        None,
        inches(60),
    )
    assert [f.missing for f in result.findings if f.key == "envelope fits"] == [("envelope_width",)]


def test_without_front_readings_depth_is_unknown():
    inputs = survey()
    result = calculate(replace(inputs, readings=tuple(r for r in inputs.readings if r.wall != "front")))
    assert (result.clear_depth.amount, result.centre_y.amount, near(result.centre_x, inches(24))) == (
        None,
        None,
        True,
    )


@pytest.mark.parametrize(
    ("reading", "field"),
    [
        (Reading(level="pit", line="Z", wall="left", distance=inches(6)), "readings[24].line"),
        (Reading(level="pit", line="A", wall="left", distance=inches(6)), "readings[24]"),
    ],
)
def test_nonsense_is_refused_by_name(reading, field):
    inputs = survey()
    with pytest.raises(InputErrors) as refused:
        replace(inputs, readings=(*inputs.readings, reading))
    assert [p.field for p in refused.value.problems] == [field]


sixteenths = st.integers(-12, 12).map(lambda n: Fraction(n, 16))
roughness = st.fixed_dictionaries({(level, *corner): sixteenths for level in LEVELS for corner in CORNERS})


def polygon(fit, width, depth):
    box = shapely.box(-width / 2, -depth / 2, width / 2, depth / 2)
    return shapely.affinity.translate(
        shapely.affinity.rotate(box, fit.turn, (0, 0), use_radians=True), fit.x, fit.y
    )


@settings(max_examples=20, deadline=None)
@given(roughness)
def test_every_slack_is_the_distance_shapely_measures(offsets):
    points = wall_points(offsets)
    fit = best_fit(points, 1450, 1440, math.radians(0.5))
    assume(fit.least > 0.01)
    lift = polygon(fit, 1450, 1440)
    measured = [lift.distance(shapely.Point(p.x, p.y)) for p in points]
    assert [round(s, 6) for s in fit.slacks] == [pytest.approx(m, abs=1e-4) for m in measured]


def wall_points(offsets):
    at = {"A": (0, 0), "B": (1219.2, 0), "C": (0, 1219.2), "D": (1219.2, 1219.2)}
    points = []
    for (_, line, wall), extra in offsets.items():
        x, y = at[line]
        out = 152.4 + 25.4 * float(extra)
        shift = {"left": (-out, 0), "right": (out, 0), "front": (0, -out), "rear": (0, out)}[wall]
        points.append(WallPoint(wall, x + shift[0], y + shift[1]))
    return points


def slack_at(points, width, depth, turn):
    """Least slack for one turn, the shift chosen best: half of what both walls leave on either axis."""
    along = [p.x * math.cos(turn) + p.y * math.sin(turn) for p in points]
    across = [-p.x * math.sin(turn) + p.y * math.cos(turn) for p in points]
    ends = {
        wall: [v for v, p in zip(values, points, strict=True) if p.wall == wall]
        for wall, values in {"left": along, "right": along, "front": across, "rear": across}.items()
    }
    return min(
        (min(ends["right"]) - max(ends["left"]) - width) / 2,
        (min(ends["rear"]) - max(ends["front"]) - depth) / 2,
    )


@settings(max_examples=20, deadline=None)
@given(roughness)
def test_no_turn_of_a_fine_grid_leaves_more_slack(offsets):
    points = wall_points(offsets)
    fit = best_fit(points, 1450, 1440, math.radians(0.5))
    best = max(slack_at(points, 1450, 1440, math.radians(0.5 * n / 200)) for n in range(-200, 201))
    assert fit.least >= best - 2e-3
    assert fit.least == pytest.approx(slack_at(points, 1450, 1440, fit.turn), abs=1e-3)


@settings(max_examples=20, deadline=None)
@given(roughness, st.integers(1450, 1600))
def test_walls_give_way_by_no_more_than_a_shift_alone_would_need(offsets, width):
    points = wall_points(offsets)
    fit = least_give(points, width, 1440, math.radians(0.5), ("left", "right", "front", "rear"))
    assert min(s + fit.gives[p.wall] for s, p in zip(fit.slacks, points, strict=True)) >= -1e-6
    shift_only = sum(max(0, -2 * half) for half in axis_slacks(points, width, 1440))
    assert sum(fit.gives.values()) <= shift_only + 0.05


def axis_slacks(points, width, depth):
    x = [(p.x, p.wall) for p in points]
    y = [(p.y, p.wall) for p in points]
    return (
        (min(v for v, w in x if w == "right") - max(v for v, w in x if w == "left") - width) / 2,
        (min(v for v, w in y if w == "rear") - max(v for v, w in y if w == "front") - depth) / 2,
    )


QUARTER = {"left": "front", "front": "right", "right": "rear", "rear": "left"}


@settings(max_examples=12, deadline=None)
@given(roughness)
def test_turning_the_room_by_a_quarter_changes_nothing(offsets):
    inputs = survey(offsets)
    lines = tuple(replace(line, x=-line.y, y=line.x) for line in inputs.lines)
    readings = tuple(replace(r, wall=QUARTER[r.wall]) for r in inputs.readings)
    quarter = calculate(
        replace(inputs, lines=lines, readings=readings, envelope_width=inches(57), envelope_depth=inches(58))
    )
    first = calculate(inputs)
    assert (quarter.clear_depth, quarter.clear_width) == (first.clear_width, first.clear_depth)
    assert near(quarter.least_slack, first.least_slack.amount)
    assert {QUARTER[s.wall]: s.plumb_error for s in first.walls} == {
        s.wall: s.plumb_error for s in quarter.walls
    }
