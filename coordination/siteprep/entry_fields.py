"""Reading the single fields of a catalogue entry: texts, conditions, bounds, tolerances."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any, cast

from coordination.siteprep.condition_reading import parse_condition
from coordination.siteprep.conditions import ALWAYS, Condition, ConditionError, Scalar
from coordination.siteprep.entries import Bound
from coordination.siteprep.fact_definitions import fact_patterns
from coordination.siteprep.fact_types import FactDefinition
from coordination.siteprep.lengths import LengthError, parse_length
from coordination.siteprep.sources import Source
from coordination.siteprep.toml_tables import Table, Text
from coordination.siteprep.units import UnitError, parse_quantity
from coordination.siteprep.value_reading import read_value
from coordination.siteprep.wording import fields, is_word

_PARSED_UNITS = {"degree C": "temperature", "psi": "strength", "force": "force"}
_OWN_FIELDS = ("landing", "side", "landing.label")
WORKED_FIELDS = ("finding.found", "finding.limit")


@dataclass(frozen=True)
class Vocabulary:
    """What entries may refer to: sources, packages, trades, cautions, quantities, named conditions."""

    sources: Mapping[str, Source]
    packages: Mapping[str, Any]
    trades: Mapping[str, Any]
    cautions: Mapping[str, Any]
    quantities: Mapping[str, Any]
    conditions: Mapping[str, Condition] = field(default_factory=dict)


def read_text(
    table: Table,
    key: str,
    known: Vocabulary,
    spread: str,
    *,
    optional: bool = False,
    own: tuple[str, ...] = (),
) -> Text:
    """Take a text whose every field is a word, a fact, a quantity or one of ``own``.

    ``spread`` allows {landing} and {side}.
    """
    text = table.text(key, optional=optional)
    check_fields(table, key, text, known, spread, own=own)
    return text


def check_fields(
    table: Table, key: str, text: Text, known: Vocabulary, spread: str, *, own: tuple[str, ...] = ()
) -> None:
    """Refuse a text with a field that is neither a word, a fact, a quantity nor one of ``own``."""
    for name in sorted(name[:1].lower() + name[1:] for name in fields(text)):
        if name not in own and not _is_field(name, known, spread):
            raise table.error(key, f"{{{name}}} is neither a word, a fact nor a quantity that is known here")


def _is_field(name: str, known: Vocabulary, spread: str) -> bool:
    if spread and (
        name in _OWN_FIELDS or pattern(name.replace("landing.", "landing.{landing}.", 1)) is not None
    ):
        return True
    if name.startswith("quantity."):
        return name.removeprefix("quantity.") in known.quantities
    return is_word(name) or pattern(name) is not None


def pattern(key: str) -> FactDefinition | None:
    """Return the definition a key with {landing} or ``*`` in it belongs to, or None."""
    wanted = key.replace("*", "{landing}")
    return _patterns().get(wanted) or _patterns().get(_scoped(wanted))


@lru_cache(maxsize=1)
def _patterns() -> dict[str, FactDefinition]:
    return {each.key: each for each in fact_patterns()}


def _scoped(key: str) -> str:
    """``wall.left.construction`` belongs to ``wall.{wall}.construction``."""
    parts = key.split(".")
    if len(parts) == 3 and parts[0] in ("wall", "authority"):
        return f"{parts[0]}.{{{parts[0]}}}.{parts[2]}"
    return key


def read_condition(
    table: Table, key: str, spread: str, named: Mapping[str, Condition] | None = None
) -> Condition:
    """Take a condition whose facts and answers exist; absent is always true."""
    line = table.word(key, "")
    if not line:
        return ALWAYS
    try:
        found = parse_condition(line, _literal, named)
    except ConditionError as error:
        raise table.error(key, str(error)) from error
    for each in found.comparisons():
        for name in (each.key, each.other):
            if name and (pattern(name) is None or ("{landing}" in name and not spread)):
                raise table.error(key, f"there is no fact {name!r} here")
        _check_literals(table, key, each.key, each.operator, each.literals)
    return found


def _check_literals(table: Table, key: str, fact: str, operator: str, literals: tuple[Scalar, ...]) -> None:
    definition = pattern(fact)
    assert definition is not None  # noqa: S101 - the caller has looked it up
    if definition.answers and operator in ("==", "!="):
        for literal in literals:
            if literal not in definition.answers or isinstance(literal, bool) != (definition.kind == "flag"):
                raise table.error(key, f"{literal!r} is no answer to {fact!r}")
    if definition.kind not in ("flag",) and literals == (True,) and not definition.choices:
        raise table.error(key, f"{fact!r} is not answered by yes or no")


def _literal(key: str, text: str) -> Scalar:
    definition = pattern(key)
    if definition is None:
        raise ConditionError(f"there is no fact {key!r}")
    value = read_value(definition, text, None)
    if isinstance(value, bool | int | float | str):
        return value
    raise ConditionError(f"{text!r} is no value of {key!r}")


def read_bound(table: Table, key: str, unit: str, spread: str) -> Bound:
    """Take a figure in ``unit``: a number, or the fact or quantity it is read from; absent is none."""
    written: Any = table.take(key, (int, float, str, dict), None)
    if written is None:
        return Bound()
    if isinstance(written, dict):
        return _reference(table, key, written, spread)
    return Bound(read_number(table, key, unit, written))


def _reference(table: Table, key: str, written: dict[str, Any], spread: str) -> Bound:
    if set(written) == {"quantity"}:
        return Bound(quantity=str(written["quantity"]))
    fact = str(written.get("fact", ""))
    name = (
        fact.replace("landing.", "landing.{landing}.", 1) if spread and fact.startswith("landing.") else fact
    )
    if set(written) != {"fact"} or pattern(name) is None:
        raise table.error(key, 'should be a number, {fact = "..."} or {quantity = "..."}')
    return Bound(fact=name)


def read_number(table: Table, key: str, unit: str, written: Any) -> int | float:
    """Return ``written`` in the stored unit; lengths, forces, temperatures and strengths carry theirs."""
    if not isinstance(written, str):
        if unit in ("length", *_PARSED_UNITS):
            raise table.error(key, f"should be a string with its unit, as it is a {unit}")
        return cast(int | float, written)
    reader: Callable[[str], int | float] | None = parse_length if unit == "length" else None
    if unit in _PARSED_UNITS:
        kind = _PARSED_UNITS[unit]
        return _parsed(table, key, written, lambda text: parse_quantity(kind, text))
    if reader is None:
        raise table.error(key, "should be a number")
    return _parsed(table, key, written, reader)


def _parsed(table: Table, key: str, written: str, reader: Callable[[str], int | float]) -> int | float:
    try:
        return reader(written)
    except (LengthError, UnitError) as error:
        raise table.error(key, str(error)) from error


def read_tolerance(table: Table, unit: str) -> tuple[float | None, float | None, bool]:
    """Take minus, plus, and whether they are shares: ``within``, ``within_percent`` or ``minus``/``plus``."""
    if table.has("within_percent"):
        share = table.take("within_percent", (int, float)) / 100
        return share, share, True
    if table.has("within"):
        both = read_number(table, "within", unit, table.take("within", (int, float, str)))
        return both, both, False
    minus, plus = (table.take(key, (int, float, str), None) for key in ("minus", "plus"))
    return (
        None if minus is None else read_number(table, "minus", unit, minus),
        None if plus is None else read_number(table, "plus", unit, plus),
        False,
    )
