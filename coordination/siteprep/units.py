"""Numbers with a unit, as a data sheet prints them: forces, temperatures, masses, times.

Each kind has one stored unit; what was typed is kept beside it by whoever asks. Which unit a reader sees instead is
decided here alone, for screens, papers and printed plans: ``as_read``.
"""

import re
from collections.abc import Callable
from typing import Final

from coordination.siteprep.lengths import UnitSystem

STORED: Final = {
    "force": "N",
    "temperature": "degree C",
    "mass": "kg",
    "volume": "L",
    "strength": "psi",
    "speed": "m/s",
}

_POUND = 0.45359237
_GRAVITY = 9.80665
_NUMBER = re.compile(r"(?P<number>-?\d{1,3}(?:[ ,]\d{3})+(?:\.\d+)?|-?\d+(?:\.\d+)?)\s*(?P<unit>[^\d\s].*)?")


def _times(factor: float) -> Callable[[float], float]:
    return lambda number: number * factor


_SHOWN = {
    "force": ("N", "kN", "lbf", "kip"),
    "mass": ("kg", "lb"),
    "volume": ("L", "gal"),
    "strength": ("psi", "MPa"),
    "speed": ("m/s", "ft/min"),
    "area": ("m2", "sq ft"),
    "temperature": ("C", "F"),
}
_READ: dict[str, dict[str, Callable[[float], float]]] = {
    "force": {
        "n": _times(1),
        "kn": _times(1000),
        "lbf": _times(_POUND * _GRAVITY),
        "lb": _times(_POUND * _GRAVITY),
        "kip": _times(1000 * _POUND * _GRAVITY),
    },
    "mass": {"kg": _times(1), "lb": _times(_POUND)},
    "volume": {"l": _times(1), "gal": _times(3.785411784)},
    "speed": {"m/s": _times(1), "ft/min": _times(0.00508), "fpm": _times(0.00508)},
    "area": {"m2": _times(1), "sq ft": _times(0.09290304)},
    "strength": {"psi": _times(1), "mpa": _times(645.16 / (_POUND * _GRAVITY))},
    "temperature": {
        "c": _times(1),
        "f": lambda number: (number - 32) * 5 / 9,
    },
}

# Stored unit -> what readers of each system count in, and the factor to the stored one. Exact: pound, gravity, foot,
# US gallon; a megapascal is 145.038 psi.
_COUNTED_IN: dict[UnitSystem, dict[str, tuple[str, float]]] = {
    "us": {
        "force": ("lbf", _POUND * _GRAVITY),
        "N": ("lbf", _POUND * _GRAVITY),
        "kg": ("lb", _POUND),
        "L": ("gal", 3.785411784),
        "m/s": ("ft/min", 0.00508),
        "m2": ("sq ft", 0.09290304),
    },
    "metric": {"force": ("N", 1), "psi": ("MPa", 645.16 / (_POUND * _GRAVITY))},
}


def as_read(value: float, unit: str, system: UnitSystem) -> tuple[float, str]:
    """Return a stored value and the unit that readers of ``system`` count in; not rounded.

    Lengths have their own writing (``lengths.format_length``). A unit that everybody counts in stays as it is.
    """
    if unit == "degree C" and system == "us":
        return value * 9 / 5 + 32, "degree F"
    counted, factor = _COUNTED_IN[system].get(unit, (unit, 1))
    return (value if factor == 1 else value / factor), counted


def rounded(value: float, unit: str) -> float | int:
    """Return a value in its reader's unit as it is printed: forces whole, all else to two decimals."""
    short = round(value) if unit in {"lbf", "N"} else round(value, 2)
    return int(short) if short == int(short) else short


class UnitError(ValueError):
    """A text without a number or without one of the units of its kind.

    ``reason`` is "not a number" or "wrong unit"; ``units`` lists what may be written.
    """

    def __init__(self, reason: str, typed: str, units: tuple[str, ...]) -> None:
        super().__init__(f"{typed!r}: {reason}; units are {', '.join(units)}")
        self.reason = reason
        self.typed = typed
        self.units = units


def parse_quantity(kind: str, text: str) -> float:
    """Return the number ``text`` states in the stored unit of ``kind`` (see ``STORED``; areas are m2), to nine figures.

    ``kind`` is one of force, mass, volume, strength, temperature, speed, area. A bare number is refused.
    Raises UnitError.

    Source: exact definitions of the pound (0.453 592 37 kg), standard gravity and the US gallon.
    """
    units = _READ[kind]
    found = _NUMBER.fullmatch(text.strip().replace("\u00a0", " "))
    if found is None:
        raise UnitError("not a number", text, _SHOWN[kind])
    unit = (found["unit"] or "").strip().lower().rstrip(".").replace("°", "").removeprefix("degree ")
    if unit not in units:
        raise UnitError("wrong unit", text, _SHOWN[kind])
    number = float(found["number"].replace(" ", "").replace(",", ""))
    return float(f"{units[unit](number):.9g}")
