"""Backing: cut lists that hold, least waste against brute force and scipy's solver, lags of a bracket."""

import itertools
from collections import Counter
from fractions import Fraction

import numpy
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from coordination.siteprep.calculations.backing import Anchorage, BackingInputs, calculate
from coordination.siteprep.calculations.inputs import InputErrors
from coordination.siteprep.calculations.values import OutOfTable, feet, inches


def backing(**changed):
    given = {"height": feet(12), "plies": 1, "lines": 1, "stock": (feet(8), feet(16)), "brackets": ()}
    return BackingInputs(**{**given, **changed})


def boards(result):
    return Counter(board.length.amount // feet(1) for board in result.boards)


def check(inputs, result):
    """Every rule of a cut list, from the pieces alone."""
    pieces = [piece for board in result.boards for piece in board.pieces]
    assert len(pieces) == result.pieces.amount
    joints = {}
    for run in itertools.product(range(1, inputs.lines + 1), range(1, inputs.plies + 1)):
        own = sorted((p.bottom, p.top) for p in pieces if (p.line, p.ply) == run)
        assert (own[0][0], own[-1][1]) == (0, inputs.height)
        assert all(a[1] == b[0] for a, b in itertools.pairwise(own))
        joints[run] = [top for _, top in own[:-1]]
        if len(own) > 1:
            assert all(top - bottom >= inputs.least_piece for bottom, top in own)
    for (line, ply), tops in joints.items():
        for top in tops:
            assert all(abs(top - b) >= max(1, inputs.joint_clearance) for b in inputs.brackets)
            assert all(abs(top - other) >= inputs.stagger for other in joints.get((line, ply + 1), []))
    for board in result.boards:
        cut = sum(p.top - p.bottom for p in board.pieces) + inputs.kerf * (len(board.pieces) - 1)
        assert cut <= board.length.amount
    assert result.waste.amount == result.bought.amount - result.used.amount


def test_one_ply_of_one_board():
    result = calculate(backing(height=feet(16)))
    assert (boards(result), result.waste.amount, result.proved_least) == ({16: 1}, 0, True)


def test_two_plies_share_a_board():
    """Two plies of 12 ft from 8 ft boards: three boards without waste, the middle one cut in halves."""
    inputs = backing(plies=2, stock=(feet(8),))
    result = calculate(inputs)
    check(inputs, result)
    assert (boards(result), result.waste.amount, result.proved_least) == ({8: 3}, 0, True)


def test_saw_cuts_count():
    """With a saw cut of 1/8 in the halves are too short: a fourth board."""
    result = calculate(backing(plies=2, stock=(feet(8),), kerf=inches("1/8")))
    assert (boards(result), result.proved_least) == ({8: 4}, True)


def test_fewest_pieces_before_least_waste():
    least = calculate(backing(plies=2))
    fewest = calculate(backing(plies=2, goal="fewest pieces"))
    assert (least.pieces.amount, least.waste.amount, least.bought.amount) == (3, 0, feet(24))
    assert (fewest.pieces.amount, fewest.waste.amount, boards(fewest)) == (2, feet(8), {16: 2})


def test_joint_leaves_the_bracket():
    """16 ft from two 8 ft boards, a bracket at 8 ft: one board is halved and stands below and above the other."""
    inputs = backing(height=feet(16), stock=(feet(8),), brackets=(feet(8),))
    result = calculate(inputs)
    check(inputs, result)
    assert (boards(result), result.pieces.amount, result.waste.amount, result.proved_least) == (
        {8: 2},
        3,
        0,
        True,
    )


def test_fewest_pieces_buys_more_to_keep_the_joints_few():
    """16 ft from 8 and 12 ft boards, a bracket at 8 ft: two pieces cost 20 ft, three would do with 16 ft."""
    given = {"height": feet(16), "stock": (feet(8), feet(12)), "brackets": (feet(8),)}
    least, fewest = calculate(backing(**given)), calculate(backing(**given, goal="fewest pieces"))
    assert (boards(least), least.pieces.amount, least.proved_least) == ({8: 2}, 3, True)
    assert (boards(fewest), fewest.pieces.amount, fewest.proved_least) == ({8: 1, 12: 1}, 2, True)


def test_least_length_is_proved_where_the_bound_cannot_be_reached():
    """Two plies of 28 ft from 12 and 16 ft: without waste both joints would lie at 12 ft, unstaggered; 60 ft are needed."""
    inputs = backing(
        height=feet(28),
        plies=2,
        stock=(feet(12), feet(16)),
        brackets=tuple(inches(n) for n in range(12, 330, 60)),
        kerf=inches("1/8"),
        least_piece=inches(48),
    )
    result = calculate(inputs)
    check(inputs, result)
    assert (result.bought.amount, result.least_possible.amount, result.proved_least) == (
        feet(60),
        feet(60),
        True,
    )


def test_no_place_for_a_joint_is_said():
    close = tuple(inches(n) for n in range(0, 193, 5))
    result = calculate(backing(height=feet(16), stock=(feet(8),), brackets=close))
    assert (result.boards, result.bought.amount, [(f.key, f.outcome) for f in result.findings]) == (
        (),
        None,
        [("no place for a joint", "not met")],
    )


def test_real_size():
    """Both sides of a rail, three plies of 22 ft 5 in: 134 1/2 ft of wood from 136 ft of boards."""
    inputs = backing(
        height=inches(269),
        plies=3,
        lines=2,
        stock=tuple(feet(n) for n in (8, 10, 12, 14, 16)),
        brackets=tuple(inches(n) for n in (12, 72, 132, 192, 252)),
    )
    result = calculate(inputs)
    check(inputs, result)
    assert (result.bought.amount, result.used.amount, result.proved_least) == (feet(136), feet("134.5"), True)


def test_dressed_sizes():
    """PS 20: 2x6 is 1 1/2 x 5 1/2 in; three plies are 4 1/2 in thick. LVL plies are 1 3/4 in."""
    assert (
        calculate(backing(plies=3)).built_up_thickness.amount,
        calculate(backing(plies=3)).section.amount,
    ) == (
        inches("4.5"),
        "1 1/2 x 5 1/2 in",
    )
    assert calculate(backing(plies=2, material="LVL 9 1/4")).built_up_thickness.amount == inches("3.5")


jobs = st.builds(
    backing,
    height=st.integers(48, 330).map(inches),
    plies=st.integers(1, 3),
    lines=st.integers(1, 2),
    stock=st.lists(st.sampled_from([8, 10, 12, 14, 16, 20]), min_size=1, max_size=4).map(
        lambda s: tuple(map(feet, s))
    ),
    brackets=st.lists(st.integers(6, 48), min_size=0, max_size=2).map(lambda b: tuple(map(inches, b))),
    kerf=st.sampled_from([0, inches("1/8")]),
    goal=st.sampled_from(["least waste", "fewest pieces"]),
)


@settings(max_examples=60, deadline=None)
@given(jobs)
def test_every_cut_list_holds(inputs):
    result = calculate(inputs)
    if result.boards:
        check(inputs, result)
        assert result.bought.amount >= result.least_possible.amount
        assert result.proved_least == (result.bought.amount == result.least_possible.amount)


@settings(max_examples=40, deadline=None)
@given(st.integers(48, 330), st.integers(1, 3), st.integers(8, 20), st.integers(8, 20))
def test_a_longer_board_never_more_pieces(height, plies, one, other):
    short, long = sorted((one, other))
    results = [
        calculate(backing(height=inches(height), plies=plies, stock=(feet(length),), goal="fewest pieces"))
        for length in (short, long)
    ]
    assert results[1].pieces.amount <= results[0].pieces.amount


@settings(max_examples=40, deadline=None)
@given(st.integers(48, 330), st.integers(1, 2), st.integers(8, 20), st.integers(8, 20))
def test_longer_boards_never_more_boards(height, plies, one, other):
    short, long = sorted((one, other))
    counts = [
        len(calculate(backing(height=inches(height), plies=plies, stock=(feet(n),))).boards)
        for n in (short, long)
    ]
    assert counts[1] <= counts[0]


@settings(max_examples=25, deadline=None)
@given(st.integers(30, 400), st.sets(st.sampled_from([8, 10, 12, 14, 16]), min_size=1))
def test_bound_is_the_least_sum_of_boards_by_an_integer_programme(height, stock):
    """Independent: scipy's integer programme for the least total of boards not under the height."""
    lengths = numpy.array([12 * n for n in sorted(stock)])
    found = milp(
        lengths,
        integrality=numpy.ones(len(lengths)),
        bounds=Bounds(0, 60),
        constraints=LinearConstraint(lengths, height),
    )
    result = calculate(backing(height=inches(height), stock=tuple(map(feet, stock)), brackets=()))
    assert result.least_possible.amount == round(found.fun) * inches(1)


def anchored(**changed):
    given = {
        "lag": "1/2",
        "count": 4,
        "thread": inches(4),
        "species": "douglas fir-larch",
        "plate": "1/4 in A36",
        "pull": Fraction(2000),
        "shear": Fraction(500),
    }
    return calculate(backing(anchorage=Anchorage(**{**given, **changed})))


def test_lags_of_a_bracket():
    """Four 1/2 in lags, 4 in of thread (8 D), DF-L: 4 x 4 x 378 lb pull, 4 x 323 lb across the grain."""
    result = anchored()
    assert result.anchorage.withdrawal.amount == pytest.approx(16 * 378.5, rel=0.002)
    assert result.anchorage.lateral.amount == pytest.approx(4 * 323.1, rel=0.001)
    assert {f.key: f.outcome for f in result.findings} == {
        "lags against pull": "met",
        "lags against sideways load": "met",
        "lags against both": "met",
    }


def test_duration_and_end_grain():
    normal = anchored().anchorage.withdrawal.amount
    assert anchored(duration="permanent").anchorage.withdrawal.amount == pytest.approx(0.9 * normal)
    assert anchored(end_grain=True).anchorage.withdrawal.amount == pytest.approx(0.75 * normal)


def test_unknown_load_is_a_question_not_a_pass():
    result = anchored(pull=None)
    assert next((f.key, f.outcome, f.missing) for f in result.findings) == (
        "lags against pull",
        "unknown",
        ("anchorage.pull",),
    )


def test_too_little_thread_is_outside_the_rule():
    with pytest.raises(OutOfTable):
        anchored(thread=inches("1.75"))


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"brackets": (feet(13),)}, "brackets[0]"),
        ({"plies": 0}, "plies"),
        ({"stock": ()}, "stock"),
        ({"material": "3x6"}, "material"),
        ({"stock": (feet(1),)}, "stock"),
    ],
)
def test_nonsense_is_refused_by_name(changed, field):
    with pytest.raises(InputErrors) as refused:
        backing(**changed)
    assert [p.field for p in refused.value.problems] == [field]
