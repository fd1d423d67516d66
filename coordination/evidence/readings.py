"""What was typed for a reading: its value in the stored unit, and whether it lies within what is asked for.

Lengths are whole nanometres; every other value is a number in the unit that the requirement names.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import ngettext

from coordination.access.refusals import Reason
from coordination.evidence.refusals import NotAReading
from coordination.siteprep.lengths import LengthError, UnitSystem, format_length, parse_length
from coordination.siteprep.units import UnitError, as_read, parse_quantity, rounded

Number = int | float

# Written unit -> factor to the stored one. A footcandle is one lumen per square foot (0.092 903 04 m2, exact).
WRITTEN: Mapping[str, Mapping[str, float]] = {
    "lux": {"lux": 1, "lx": 1, "fc": 1 / 0.09290304},
    "ohm": {"ohm": 1, "ohms": 1, "ω": 1, "kohm": 1e3, "kω": 1e3, "mohm": 1e-3, "mω": 1e-3, "megohm": 1e6},
    "volt": {"v": 1, "volt": 1, "volts": 1, "kv": 1000},
    "ampere": {"a": 1, "amp": 1, "amps": 1, "ampere": 1},
    "day": {"day": 1, "days": 1, "d": 1, "día": 1, "días": 1, "dia": 1, "dias": 1},
    "calendar day": {"calendar day": 1, "calendar days": 1, "day": 1, "days": 1, "d": 1, "día": 1, "días": 1},
    "decibel": {"decibel": 1, "db": 1, "dba": 1},
    "count": {"": 1, "pcs": 1, "pieces": 1},
    "percent": {"%": 1, "percent": 1},
    "second": {"s": 1, "sec": 1, "second": 1, "seconds": 1},
}
WHOLE = frozenset({"count", "day", "calendar day"})
# A capital M is a million, a small m a thousandth: insulation is read in the one, a bond in the other.
MILLION = re.compile(r"M(?=ohm|Ω|Ω)")
DECIMAL_COMMA = re.compile(r"^(\s*[-+−]?)(0|\d+(?=,(?:\d{1,2}|\d{4,})(?!\d)))?,(?=\d)(?=[^,]*$)")
SEVERAL_UNITS = {"degree C": "temperature", "force": "force", "psi": "strength"}
TYPED = re.compile(r"(?P<number>[-+]?\d{1,3}(?:,\d{3})+(?:\.\d+)?|[-+]?\d+(?:\.\d+)?)\s*(?P<unit>\D*)")


@dataclass(frozen=True)
class Reading:
    """``in_tolerance`` is None where nothing is asked but the value itself. A date's value is its ISO text."""

    value: Number | str
    in_tolerance: bool | None


def read(terms: Mapping[str, Any], typed: str, system: UnitSystem | None = None) -> Reading:
    """Read ``typed`` under a requirement's terms. Raises NotAReading.

    A value exactly on a limit lies within it. A bare number counts in the unit that people of ``system`` are asked in
    (``unit_sign``), without one in the stored unit; a bare length is refused there.
    """
    unit, typed = terms.get("unit") or "count", with_point(typed)
    if unit == "date":
        return Reading(_day(typed), None)
    value = _length(typed, system) if unit == "length" else _number(unit, typed, system)
    return Reading(value, within(terms, value))


def with_point(typed: str) -> str:
    """A decimal comma as a point: 0,35 or 6,5. Three digits after it could be thousands, and are left as they are."""
    found = DECIMAL_COMMA.match(typed)
    return typed.replace(",", ".", 1) if found and found[2] else typed


def within(terms: Mapping[str, Any], value: Number) -> bool | None:
    """Whether ``value`` lies within the terms' ``low`` and ``high``, both included."""
    low, high = terms.get("low"), terms.get("high")
    if low is None and high is None:
        return None
    return (low is None or value >= low) and (high is None or value <= high)


