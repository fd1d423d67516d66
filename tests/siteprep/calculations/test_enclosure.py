"""Enclosure: rating, boards, order of closing, firestops."""

from dataclasses import replace
from fractions import Fraction

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from coordination.siteprep.calculations.enclosure import EnclosureInputs, Face, Firestop, Opening, calculate
from coordination.siteprep.calculations.enclosure.boards import boards_by_area, boards_by_layout, net_area
from coordination.siteprep.calculations.inputs import InputErrors
from coordination.siteprep.calculations.values import feet, inches

WALL = Face(name="rail wall", width=feet(6), height=feet(20))
DOOR = Opening(name="door", width=feet(4), height=feet(8), x=0, y=0)


def outcomes(**given):
    return {(f.key, f.subject): f.outcome for f in calculate(EnclosureInputs(**given)).findings}


def test_boards_of_a_face():
    """6 x 20 ft of 4 x 8 ft boards: 120 ft2 are 3.75, so 4 by area; hung upright 2 columns of 3."""
    (face,) = calculate(EnclosureInputs(faces=(WALL,), authority_rating=Fraction(1))).faces
    assert (face.net_area.amount, face.boards_by_area.amount, face.boards_per_layer.amount) == (120, 4, 6)
    assert (face.layers.amount, face.boards_to_order.amount, face.closes) == (1, 7, "before the doors")


def test_opening_is_taken_off():
    wall = replace(WALL, openings=(DOOR,), landing_wall=True)
    (face,) = calculate(EnclosureInputs(faces=(wall,), authority_rating=Fraction(2), spare=Fraction(0))).faces
    assert (
        face.net_area.amount,
        face.boards_per_layer.amount,
        face.layers.amount,
        face.boards_to_order.amount,
    ) == (88, 5, 2, 10)
    assert face.closes == "after the doors"


def test_opening_without_a_place_leaves_the_layout_whole():
    wall = replace(WALL, openings=(replace(DOOR, x=None, y=None),))
    assert boards_by_layout(wall, feet(4), feet(8)) == 6


def test_unknown_rating_leaves_the_order_unknown():
    result = calculate(EnclosureInputs(faces=(WALL,)))
    assert (result.rating.amount, result.faces[0].boards_to_order.amount, result.boards_to_order.amount) == (
        None,
        None,
        None,
    )


@pytest.mark.parametrize(
    ("rating", "passed"), [(Fraction(1), "met"), (Fraction(1, 2), "not met"), (None, "unknown")]
)
def test_firestop_rating_not_below_the_wall(rating, passed):
    """IBC 714.4 (from memory)."""
    stop = Firestop(name="line", kind="penetration", rating=rating, serves_lift=False, seen_before_cover=True)
    found = outcomes(authority_rating=Fraction(1), firestops=(stop,))
    assert (found[("rating of the firestop", "line")], found[("serves the lift", "line")]) == (
        passed,
        "not met",
    )
    assert (found[("seen before cover", "line")], found[("listing recorded", "line")]) == ("met", "unknown")


def test_joint_is_not_asked_whether_it_serves_the_lift():
    stop = Firestop(name="head", kind="head of wall", listing="HW-1", rating=Fraction(1))
    assert ("serves the lift", "head") not in outcomes(firestops=(stop,))


def test_board_inspection_comes_before_tape():
    """IBC 2021 110.3.6 and IRC R109.1.5.1, as quoted publicly."""
    assert [
        outcomes(board_inspected_before_tape=b)[("board inspected before tape", "")]
        for b in (True, False, None)
    ] == ["met", "not met", "unknown"]


def test_compound_wants_fifty_degrees_for_two_days():
    """A compound maker's guide: 50 F (10 C) for 48 h before and until dry."""
    found = outcomes(humidity=Fraction(50), temperature=Fraction(10), hours_warm_before=Fraction(47))
    assert (found[("warm enough for compound", "")], found[("warm for 48 h before", "")]) == (
        "met",
        "not met",
    )


def test_opening_past_the_face_is_refused():
    with pytest.raises(InputErrors) as refused:
        replace(WALL, openings=(replace(DOOR, x=feet(3)),))
    assert [p.field for p in refused.value.problems] == ["openings[0]"]


sizes = st.integers(1, 360).map(inches)


@settings(max_examples=60)
@given(sizes, sizes, st.integers(24, 192), st.integers(24, 192))
def test_a_longer_board_never_more_pieces(width, height, one, other):
    face = Face(name="wall", width=width, height=height)
    short, long = sorted((one, other))
    for count in (boards_by_layout, boards_by_area):
        assert count(face, feet(4), inches(long)) <= count(face, feet(4), inches(short))


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 40), st.integers(0, 40), st.integers(1, 30), st.integers(1, 60))
def test_layout_and_area_agree_with_shapely(x, y, width, height):
    opening = Opening(name="o", width=inches(width), height=inches(height), x=inches(x), y=inches(y))
    face = Face(name="wall", width=inches(72), height=inches(120), openings=(opening,))
    hole = shapely.box(x, y, x + width, y + height)
    wall = shapely.box(0, 0, 72, 120)
    assert net_area(face) / inches(1) ** 2 == pytest.approx(wall.difference(hole).area)
    sheets = [
        shapely.box(c, r, c + 24, r + 30).intersection(wall)
        for c in range(0, 72, 24)
        for r in range(0, 120, 30)
    ]
    assert boards_by_layout(face, inches(24), inches(30)) == sum(not hole.covers(s) for s in sheets)
