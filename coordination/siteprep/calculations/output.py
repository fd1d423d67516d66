"""Results as plain JSON values. Lengths are shown in nanometres, millimetres and inches, others in both systems."""

import dataclasses
import datetime
from collections.abc import Hashable, Mapping
from fractions import Fraction
from functools import cache
from typing import Any, get_type_hints

from coordination.siteprep.calculations.measures import GALLON_IN_LITRE, PSI_IN_PASCAL
from coordination.siteprep.calculations.values import (
    NANOMETRES_PER_INCH,
    NANOMETRES_PER_MILLIMETRE,
    Finding,
    Nanometres,
    Value,
)


def as_json(result: object) -> Any:
    """``result`` (dataclasses, values, findings, tuples) as JSON types; None becomes "unknown" in values."""
    if isinstance(result, Value):
        return {**_amount(result.amount, result.unit), "source": as_json(result.source)}
    if isinstance(result, Finding):
        shown = {f.name: as_json(getattr(result, f.name)) for f in dataclasses.fields(result)}
        if result.unit == "length":
            shown["found"] = _amount(result.found, "length")
            shown["limit"] = _amount(result.limit, "length")
        return shown
    if dataclasses.is_dataclass(result) and not isinstance(result, type):
        lengths = _lengths(type(result))
        return {
            f.name: _amount(value, "length") if f.name in lengths else as_json(value)
            for f in dataclasses.fields(result)
            for value in (getattr(result, f.name),)
        }
    return _plain(result)


@cache
def _lengths(cls: Hashable) -> frozenset[str]:
    """Fields that hold a bare length."""
    hints = get_type_hints(cls, include_extras=True)
    return frozenset(name for name, hint in hints.items() if hint == Nanometres)


def _plain(result: object) -> Any:
    if isinstance(result, Mapping):
        return {str(key): as_json(value) for key, value in result.items()}
    if isinstance(result, tuple | list):
        return [as_json(item) for item in result]
    if isinstance(result, frozenset | set):
        return sorted(as_json(item) for item in result)
    if isinstance(result, Fraction):
        return int(result) if result.denominator == 1 else float(result)
    if isinstance(result, datetime.date):
        return result.isoformat()
    return result


# Kept unit -> the unit shown beside it, and the factor to it.
BESIDE: Mapping[str, tuple[str, Fraction]] = {
    "psi": ("kPa", PSI_IN_PASCAL / 1000),
    "psi per 100 ft": ("kPa per m", PSI_IN_PASCAL / 1000 / Fraction("30.48")),
    "ft2": ("m2", Fraction("0.09290304")),
    "in2": ("mm2", Fraction("645.16")),
    "L": ("gal", 1 / GALLON_IN_LITRE),
    "L/min": ("gpm", 1 / GALLON_IN_LITRE),
    "lx": ("fc", 1 / Fraction("10.763910416709722")),
    "m/s": ("ft/min", 1 / Fraction("0.00508")),
}


def _beside(amount: Any, unit: str) -> dict[str, float]:
    """The amount in the other system, where readers of both want it."""
    if unit not in BESIDE or isinstance(amount, bool | str):
        return {}
    name, factor = BESIDE[unit]
    return {name: float(Fraction(amount) * factor)}


def _amount(amount: Any, unit: str) -> dict[str, Any]:
    if amount is None:
        return {"amount": "unknown", "unit": "nm" if unit == "length" else unit}
    if unit != "length":
        return {"amount": _plain(amount), "unit": unit, **_beside(amount, unit)}
    return {
        "amount": _plain(amount),
        "unit": "nm",
        "mm": float(Fraction(amount) / NANOMETRES_PER_MILLIMETRE),
        "in": float(Fraction(amount) / NANOMETRES_PER_INCH),
    }
