"""Reading task, gate and other entries from TOML tables. Every complaint names file, entry and key."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, cast

from coordination.siteprep.conditions import ALWAYS, Condition, ConditionError, Scalar, parse_condition
from coordination.siteprep.entries import (
    Bound,
    FindingEntry,
    GateConditionEntry,
    GateEntry,
    LinkEntry,
    QuantityEntry,
    RequirementEntry,
    TaskEntry,
    TradeEntry,
)
from coordination.siteprep.fact_definitions import fact_patterns
from coordination.siteprep.fact_types import FactDefinition
from coordination.siteprep.lengths import LengthError, parse_length
from coordination.siteprep.plan_parts import AUTHORITIES, CALENDARS, PLACE_KINDS, ROLES, UNITS, Duration
from coordination.siteprep.sources import Source
from coordination.siteprep.toml_tables import Table, Text
from coordination.siteprep.units import UnitError, parse_quantity
from coordination.siteprep.value_reading import read_value
from coordination.siteprep.wording import fields, is_word

MOST_PHOTOS = 6
_PARSED_UNITS = {"degree C": "temperature", "psi": "strength", "force": "force"}
_LINK_KINDS = ("FS", "SS", "FF", "SF")
_GATE_CONDITIONS = (
    "task accepted",
    "requirement satisfied",
    "question answered",
    "document present",
    "gate cleared",
)
_OWN_FIELDS = ("landing", "side", "landing.label")


@dataclass(frozen=True)
class Vocabulary:
    """What entries may refer to: sources, packages, trades, cautions, quantities."""

    sources: Mapping[str, Source]
    packages: Mapping[str, Any]
    trades: Mapping[str, Any]
    cautions: Mapping[str, Any]
    quantities: Mapping[str, Any]


def read_task(table: Table, known: Vocabulary) -> TaskEntry:
    """Return the task entry in ``table``. Raises CatalogueError."""
    entry = table.word("entry")
    spread = table.word("at_every", "", among=("", "landing", "opening"))
    place = "landing" if spread else table.word("place", among=PLACE_KINDS)
    low, likely, high = _days(table)
    sources = _sources(table, known)
    found = TaskEntry(
        entry=entry,
        place=place,
        spread=cast(Any, spread),
        package=table.word("package", among=known.packages),
        trade=table.word("trade", among=known.trades),
        calendar=table.word("calendar", "site", among=CALENDARS),
        text=_text(table, "text", known, spread),
        first_line=_text(table, "first_line", known, spread),
        duration=Duration(low, likely, high),
        sources=sources,
        when=_condition(table, "when", spread),
        requirements=tuple(
            read_requirement(each, known, spread, sources[0]) for each in table.tables("requires")
        ),
        links=_links(table, known, spread),
        cautions=table.words("cautions", among=known.cautions),
        was=table.words("was"),
        template=table.word("template", ""),
        file=table.file,
    )
    table.done()
    _check_requirements(table, found, known)
    return found


def read_requirement(table: Table, known: Vocabulary, spread: str, source: Source) -> RequirementEntry:
    """Return the requirement in ``table``; without a source of its own it has its task's first one."""
    kind = table.word("kind", among=("photo", "reading", "document", "signature"))
    unit = table.word("unit", among=UNITS) if kind == "reading" else ""
    minus, plus, relative = _tolerance(table, unit)
    accepts = table.word("accepts", "", among=("", *ROLES)) or None
    said_who_concedes = table.has("concede")
    found = RequirementEntry(
        key=table.word("key"),
        kind=cast(Any, kind),
        text=_text(table, "text", known, spread),
        stand=_text(table, "stand", known, spread, optional=kind not in ("photo", "reading")),
        source=known.sources[table.word("source", among=known.sources)] if table.has("source") else source,
        when=_condition(table, "when", spread),
        authorised=table.take("authorised", bool, False),
        unit=unit,
        low=_bound(table, "low", unit, spread),
        high=_bound(table, "high", unit, spread),
        nominal=_bound(table, "nominal", unit, spread),
        minus=minus,
        plus=plus,
        relative=relative,
        accepts=accepts,
        deputy=table.word("deputy", "", among=("", *ROLES)) or None,
        answer_hours=table.take("hours", int, 8 if accepts else 0),
        concede=table.words("concede", among=ROLES),
        release=table.word("release", "", among=("", *AUTHORITIES)) or None,
        lift_critical=table.take("critical", bool, False),
    )
    table.done()
    _check_review(table, found, said_who_concedes)
    return found


def read_gate(table: Table, known: Vocabulary) -> GateEntry:
    """Return the gate entry in ``table``. Raises CatalogueError."""
    found = GateEntry(
        key=table.word("key"),
        text=_text(table, "text", known, ""),
        package=table.word("package", among=known.packages),
        conditions=tuple(_gate_condition(each) for each in table.tables("waits")),
        opens=table.words("opens"),
        signers=table.words("signers", among=ROLES),
        clears=table.word("clears", among=ROLES),
        sources=_sources(table, known),
        cautions=table.words("cautions", among=known.cautions),
        file=table.file,
    )
    table.done()
    return found


def read_finding(table: Table, known: Vocabulary) -> FindingEntry:
    """Return the finding in ``table``. Raises CatalogueError."""
    found = FindingEntry(
        key=table.word("key"),
        text=_text(table, "text", known, ""),
        when=_condition(table, "when", ""),
        source=known.sources[table.word("source", among=known.sources)],
    )
    table.done()
    return found


def read_quantity(table: Table, sources: Mapping[str, Source]) -> QuantityEntry:
    """Return the words and source of a quantity. Raises CatalogueError."""
    found = QuantityEntry(table.word("key"), table.text("text"), sources[table.word("source", among=sources)])
    table.done()
    return found


