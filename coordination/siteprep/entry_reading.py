"""Reading task, gate and other entries from TOML tables. Every complaint names file, entry and key."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, cast

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
    VariantEntry,
    WitnessEntry,
)
from coordination.siteprep.entry_fields import (
    WORKED_FIELDS,
    Vocabulary,
    check_fields,
    read_bound,
    read_condition,
    read_text,
    read_tolerance,
)
from coordination.siteprep.plan_parts import (
    AUTHORITIES,
    CALENDARS,
    PLACE_KINDS,
    ROLES,
    UNITS,
    WITNESSES,
    Duration,
)
from coordination.siteprep.series_reading import read_series, texts_of
from coordination.siteprep.sources import Source
from coordination.siteprep.toml_tables import Table

MOST_PHOTOS = 6
_LINK_KINDS = ("FS", "SS", "FF", "SF")
_GATE_CONDITIONS = (
    "task accepted",
    "requirement satisfied",
    "question answered",
    "document present",
    "gate cleared",
)


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
        text=read_text(table, "text", known, spread),
        first_line=read_text(table, "first_line", known, spread),
        duration=Duration(low, likely, high),
        sources=sources,
        when=read_condition(table, "when", spread, known.conditions),
        requirements=tuple(
            read_requirement(each, known, spread, sources[0]) for each in table.tables("requires")
        ),
        links=_links(table, known, spread),
        cautions=table.words("cautions", among=known.cautions),
        was=table.words("was"),
        variants=tuple(_variant(each, known, spread) for each in table.tables("variant")),
        witness=tuple(_witness(each, known, spread, sources[0]) for each in table.tables("witness")),
        template=table.word("template", ""),
        file=table.file,
    )
    table.done()
    _check_requirements(table, found, known)
    return found


def read_addition(table: Table, known: Vocabulary, tasks: Mapping[str, TaskEntry]) -> TaskEntry:
    """Return the task named in ``table`` with what a local or company rule asks of it besides.

    Requirements, predecessors, covered work and cautions can be added; nothing is taken away.
    Raises CatalogueError, which names the file of the addition.
    """
    task = tasks[table.word("task", among=tasks)]
    source = _sources(table, known)
    added = tuple(read_requirement(each, known, task.spread, source[0]) for each in table.tables("requires"))
    links = _links(table, known, task.spread)
    cautions = table.words("cautions", among=known.cautions)
    table.done()
    if not (added or links or cautions):
        raise table.error(
            "requires", "is missing; an addition adds a requirement, a predecessor or a caution"
        )
    found = replace(
        task,
        requirements=(*task.requirements, *added),
        links=(*task.links, *links),
        cautions=tuple(dict.fromkeys((*task.cautions, *cautions))),
        file=table.file if links else task.file,
    )
    _check_requirements(table, found, known)
    return found


def read_requirement(table: Table, known: Vocabulary, spread: str, source: Source) -> RequirementEntry:
    """Return the requirement in ``table``; without a source of its own it has its task's first one."""
    kind = table.word("kind", among=("photo", "reading", "document", "signature"))
    unit = table.word("unit", among=UNITS) if kind == "reading" else ""
    minus, plus, relative = read_tolerance(table, unit)
    accepts = table.word("accepts", "", among=("", *ROLES)) or None
    said_who_concedes = table.has("concede")
    found = RequirementEntry(
        key=table.word("key"),
        kind=cast(Any, kind),
        text=read_text(table, "text", known, spread),
        stand=read_text(table, "stand", known, spread, optional=kind not in ("photo", "reading")),
        source=known.sources[table.word("source", among=known.sources)] if table.has("source") else source,
        when=read_condition(table, "when", spread, known.conditions),
        authorised=table.take("authorised", bool, False),
        unit=unit,
        low=read_bound(table, "low", unit, spread),
        high=read_bound(table, "high", unit, spread),
        nominal=read_bound(table, "nominal", unit, spread),
        minus=minus,
        plus=plus,
        relative=relative,
        accepts=accepts,
        deputy=table.word("deputy", "", among=("", *ROLES)) or None,
        answer_hours=table.take("hours", int, 8 if accepts else 0),
        concede=table.words("concede", among=ROLES),
        release=table.word("release", "", among=("", *AUTHORITIES)) or None,
        lift_critical=table.take("critical", bool, False),
        signer=table.word("signer", among=ROLES) if kind == "signature" else "",
        series=read_series(table) if kind == "reading" else None,
        inspection=table.take("inspection", bool, False),
    )
    table.done()
    _check_review(table, found, said_who_concedes)
    _check_series(table, found, known, spread)
    return found


