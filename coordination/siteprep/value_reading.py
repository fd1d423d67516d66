"""Reading what somebody typed for one fact into its stored value, or naming the fault."""

import re
from collections.abc import Callable, Mapping
from datetime import date
from typing import Any

from coordination.siteprep.fact_types import WEEKDAYS, FactDefinition, Value
from coordination.siteprep.faults import Fault
from coordination.siteprep.lengths import LengthError, UnitSystem, format_length, parse_length
from coordination.siteprep.units import STORED, UnitError, parse_quantity

_YES_NO: Mapping[str, bool] = {"yes": True, "no": False, "true": True, "false": False}
_LANDING = re.compile(r"[A-Za-z0-9]{1,8}")


class Refused(Exception):
    """The value cannot be read; carries the kind of fault and its particulars."""

    def __init__(self, kind: str, **arguments: str) -> None:
        super().__init__(kind)
        self.kind = kind
        self.arguments = arguments


def read_value(definition: FactDefinition, raw: Any, units: UnitSystem | None) -> Value | Fault:
    """Return the stored value of ``raw`` (as TOML or a form gives it), or the fault in it.

    ``units`` is the system a bare number counts in, if any.
    """
    try:
        value = _READERS[definition.kind](definition, raw, units)
        _check_range(definition, value, typed(raw), units)
    except Refused as refused:
        return Fault(definition.key, refused.kind, refused.arguments)
    return value


def typed(raw: Any) -> str:
    """Return ``raw`` as a person would have typed it."""
    if isinstance(raw, bool):
        return "yes" if raw else "no"
    if isinstance(raw, list | tuple):
        return ", ".join(typed(each) for each in raw)
    return raw.strip() if isinstance(raw, str) else str(raw)


def _length(definition: FactDefinition, raw: Any, units: UnitSystem | None) -> int:
    if not isinstance(raw, str | int | float) or isinstance(raw, bool):
        raise Refused("not-a-length", typed=typed(raw))
    try:
        return parse_length(typed(raw), units)
    except LengthError as error:
        raise Refused(error.reason.replace(" ", "-"), typed=typed(raw)) from error


def _lengths(definition: FactDefinition, raw: Any, units: UnitSystem | None) -> tuple[int, ...]:
    listed = tuple(_length(definition, each, units) for each in _listed(raw))
    if not listed or list(listed) != sorted(set(listed)):
        raise Refused("not-a-list", typed=typed(raw))
    return listed


def _choice(definition: FactDefinition, raw: Any, units: UnitSystem | None) -> str | int:
    for choice in definition.choices:
        if typed(raw).casefold() == str(choice).casefold() and not isinstance(raw, bool):
            return choice
    raise Refused(
        "not-a-choice", typed=typed(raw), choices=", ".join(str(choice) for choice in definition.choices)
    )


def _flag(definition: FactDefinition, raw: Any, units: UnitSystem | None) -> bool:
    answer = _YES_NO.get(typed(raw).casefold())
    if answer is None:
        raise Refused("not-a-flag", typed=typed(raw))
    return answer


def _integer(definition: FactDefinition, raw: Any, units: UnitSystem | None) -> int:
    if isinstance(raw, bool) or not re.fullmatch(r"-?\d{1,9}", typed(raw)):
        raise Refused(
            "not-an-integer", typed=typed(raw), unit=f" of {definition.unit}s" if definition.unit else ""
        )
    return int(typed(raw))


def _number(definition: FactDefinition, raw: Any, units: UnitSystem | None) -> float:
    written = typed(raw).removesuffix(definition.unit).strip() if definition.unit else typed(raw)
    if isinstance(raw, bool) or not re.fullmatch(r"-?\d{1,12}(\.\d+)?", written):
        raise Refused(
            "not-a-number", typed=typed(raw), unit=f" in {definition.unit}" if definition.unit else ""
        )
    return float(written)


def _quantity(definition: FactDefinition, raw: Any, units: UnitSystem | None) -> float:
    try:
        return parse_quantity(definition.kind, typed(raw))
    except UnitError as error:
        raise Refused("wrong-unit", typed=typed(raw), units=", ".join(error.units)) from error


def _text(definition: FactDefinition, raw: Any, units: UnitSystem | None) -> str:
    written = typed(raw)
    if not isinstance(raw, str | int) or isinstance(raw, bool) or not written or "\n" in written:
        raise Refused("not-a-text", typed=written)
    if definition.form and not re.fullmatch(definition.form, written):
        raise Refused("wrong-form", typed=written, example=definition.form_example)
    return written


def _date(definition: FactDefinition, raw: Any, units: UnitSystem | None) -> date:
    if type(raw) is date:
        return raw
    if not isinstance(raw, str) or not re.fullmatch(r"\d{4}-\d{2}-\d{2}", raw.strip()):
        raise Refused("not-a-date", typed=typed(raw))
    try:
        return date.fromisoformat(raw.strip())
    except ValueError as error:
        raise Refused("not-a-date", typed=raw) from error


def _days(definition: FactDefinition, raw: Any, units: UnitSystem | None) -> tuple[int, ...]:
    named = [typed(day).lower()[:3] for day in _listed(raw)]
    if not named or len(set(named)) != len(named) or not set(named) <= set(WEEKDAYS):
        raise Refused("not-days", typed=typed(raw))
    return tuple(sorted(WEEKDAYS.index(day) for day in named))


def _landings(definition: FactDefinition, raw: Any, units: UnitSystem | None) -> tuple[str, ...]:
    named = tuple(typed(each) for each in _listed(raw))
    if len(named) < 2 or len(set(named)) != len(named) or not all(_LANDING.fullmatch(each) for each in named):
        raise Refused("not-landings", typed=typed(raw))
    return named


def _listed(raw: Any) -> list[Any]:
    if isinstance(raw, str):
        return [part.strip() for part in raw.split(",") if part.strip()]
    return list(raw) if isinstance(raw, list | tuple) else [raw]


def _check_range(definition: FactDefinition, value: Value, written: str, units: UnitSystem | None) -> None:
    source = f" ({definition.source})" if definition.source else ""
    for number in value if isinstance(value, tuple) else (value,):
        if isinstance(number, str | bool | date):
            continue
        if definition.low is not None and number < definition.low:
            raise Refused(
                "below-least", typed=written, low=_shown(definition, definition.low, units), source=source
            )
        if definition.high is not None and number > definition.high:
            raise Refused(
                "above-greatest",
                typed=written,
                high=_shown(definition, definition.high, units),
                source=source,
            )


def _shown(definition: FactDefinition, number: int | float, units: UnitSystem | None) -> str:
    if definition.kind in ("length", "lengths"):
        return format_length(int(number), units or "us")
    return f"{number:g} {definition.unit}".strip()


_READERS: dict[str, Callable[[FactDefinition, Any, UnitSystem | None], Value]] = {
    "length": _length,
    "lengths": _lengths,
    "choice": _choice,
    "flag": _flag,
    "integer": _integer,
    "number": _number,
    "text": _text,
    "date": _date,
    "days": _days,
    "landings": _landings,
    **dict.fromkeys(STORED, _quantity),
}