def shown(value: Number | str | Mapping[str, Any] | None, unit: str, system: UnitSystem = "us") -> str:
    """A value with its unit, as a paper prints it; of a series the figure that is judged, else least to greatest."""
    if isinstance(value, Mapping):
        return _shown_series(value, unit, system)
    if value is None:
        return ""
    if isinstance(value, str):
        return value
    if unit == "length":
        return format_length(int(value), system)
    if unit == "ohm" and value >= 1_000_000 and value % 10_000 == 0:
        return f"{value / 1_000_000:.10g} MΩ"
    number, counted = as_read(value, unit, system)
    return _with_unit(f"{rounded(number, counted):.10g}", counted, number)


def _with_unit(told: str, unit: str, number: float) -> str:
    """A number with its sign; days are words."""
    if unit == "day":
        return ngettext("%(n)s day", "%(n)s days", int(number)) % {"n": told}
    if unit == "calendar day":
        return ngettext("%(n)s calendar day", "%(n)s calendar days", int(number)) % {"n": told}
    return f"{told} {_sign(unit)}".strip()


def _shown_series(value: Mapping[str, Any], unit: str, system: UnitSystem) -> str:
    if value.get("figure") is not None:
        return shown(value["figure"], unit, system)
    found = sorted(cell["value"] for cell in value.get("cells", ()))
    return " – ".join(dict.fromkeys(shown(each, unit, system) for each in (*found[:1], *found[-1:])))


def unit_sign(unit: str, system: UnitSystem | None = "us") -> str:
    """The unit that readers of ``system`` are asked in, as it is written behind a number."""
    return _sign(as_read(0, unit, system)[1] if system else unit)


def _sign(unit: str) -> str:
    return {
        "": "",
        "count": "",
        "volt": "V",
        "ohm": "Ω",
        "degree C": "°C",
        "degree F": "°F",
        "ampere": "A",
        "percent": "%",
        "lux": "lx",
        "force": "N",
        "decibel": "dB",
    }.get(unit, unit)


def _length(typed: str, system: UnitSystem | None) -> int:
    try:
        return parse_length(typed, system)
    except LengthError as error:
        raise NotAReading(Reason("not a length", {"typed": typed, "why": error.reason})) from error


def _number(unit: str, typed: str, system: UnitSystem | None) -> Number:
    found = TYPED.fullmatch(typed.strip().replace("\u00a0", " ").replace("−", "-"))
    if found is None:
        raise NotAReading(Reason("not a number", {"typed": typed, "unit": unit_sign(unit, system)}))
    number = float(found["number"].replace(",", ""))
    written = MILLION.sub("meg", found["unit"].strip()).lower().rstrip(".").replace("megω", "megohm")
    if not written and system is not None and unit in SEVERAL_UNITS:
        written = as_read(0, unit, system)[1]
    value = _in_stored_unit(unit, number, written, typed)
    if unit in WHOLE and not value.is_integer():
        raise NotAReading(Reason("not a whole number", {"typed": typed, "unit": unit}))
    return int(value) if value.is_integer() else value


def _in_stored_unit(unit: str, number: float, written: str, typed: str) -> float:
    if not written:
        return number
    if unit in SEVERAL_UNITS:
        return _quantity(unit, f"{number} {written}", typed)
    factor = WRITTEN.get(unit, {unit.lower(): 1}).get(written)
    if factor is None:
        raise NotAReading(Reason("wrong unit", {"typed": typed, "unit": _sign(unit)}))
    return number if factor == 1 else float(f"{number * factor:.9g}")


def _quantity(unit: str, written: str, typed: str) -> float:
    try:
        return parse_quantity(SEVERAL_UNITS[unit], written)
    except UnitError as error:
        units = ", ".join(error.units)
        raise NotAReading(Reason("wrong unit", {"typed": typed, "unit": units})) from error


def _day(typed: str) -> str:
    try:
        return date.fromisoformat(typed.strip()).isoformat()
    except ValueError as error:
        raise NotAReading(Reason("not a date", {"typed": typed})) from error