def read_gate(table: Table, known: Vocabulary) -> GateEntry:
    """Return the gate entry in ``table``. Raises CatalogueError."""
    found = GateEntry(
        key=table.word("key"),
        text=read_text(table, "text", known, ""),
        package=table.word("package", among=known.packages),
        conditions=tuple(_gate_condition(each, known) for each in table.tables("waits")),
        opens=table.words("opens"),
        signers=table.words("signers", among=ROLES),
        clears=table.word("clears", among=ROLES),
        sources=_sources(table, known),
        cautions=table.words("cautions", among=known.cautions),
        when=read_condition(table, "when", "", known.conditions),
        file=table.file,
    )
    table.done()
    return found


def read_finding(table: Table, known: Vocabulary) -> FindingEntry:
    """Return the finding in ``table``; a worked one waits for its calculation. Raises CatalogueError."""
    worked = table.take("worked", bool, False)
    if worked and table.has("when"):
        raise table.error("when", "a worked finding is shown when its calculation says so")
    found = FindingEntry(
        key=table.word("key"),
        text=read_text(table, "text", known, "", own=WORKED_FIELDS if worked else ()),
        when=read_condition(table, "when", "", known.conditions),
        source=known.sources[table.word("source", among=known.sources)],
        worked=worked,
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


def _variant(table: Table, known: Vocabulary, spread: str) -> VariantEntry:
    if not table.has("when"):
        raise table.error("when", "is missing; say when these words stand in the place of the others")
    found = VariantEntry(
        when=read_condition(table, "when", spread, known.conditions),
        text=read_text(table, "text", known, spread, optional=True),
        first_line=read_text(table, "first_line", known, spread, optional=True),
    )
    table.done()
    return found


def _witness(table: Table, known: Vocabulary, spread: str, source: Source) -> WitnessEntry:
    found = WitnessEntry(
        key=table.word("key"),
        party=table.word("party", among=WITNESSES),
        text=read_text(table, "text", known, spread),
        source=known.sources[table.word("source", among=known.sources)] if table.has("source") else source,
        notice_days=table.take("notice", int, 2),
    )
    table.done()
    return found


def _gate_condition(table: Table, known: Vocabulary) -> GateConditionEntry:
    found = GateConditionEntry(
        kind=cast(Any, table.word("kind", among=_GATE_CONDITIONS)),
        subject=table.word("subject"),
        when=read_condition(table, "when", "", known.conditions),
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
        lag=read_bound(table, "lag", "day", spread) if table.has("lag") else Bound(0),
        unit=cast(Any, table.word("unit", "working", among=("working", "calendar"))),
        handoff=handoff,
        sees=table.words("sees") if handoff else (),
        note=read_text(table, "note", known, spread, optional=not handoff),
        when=read_condition(table, "when", spread, known.conditions),
        everywhere=table.take("everywhere", bool, False),
    )
    table.done()
    return found


def _check_requirements(table: Table, task: TaskEntry, known: Vocabulary) -> None:
    named = [each.key for each in task.requirements]
    for link in task.links:
        if link.lag.quantity and link.lag.quantity not in known.quantities:
            raise table.error("after", f"there is no quantity {link.lag.quantity!r}")
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
    if found.inspection and not (found.release and found.kind == "document"):
        raise table.error("inspection", "should stand on a document that an authority releases")
    if found.release and found.concede:
        raise table.error("concede", "what only an authority releases has no concession")
    if found.lift_critical and not found.accepts:
        raise table.error("accepts", "is missing; lift-critical work is reviewed by somebody")
    if (found.minus is not None or found.plus is not None) and found.nominal == Bound():
        raise table.error("nominal", "is missing; a tolerance is around something")


def _check_series(table: Table, found: RequirementEntry, known: Vocabulary, spread: str) -> None:
    for text in texts_of(found.series):
        check_fields(table, "series", text, known, spread)
    if found.series and found.unit == "date":
        raise table.error("series", "a series is of figures, not of dates")
    if found.series and found.series.judged in ("difference", "out of plumb") and found.low != Bound():
        raise table.error("low", "a difference has no least value")
