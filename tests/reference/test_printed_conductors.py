"""Conductors and conduit against the NEC (NFPA 70): table 310.16, chapter 9 tables 1, 4, 5 and 8, and 240.6(A).

Read in public reprints; 3 AWG at 75 C, 14-10 AWG at 60 C and the small fuse sizes are from memory.
"""

from fractions import Fraction

import pint
import pytest

from coordination.siteprep.calculations.electrical import (
    ampacity,
    conductor_for,
    conduit_room,
    next_standard_size,
    ohms_per_1000_ft,
    standard_size_below,
    wire_area,
)
from coordination.siteprep.calculations.electrical.tables import FUSE_AMPS, STANDARD_AMPS
from coordination.siteprep.calculations.values import OutOfTable

# AWG, 75 C amps, 60 C amps, ohm per 1000 ft, ohm per km, THHN square inches, square millimetres
ROWS = """
14   20  15 3.14   10.30 0.0097   6.26
12   25  20 1.98    6.50 0.0133   8.58
10   35  30 1.24    4.07 0.0211  13.61
8    50  40 0.778   2.55 0.0366  23.61
6    65  55 0.491   1.61 0.0507  32.71
4    85  70 0.308   1.01 0.0824  53.16
3   100  85 0.245  0.804 0.0973  62.77
2   115  95 0.194  0.636 0.1158  74.71
1   130 110 0.154  0.505 0.1562 100.8
1/0 150 125 0.122  0.400 0.1855 119.7
2/0 175 145 0.0967 0.317 0.2223 143.4
3/0 200 165 0.0766 0.251 0.2679 172.8
4/0 230 195 0.0608 0.199 0.3237 208.8
"""
CONDUIT = """
1/2   0.304 0.161 0.094 0.1216
3/4   0.533 0.282 0.165 0.2132
1     0.864 0.458 0.268 0.3456
1-1/4 1.496 0.793 0.464 0.5984
1-1/2 2.036 1.079 0.631 0.8144
2     3.356 1.779 1.040 1.3424
"""
units = pint.UnitRegistry()


def rounded_like(printed, value):
    return round(value, len(printed.partition(".")[2]))


@pytest.mark.parametrize("row", ROWS.strip().splitlines())
def test_conductor_row(row):
    size, hot, cool, ohms, _, area, _ = row.split()
    assert (ampacity(size, 75).amount, ampacity(size, 60).amount) == (int(hot), int(cool))
    assert (ohms_per_1000_ft(size).amount, wire_area(size).amount) == (Fraction(ohms), Fraction(area))


@pytest.mark.parametrize("row", ROWS.strip().splitlines())
def test_metric_columns_follow_by_an_independent_unit_library(row):
    size, _, _, _, per_km, _, square_mm = row.split()
    ohms = (
        units.Quantity(float(ohms_per_1000_ft(size).amount), "ohm / kilofoot").to("ohm / kilometre").magnitude
    )
    area = units.Quantity(float(wire_area(size).amount), "inch ** 2").to("millimetre ** 2").magnitude
    assert (rounded_like(per_km, ohms), rounded_like(square_mm, area)) == (float(per_km), float(square_mm))


def test_resistance_is_that_of_stranded_wire():
    """Trap: copies of chapter 9, table 8 mix the solid values into the stranded column."""
    solid = {"14": "3.07", "12": "1.93", "10": "1.21", "8": "0.764"}
    assert all(ohms_per_1000_ft(size).amount > Fraction(ohms) for size, ohms in solid.items())


def test_three_awg_is_100_amps():
    """Trap: a copy of table 310.16 prints 115 A for 3 AWG at 75 C."""
    assert (ampacity("3", 75).amount, ampacity("3", 75).source.status) == (100, "memory")


@pytest.mark.parametrize("row", CONDUIT.strip().splitlines())
def test_conduit_row(row):
    size, total, one, two, more = _split(row)
    assert [conduit_room(size, n).amount for n in (1, 2, 3, 9)] == [*map(Fraction, (one, two, more, more))]
    assert conduit_room(size, 3, nipple=True).amount == Fraction(total) * Fraction(6, 10)
    assert abs(conduit_room(size, 1).amount - Fraction(total) * Fraction(53, 100)) <= Fraction(1, 1000)
    assert abs(conduit_room(size, 2).amount - Fraction(total) * Fraction(31, 100)) <= Fraction(1, 1000)
    assert conduit_room(size, 3).amount == Fraction(total) * Fraction(40, 100)


def _split(row):
    first, *rest = row.split()
    return [first.replace("-", " "), *rest]


def test_standard_ratings():
    """NEC 240.6(A); the additional fuse sizes 1, 3, 6, 10 and 601 are from memory."""
    printed = "15 20 25 30 35 40 45 50 60 70 80 90 100 110 125 150 175 200 225 250 300 350 400 450 500 600"
    assert list(map(str, STANDARD_AMPS)) == printed.split()
    assert set(FUSE_AMPS) - set(STANDARD_AMPS) == {1, 3, 6, 10, 601}


@pytest.mark.parametrize(
    ("amps", "up", "down"),
    [("49", 50, 45), ("50", 50, 50), ("50.1", 60, 50), ("15", 15, 15), ("183.75", 200, 175)],
)
def test_rounding_to_a_standard_rating(amps, up, down):
    assert (next_standard_size(Fraction(amps)), standard_size_below(Fraction(amps))) == (up, down)


@pytest.mark.parametrize(
    ("amps", "terminals", "size"),
    [(35, 75, "10"), ("35.1", 75, "8"), (35, 60, "8"), (30, 60, "10"), (100, 75, "3"), (1, 60, "14")],
)
def test_smallest_conductor(amps, terminals, size):
    assert conductor_for(Fraction(amps), terminals) == size


def test_outside_the_tables():
    for ask in (
        lambda: conductor_for(Fraction(231), 75),
        lambda: ampacity("14", 90),
        lambda: ampacity("16", 75),
        lambda: conduit_room("3", 3),
        lambda: conduit_room("1", 0),
        lambda: next_standard_size(Fraction(601)),
        lambda: standard_size_below(Fraction(14)),
    ):
        with pytest.raises(OutOfTable):
            ask()
