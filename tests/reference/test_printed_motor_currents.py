"""Motor full-load amps against NEC (NFPA 70) tables 430.248 and 430.250, row by row.

430.248 as reprinted publicly and agreeing with memory; 430.250 from a 2008 copy and a second copy. Known typing
errors in circulating copies are tests of their own.
"""

from fractions import Fraction

import pytest

from coordination.siteprep.calculations.electrical import full_load_amps
from coordination.siteprep.calculations.values import OutOfTable

SINGLE_PHASE = """
1/6   4.4  2.5  2.4  2.2
1/4   5.8  3.3  3.2  2.9
1/3   7.2  4.1  4.0  3.6
1/2   9.8  5.6  5.4  4.9
3/4  13.8  7.9  7.6  6.9
1    16    9.2  8.8  8.0
3/2  20   11.5 11.0 10
2    24   13.8 13.2 12
3    34   19.6 18.7 17
5    56   32.2 30.8 28
15/2 80   46.0 44.0 40
10  100   57.5 55.0 50
"""
THREE_PHASE = """
1/2  4.4  2.5  2.4  2.2 1.1 0.9
3/4  6.4  3.7  3.5  3.2 1.6 1.3
1    8.4  4.8  4.6  4.2 2.1 1.7
3/2 12.0  6.9  6.6  6.0 3.0 2.4
2   13.6  7.8  7.5  6.8 3.4 2.7
3    -   11.0 10.6  9.6 4.8 3.9
5    -   17.5 16.7 15.2 7.6 6.1
15/2 -   25.3 24.2 22  11   9
10   -   32.2 30.8 28  14  11
15   -   48.3 46.2 42  21  17
20   -   62.1 59.4 54  27  22
25   -   78.2 74.8 68  34  27
30   -   92   88   80  40  32
40   -  120  114  104  52  41
50   -  150  143  130  65  52
"""


def cells(table, volts):
    return [
        (Fraction(row.split()[0]), column, amps)
        for row in table.strip().splitlines()
        for column, amps in zip(volts, row.split()[1:], strict=True)
    ]


@pytest.mark.parametrize(("horsepower", "volts", "amps"), cells(SINGLE_PHASE, (115, 200, 208, 230)))
def test_table_430_248(horsepower, volts, amps):
    assert full_load_amps(1, horsepower, volts).amount == Fraction(amps)


@pytest.mark.parametrize(("horsepower", "volts", "amps"), cells(THREE_PHASE, (115, 200, 208, 230, 460, 575)))
def test_table_430_250(horsepower, volts, amps):
    if amps == "-":
        with pytest.raises(OutOfTable):
            full_load_amps(3, horsepower, volts)
    else:
        assert full_load_amps(3, horsepower, volts).amount == Fraction(amps)


@pytest.mark.parametrize(
    ("horsepower", "volts", "right", "misprinted"),
    [
        ("3/2", 575, "2.4", "2.1"),
        ("1/2", 230, "2.2", "2.1"),
        ("1/2", 575, "0.9", "0.8"),
        ("3/4", 230, "3.2", "3.1"),
    ],
)
def test_cells_that_copies_misprint(horsepower, volts, right, misprinted):
    """Trap: circulating copies of table 430.250 print these four cells wrong."""
    found = full_load_amps(3, Fraction(horsepower), volts).amount
    assert (found, found == Fraction(misprinted)) == (Fraction(right), False)


@pytest.mark.parametrize(
    ("phases", "horsepower", "volts", "amps"),
    [
        (1, 5, 240, "28"),
        (1, 5, 220, "28"),
        (3, 10, 480, "14"),
        (3, 5, 208, "16.7"),
        (3, 5, 600, "6.1"),
        (1, 1, 120, "16"),
    ],
)
def test_system_voltages_read_their_column(phases, horsepower, volts, amps):
    """Headnotes of the tables: 110-120, 220-240, 440-480 and 550-600 V systems (from memory)."""
    assert full_load_amps(phases, Fraction(horsepower), volts).amount == Fraction(amps)


@pytest.mark.parametrize(
    ("phases", "horsepower", "volts"),
    [
        (1, 15, 230),
        (3, 4, 230),
        (3, 60, 460),
        (1, 5, 277),
        (1, 5, 460),
        (3, 5, 2300),
        (2, 5, 230),
        (1, 4, 230),
    ],
)
def test_nothing_between_or_beyond_the_rows(phases, horsepower, volts):
    with pytest.raises(OutOfTable):
        full_load_amps(phases, Fraction(horsepower), volts)
