"""Drying time of joint compound per coat: a placeholder from memory. Hours; percent; degrees Fahrenheit."""

from collections.abc import Mapping
from fractions import Fraction

from coordination.siteprep.calculations.values import OutOfTable, Source, Value

DRYING = Source(
    "joint compound drying chart", "from memory, not found again: a placeholder", "memory", "drywall"
)

FAHRENHEIT = (32, 40, 50, 60, 70, 80)
HOURS: Mapping[int, tuple[Fraction, ...]] = {
    20: tuple(map(Fraction, (48, 34, 23, 16, 11, 8))),
    40: tuple(map(Fraction, (60, 44, 29, 20, 14, 10))),
    50: tuple(map(Fraction, (72, 48, 36, 24, 17, 12))),
    60: tuple(map(Fraction, (84, 60, 42, 29, 20, 14))),
    80: tuple(map(Fraction, (168, 108, 78, 54, 38, 27))),
    90: tuple(map(Fraction, (312, 216, 144, 108, 72, 49))),
}


def drying_hours(humidity: Fraction, celsius: Fraction) -> Value:
    """Hours per coat from the row next damper and the column next colder; nothing is interpolated.

    Raises OutOfTable above 90 % or below 32 F (above 80 F the last column holds).
    """
    fahrenheit = celsius * Fraction(9, 5) + 32
    row = next((percent for percent in HOURS if humidity <= percent), None)
    columns = [number for number, degrees in enumerate(FAHRENHEIT) if degrees <= fahrenheit]
    if row is None or not columns:
        asked = f"{float(humidity):g} % and {float(fahrenheit):g} F"
        raise OutOfTable("drying of joint compound", asked, "up to 90 % and from 32 F")
    return Value(HOURS[row][columns[-1]], "h", DRYING)
