"""Numbers with units as people write them ("14 in", "3000 psi", "7 1/2 hp"), read exactly.

Each kind of measure has one unit in which it is kept; every other unit is a factor to it.
Factors: NIST Special Publication 811 (2008), appendix B.8; exact where the definition is exact.
"""

import re
from collections.abc import Mapping
from fractions import Fraction

POUND_FORCE_IN_NEWTON = Fraction("4.4482216152605")
PSI_IN_PASCAL = Fraction("6894.757293168361")
GALLON_IN_LITRE = Fraction("3.785411784")

UNITS: Mapping[str, Mapping[str, Fraction]] = {
    "volts": {"V": Fraction(1), "kV": Fraction(1000)},
    "amps": {"A": Fraction(1)},
    "power": {"hp": Fraction(1), "kW": 1000 / Fraction("745.69987158227022")},
    "force": {
        "lb": Fraction(1),
        "lbf": Fraction(1),
        "N": 1 / POUND_FORCE_IN_NEWTON,
        "kN": 1000 / POUND_FORCE_IN_NEWTON,
        "kip": Fraction(1000),
    },
    "mass": {"lb": Fraction(1), "kg": 1 / Fraction("0.45359237")},
    "strength": {
        "psi": Fraction(1),
        "ksi": Fraction(1000),
        "kPa": 1000 / PSI_IN_PASCAL,
        "MPa": 1_000_000 / PSI_IN_PASCAL,
        "bar": 100_000 / PSI_IN_PASCAL,
    },
    "volume": {
        "L": Fraction(1),
        "gal": GALLON_IN_LITRE,
        "m3": Fraction(1000),
        "ft3": Fraction("28.316846592"),
    },
    "flow": {
        "L/min": Fraction(1),
        "L/h": Fraction(1, 60),
        "gpm": GALLON_IN_LITRE,
        "gal/min": GALLON_IN_LITRE,
        "gal/h": GALLON_IN_LITRE / 60,
        "m3/h": Fraction(1000, 60),
    },
    "light": {"lx": Fraction(1), "fc": Fraction("10.763910416709722")},
    "duration": {"h": Fraction(1), "min": Fraction(1, 60), "s": Fraction(1, 3600), "d": Fraction(24)},
    "age": {"h": Fraction(1), "d": Fraction(24), "min": Fraction(1, 60)},
    "seconds": {"s": Fraction(1), "min": Fraction(60)},
    "viscosity": {"cSt": Fraction(1), "mm2/s": Fraction(1)},
    "dynamic viscosity": {"mPa.s": Fraction(1), "cP": Fraction(1), "Pa.s": Fraction(1000)},
    "density": {"kg/m3": Fraction(1), "lb/ft3": Fraction("16.018463373960142")},
    "degrees": {"deg": Fraction(1), "degrees": Fraction(1)},
    "percent": {"%": Fraction(1)},
    "days": {"d": Fraction(1), "days": Fraction(1)},
    "energy": {"kJ/mol": Fraction(1), "J/mol": Fraction(1, 1000)},
    "number": {},
}
LENGTHS: Mapping[str, Fraction] = {
    "in": Fraction(25_400_000),
    "ft": Fraction(304_800_000),
    "mm": Fraction(1_000_000),
    "cm": Fraction(10_000_000),
    "m": Fraction(1_000_000_000),
}
# What else people write for a unit; capitals do not count.
ALSO_WRITTEN: Mapping[str, str] = {
    "volt": "V", "volts": "V", "amp": "A", "amps": "A", "ampere": "A", "amperes": "A", "horsepower": "hp",
    "lbs": "lb", "pound": "lb", "pounds": "lb", "kips": "kip", "lux": "lx", "footcandle": "fc", "footcandles": "fc",
    "foot-candles": "fc", "hour": "h", "hours": "h", "hr": "h", "hrs": "h", "minute": "min", "minutes": "min",
    "second": "s", "seconds": "s", "sec": "s", "day": "d", "days": "d", "gallon": "gal", "gallons": "gal",
    "liter": "L", "liters": "L", "litre": "L", "litres": "L", "lpm": "L/min", "gph": "gal/h", "gal/hr": "gal/h",
    "m³": "m3", "m³/h": "m3/h", "ft³": "ft3", "cu ft": "ft3", "mm²/s": "mm2/s", "kg/m³": "kg/m3", "lb/ft³": "lb/ft3",
    "pcf": "lb/ft3", "mpa·s": "mPa.s", "mpa*s": "mPa.s", "pa·s": "Pa.s", "pa*s": "Pa.s", "percent": "%", "°": "deg",
    "degree": "deg",
}  # fmt: skip
_NUMBER = re.compile(r"([+-]?)(?:(\d+)[ -])?(\d+/\d+|\d[\d,]*(?:\.\d+)?|\.\d+)\s*(.*)")


class MeasureError(ValueError):
    """A text that is not a measure of the kind asked for; says what would be right."""


def read_measure(given: object, kind: str) -> Fraction:
    """``given`` in the kept unit of ``kind`` (the first of its list).

    Numbers without a unit are taken in the kept unit. Raises MeasureError.
    """
    number, unit = _split(given)
    if kind == "temperature":
        return _celsius(number, unit)
    factors = UNITS[kind]
    if unit == "":
        if kind == "age" and number:
            raise MeasureError('has no unit; write "7 d" or "168 h"')
        return number
    meant = {unit.lower(), ALSO_WRITTEN.get(unit.lower(), unit).lower()}
    for name, factor in factors.items():
        if name.lower() in meant:
            return number * factor
    raise MeasureError(
        f"unit {unit!r} is not known here, use {', '.join(factors) or 'a number without unit'}"
    )


def kept_unit(kind: str) -> str:
    """The unit a measure of ``kind`` is kept in ("" for plain numbers)."""
    return "degree C" if kind == "temperature" else next(iter(UNITS[kind]), "")


def _split(given: object) -> tuple[Fraction, str]:
    if isinstance(given, bool) or not isinstance(given, int | float | str | Fraction):
        raise MeasureError("is not a number")
    if not isinstance(given, str):
        return _finite(given), ""
    matched = _NUMBER.fullmatch(given.strip())
    if not matched:
        raise MeasureError("is not a number with a unit")
    sign, whole, rest, unit = matched.groups()
    if whole and "/" not in rest:
        raise MeasureError("is not a number with a unit")
    if rest.endswith("/0"):
        raise MeasureError("divides by zero")
    amount = Fraction(rest.replace(",", "")) + Fraction(whole or 0)
    return (-amount if sign == "-" else amount), unit.strip()


def _finite(number: int | float | Fraction) -> Fraction:
    try:
        return Fraction(str(number))
    except ValueError:
        raise MeasureError("is not a finite number") from None


def _celsius(number: Fraction, unit: str) -> Fraction:
    name = unit.replace("°", "").replace("degree", "").replace("deg", "").strip().upper()
    if name in {"", "C"}:
        celsius = number
    elif name == "F":
        celsius = (number - 32) * Fraction(5, 9)
    elif name == "K":
        celsius = number - Fraction("273.15")
    else:
        raise MeasureError(f"unit {unit!r} is not known here, use C, F or K")
    if celsius < Fraction("-273.15"):
        raise MeasureError("is below absolute zero")
    return celsius