def read_trade(table: Table) -> TradeEntry:
    """Return the trade in ``table``. Raises CatalogueError."""
    found = TradeEntry(table.word("key"), table.text("text"), table.word("role", among=ROLES))
    table.done()
    return found


def _gate_condition(table: Table) -> GateConditionEntry:
    found = GateConditionEntry(
        kind=cast(Any, table.word("kind", among=_GATE_CONDITIONS)),
        subject=table.word("subject"),
        when=_condition(table, "when", ""),
    )
    table.done()
    return found


def _days(table: Table) -> tuple[int, int, int]:
    days = table.take("days", list)
    if len(days) != 3 or not all(type(day) is int for day in days) or not 0 < days[0] <= days[1] <= days[2]:
        raise table.error(
            "days", "should be three ascending whole numbers of working days, [low, likely, high]"
        )
    return days[0], days[1], days[2]


def _sources(table: Table, known: Vocabulary) -> tuple[Source, ...]:
    named = table.words("source", among=known.sources)
    if not named:
        raise table.error("source", "is missing")
    return tuple(known.sources[each] for each in named)


def _links(table: Table, known: Vocabulary, spread: str) -> tuple[LinkEntry, ...]:
    found = [_link(table, each, False, known, spread) for each in table.take("after", list, [])]
    return (*found, *(_link(table, each, True, known, spread) for each in table.take("covers", list, [])))


def _link(owner: Table, written: Any, covers: bool, known: Vocabulary, spread: str) -> LinkEntry:
    key = "covers" if covers else "after"
    content = {"task": written} if isinstance(written, str) else written
    if not isinstance(content, dict):
        raise owner.error(key, "should hold entry names or tables with a task")
    table = Table(owner.file, f"{owner.entry} {key} {content.get('task', '')}".strip(), content)
    handoff = table.take("handoff", bool, False)
    found = LinkEntry(
        task=table.word("task"),
        kind="covers" if covers else cast(Any, table.word("kind", "FS", among=_LINK_KINDS)),
        lag=_bound(table, "lag", "day", spread) if table.has("lag") else Bound(0),
        unit=cast(Any, table.word("unit", "working", among=("working", "calendar"))),
        handoff=handoff,
        note=_text(table, "note", known, spread, optional=not handoff),
        when=_condition(table, "when", spread),
        everywhere=table.take("everywhere", bool, False),
    )
    table.done()
    return found


def _text(table: Table, key: str, known: Vocabulary, spread: str, *, optional: bool = False) -> Text:
    text = table.text(key, optional=optional)
    for name in sorted(name[:1].lower() + name[1:] for name in fields(text)):
        if not _is_field(name, known, spread):
            raise table.error(key, f"{{{name}}} is neither a word, a fact nor a quantity that is known here")
    return text


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


def _patterns() -> dict[str, FactDefinition]:
    return {each.key: each for each in fact_patterns()}


def _scoped(key: str) -> str:
    """``wall.left.construction`` belongs to ``wall.{wall}.construction``."""
    parts = key.split(".")
    if len(parts) == 3 and parts[0] in ("wall", "authority"):
        return f"{parts[0]}.{{{parts[0]}}}.{parts[2]}"
    return key


def _condition(table: Table, key: str, spread: str) -> Condition:
    line = table.word(key, "")
    if not line:
        return ALWAYS
    try:
        found = parse_condition(line, _literal)
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


def _bound(table: Table, key: str, unit: str, spread: str) -> Bound:
    written: Any = table.take(key, (int, float, str, dict), None)
    if written is None:
        return Bound()
    if isinstance(written, dict):
        return _reference(table, key, written, spread)
    return Bound(_number(table, key, unit, written))


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


def _number(table: Table, key: str, unit: str, written: Any) -> int | float:
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


def _tolerance(table: Table, unit: str) -> tuple[float | None, float | None, bool]:
    if table.has("within_percent"):
        share = table.take("within_percent", (int, float)) / 100
        return share, share, True
    if table.has("within"):
        both = _number(table, "within", unit, table.take("within", (int, float, str)))
        return both, both, False
    minus, plus = (table.take(key, (int, float, str), None) for key in ("minus", "plus"))
    return (
        None if minus is None else _number(table, "minus", unit, minus),
        None if plus is None else _number(table, "plus", unit, plus),
        False,
    )


def _check_requirements(table: Table, task: TaskEntry, known: Vocabulary) -> None:
    named = [each.key for each in task.requirements]
    for each in task.requirements:
        for bound in (each.low, each.high, each.nominal):
            if bound.quantity and bound.quantity not in known.quantities:
                raise table.error("requires", f"there is no quantity {bound.quantity!r}")
    if len(set(named)) != len(named):
        raise table.error("requires", "has two requirements of one key")
    if sum(each.kind == "photo" for each in task.requirements) > MOST_PHOTOS:
        raise table.error("requires", f"asks for more than {MOST_PHOTOS} photo views")


def _check_review(table: Table, found: RequirementEntry, said_who_concedes: bool) -> None:
    if not said_who_concedes and not found.release:
        raise table.error("concede", "is missing; say who may concede it, [] for nobody, or who releases it")
    if found.accepts and not found.deputy:
        raise table.error("deputy", "is missing; every review has a deputy")
    if found.deputy == found.accepts and found.accepts:
        raise table.error("deputy", "should be another role than the one who accepts")
    if found.release and found.concede:
        raise table.error("concede", "what only an authority releases has no concession")
    if found.lift_critical and not found.accepts:
        raise table.error("accepts", "is missing; lift-critical work is reviewed by somebody")
    if (found.minus is not None or found.plus is not None) and found.nominal == Bound():
        raise table.error("nominal", "is missing; a tolerance is around something")
