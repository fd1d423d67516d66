"""Working space before live parts against NEC (NFPA 70) 110.26(A)(1), table.

Rows 0-150 V and 151-600 V as reprinted in the trade press (July 2016) and in WAC 296-24-95703; row 601-1000 V
and the width and height of 110.26(A)(2) and (3) from memory, to be confirmed with the electrical authority.
"""

from fractions import Fraction

import pytest

from coordination.siteprep.calculations.machine_room import (
    clear_depth,
    clear_height,
    clear_width,
    volts_to_ground,
)
from coordination.siteprep.calculations.values import OutOfTable, feet, inches

FEET_AND_INCHES = [
    (0, "3' 3' 3'"),
    (120, "3' 3' 3'"),
    (150, "3' 3' 3'"),
    (151, "3' 3'6 4'"),
    (277, "3' 3'6 4'"),
    (600, "3' 3'6 4'"),
    (601, "3' 4' 5'"),
    (1000, "3' 4' 5'"),
]
PRINTED = {"3'": feet(3), "3'6": feet(3) + inches(6), "4'": feet(4), "5'": feet(5)}


@pytest.mark.parametrize(("volts", "row"), FEET_AND_INCHES)
def test_depth_of_every_row_and_condition(volts, row):
    assert [clear_depth(volts, condition).amount for condition in (1, 2, 3)] == [
        PRINTED[d] for d in row.split()
    ]


@pytest.mark.parametrize(
    ("volts", "millimetres"), [(150, [914, 914, 914]), (600, [914, 1067, 1219]), (1000, [914, 1219, 1524])]
)
def test_depth_in_millimetres(volts, millimetres):
    assert [round(clear_depth(volts, c).amount / 1_000_000) for c in (1, 2, 3)] == millimetres


def test_first_cell_is_three_feet_although_a_scan_reads_thirteen():
    """Trap: in a scan of the state's table a footnote mark before 3.0 reads "13.0"."""
    assert clear_depth(120, 1).amount == feet(3)


def test_voltage_just_above_a_row_belongs_to_the_next():
    assert clear_depth(Fraction("150.1"), 3).amount == feet(4)


@pytest.mark.parametrize("volts", [1000.5, 2400, -1])
def test_nothing_is_extrapolated(volts):
    with pytest.raises(OutOfTable):
        clear_depth(volts, 1)


def test_no_fourth_condition():
    with pytest.raises(OutOfTable):
        clear_depth(120, 4)


def test_status_says_which_row_is_from_memory():
    assert [clear_depth(v, 1).source.status for v in (150, 600, 1000)] == ["code", "code", "memory"]


def test_width_and_height_are_the_larger_of_rule_and_equipment():
    assert [clear_width(inches(w)).amount for w in (20, 30, 36)] == [inches(30), inches(30), inches(36)]
    assert [clear_height(inches(h)).amount for h in (60, 78, 90)] == [inches(78), inches(78), inches(90)]


def test_ungrounded_supply_counts_line_voltage():
    """NEC article 100, voltage to ground (from memory)."""
    assert volts_to_ground(480, "ungrounded") == 480
    assert round(volts_to_ground(480, "grounded wye")) == 277
    assert round(volts_to_ground(208, "grounded wye")) == 120
    assert volts_to_ground(240, "grounded centre tap") == 120
    assert round(volts_to_ground(240, "high leg delta")) == 208
    assert volts_to_ground(240, "corner grounded delta") == 240
