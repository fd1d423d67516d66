"""Rating of the hoistway (IBC 713.4, 3002.1, as quoted publicly) and drying of compound (from memory, a placeholder).

Door ratings of IBC table 716.1(2) are from memory.
"""

from fractions import Fraction

import pytest

from coordination.siteprep.calculations.enclosure import EnclosureInputs, calculate, drying_hours
from coordination.siteprep.calculations.values import OutOfTable


@pytest.mark.parametrize(
    ("storeys", "floors", "hours", "door"),
    [
        (2, (), 1, 1),
        (3, (), 1, 1),
        (3, (1,), 1, 1),
        (3, (2,), 2, "3/2"),
        (3, (3,), 2, "3/2"),
        (4, (), 2, "3/2"),
        (4, None, 2, "3/2"),
        (None, (2,), 2, "3/2"),
        (3, None, None, None),
        (None, (1,), None, None),
        (1, (), None, None),
    ],
)
def test_rating_by_storeys_and_floors(storeys, floors, hours, door):
    """2 h from four storeys, else 1 h; not less than the floor penetrated, need not be over 2 h."""
    ratings = None if floors is None else tuple(map(Fraction, floors))
    found = calculate(EnclosureInputs(storeys=storeys, floor_ratings=ratings))
    assert (found.rating.amount, found.door_rating.amount) == (
        hours,
        None if door is None else Fraction(door),
    )


def test_word_of_the_authority_overrides():
    found = calculate(EnclosureInputs(storeys=2, floor_ratings=(), authority_rating=Fraction(0)))
    assert (found.rating.amount, found.rating.source.status, found.door_rating.amount) == (0, "drawing", None)


def test_two_storeys_are_a_question():
    """Officials read the two-storey case differently: a warning until the answer is stored."""
    found = {f.key: f.outcome for f in calculate(EnclosureInputs(storeys=2, floor_ratings=())).findings}
    assert found["two storeys are read differently by officials"] == "warning"


FAHRENHEIT = (32, 40, 50, 60, 70, 80)
HOURS = """
90 13d 9d   6d    4.5d  3d  49h
80 7d  4.5d 3.25d 2.25d 38h 27h
60 3.5d 2.5d 42h  29h   20h 14h
50 3d  2d   36h   24h   17h 12h
40 2.5d 44h 29h   20h   14h 10h
20 2d  34h  23h   16h   11h 8h
"""


def celsius(fahrenheit):
    return Fraction(fahrenheit - 32) * Fraction(5, 9)


@pytest.mark.parametrize("row", HOURS.strip().splitlines())
def test_drying_row(row):
    humidity, *cells = row.split()
    expected = [Fraction(cell[:-1]) * (24 if cell.endswith("d") else 1) for cell in cells]
    found = [drying_hours(Fraction(humidity), celsius(f)) for f in FAHRENHEIT]
    assert [value.amount for value in found] == expected
    assert {value.source.status for value in found} == {"memory"}


def test_between_rows_the_damper_and_colder_one_holds():
    assert drying_hours(Fraction(55), celsius(65)).amount == 29


@pytest.mark.parametrize(("humidity", "fahrenheit"), [(91, 70), (50, 31)])
def test_no_drying_outside(humidity, fahrenheit):
    with pytest.raises(OutOfTable):
        drying_hours(Fraction(humidity), celsius(fahrenheit))
