"""The result of a calculation as tables: what, value with unit, source and status; and what was found."""

import dataclasses
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Any, get_type_hints

from django.utils.formats import localize
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.gates.sentences import trade_words
from coordination.projects.trade_words import in_words_of
from coordination.siteprep.calculations.alarm import Device
from coordination.siteprep.calculations.backing.cutting import Piece
from coordination.siteprep.calculations.inputs import specs
from coordination.siteprep.calculations.machine_room.geometry import Rectangle, Swing
from coordination.siteprep.calculations.registry import Calculation
from coordination.siteprep.calculations.values import Finding, Nanometres, Value
from coordination.siteprep.lengths import format_length
from coordination.siteprep.sources import Source
from coordination.web.shapes.calculation_fields import choice_words, words_of
from coordination.web.shapes.calculation_result_words import FINDINGS, KEYS, OUTCOMES, RESULTS, UNITS
from coordination.web.shapes.calculation_words import CHOICES
from coordination.web.shapes.needs import source_words
from coordination.web.texts import on_day
from coordination.web.words import DECIDERS

Table = Mapping[str, Any]
MOST_IN_CAPTION = 150
# The mark beside the word; see web.words.LOOKS.
MARKS = {"met": "accepted", "not met": "refused", "warning": "offered", "unknown": "unknown"}
# A value in the unit that people of the US trades read, beside the one it is kept in.
SECOND = {
    "L": ("gal", 1 / 3.785411784, 0.0),
    "L/min": ("gpm", 1 / 3.785411784, 0.0),
    "lx": ("fc", 1 / 10.763910416709722, 0.0),
    "degree C": ("°F", 1.8, 32.0),
    "m/s": ("ft/s", 1 / 0.3048, 0.0),
}


@dataclass(frozen=True)
class Shown:
    """Everything of a result: a sentence on the findings, they, the values, longer tables."""

    summary: str
    findings: Table | None
    values: Table | None
    tables: tuple[Table, ...]

    def every(self) -> tuple[Table, ...]:
        return tuple(table for table in (self.findings, self.values, *self.tables) if table)


class Writer:
    """Writes amounts, keys and sources of one calculation for one reader."""

    def __init__(self, calculation: Calculation, system: str, code_set: str) -> None:
        self.calculation, self.code_set = calculation, code_set
        self.system: Any = "metric" if system == "metric" else "us"
        self.devices: dict[str, str] = {}

    def label(self, path: str) -> str:
        return in_words_of(self.code_set, str(RESULTS[self.calculation.name][path]))

    def key(self, value: str) -> str:
        """A key of the calculation in words; what people typed stays as it is."""
        if value in self.devices:
            return self.devices[value]
        if value in KEYS:
            return in_words_of(self.code_set, str(KEYS[value]))
        return choice_words(value, self.code_set) if value in CHOICES else value

    def length(self, nanometres: int | Fraction) -> str:
        """In the reader's units, with the other ones behind."""
        whole = round(nanometres)
        other: Any = "us" if self.system == "metric" else "metric"
        first = format_length(whole, self.system) if abs(whole) < 10**15 else str(whole)
        if not whole:
            return first
        second = (
            f"{localize(round(whole / 1_000_000, 1))} mm" if other == "metric" else format_length(whole, "us")
        )
        return f"{first} ({second})"

    def short(self, nanometres: int) -> str:
        """In the reader's units only."""
        return format_length(nanometres, self.system)

    def amount(self, amount: Any, unit: str) -> str:
        """An amount with its unit, None in words."""
        if amount is None:
            return _("not known")
        if isinstance(amount, bool):
            return _("yes") if amount else _("no")
        if unit == "date":
            day = amount if isinstance(amount, date) else date.fromisoformat(amount)
            return f"{on_day(day)} {day.year}"
        if isinstance(amount, str):
            return f"{self.key(amount)} {self.unit(unit)}".strip()
        return self.length(amount) if unit == "length" else self._number(amount, unit)

    def _number(self, amount: Any, unit: str) -> str:
        words = f"{number_words(amount)} {self.unit(unit)}".strip()
        if self.system == "us" and unit in SECOND:
            name, factor, offset = SECOND[unit]
            words += f" ({number_words(float(amount) * factor + offset)} {name})"
        return words

    def unit(self, unit: str) -> str:
        return str(UNITS.get(unit, unit))

    def source(self, source: Source) -> str:
        """Document, clause, status, and with whom to confirm it."""
        words = source_words(vars_of(source))
        if not source.confirm_with:
            return words
        told = {"source": words, "whom": confirmed_by(source.confirm_with)}
        return _("%(source)s; confirm with %(whom)s") % told

    def inputs(self, names: Sequence[str]) -> str:
        """Inputs by their labels."""
        return ", ".join(dict.fromkeys(self._input(name) for name in names))

    def _input(self, name: str) -> str:
        try:
            return words_of(self.calculation.name, name, self.code_set)[0]
        except KeyError:
            pass
        found = next((path for path in _paths(self.calculation.inputs) if path.endswith(f".{name}")), "")
        return words_of(self.calculation.name, found, self.code_set)[0] if found else name


def confirmed_by(whom: str) -> str:
    """An authority, a role or a trade with whom something is to be confirmed."""
    if whom == "engineer":
        return _("the engineer")
    return str(DECIDERS[whom]) if whom in DECIDERS else trade_words(whom)


def vars_of(source: Source) -> dict[str, str]:
    return {"document": source.document, "clause": source.clause, "status": source.status}


def number_words(number: Any) -> str:
    """At most four figures that count; whole numbers whole."""
    value = float(number)
    if value == round(value) or abs(value) >= 1000:
        return str(localize(round(value)))
    return str(localize(float(f"{value:.4g}")))


def shown(result: Any, writer: Writer) -> Shown:
    """A result in words."""
    writer.devices = _devices(writer, getattr(result, "devices", ()))
    values: list[list[Any]] = []
    tables: list[Table] = []
    for line in _lines(result, "", writer):
        (tables if isinstance(line, dict) else values).append(line)  # type: ignore[arg-type]
    return Shown(
        summary(result.findings),
        _findings(result.findings, writer),
        {"caption": _("Values"), "columns": [_("what"), _("value"), _("where it comes from")], "rows": values}
        if values
        else None,
        tuple(tables),
    )


def summary(findings: Sequence[Finding]) -> str:
    """How many findings of each outcome, the worst first."""
    counts = Counter(finding.outcome for finding in findings)
    if not findings:
        return _("Nothing was checked against a limit.")
    words = [
        ngettext("%(number)d check: %(outcome)s", "%(number)d checks: %(outcome)s", counts[outcome])
        % {"number": counts[outcome], "outcome": OUTCOMES[outcome]}
        for outcome in OUTCOMES
        if counts[outcome]
    ]
    return ". ".join(words) + "."


def _findings(findings: Sequence[Finding], writer: Writer) -> Table | None:
    order = list(OUTCOMES)
    rows = [_finding(item, writer) for item in sorted(findings, key=lambda item: order.index(item.outcome))]
    columns = [_("what was checked"), _("result"), _("found"), _("against"), _("where it comes from")]
    return {"caption": _("What was checked"), "columns": columns, "rows": rows} if rows else None


def _finding(item: Finding, writer: Writer) -> list[Any]:
    what = in_words_of(writer.code_set, str(FINDINGS[item.key]))
    if item.subject:
        what = f"{what}: {_subject(item, writer)}"
    word = str(OUTCOMES[item.outcome])
    lacks = writer.inputs(item.missing) if any(item.missing) else ""
    if lacks and lacks != what:
        word = _("%(word)s, for lack of: %(inputs)s") % {"word": word, "inputs": lacks}
    limit = "" if item.limit is None or item.limit is True else _limit(item, writer)
    found = "" if item.found is None else writer.amount(item.found, item.unit)
    return [
        what,
        {"text": word, "state": MARKS[item.outcome]},
        {"text": "; ".join(filter(None, [found, _arguments(item, writer)])), "figure": True},
        {"text": limit, "figure": True},
        writer.source(item.source),
    ]


def _limit(item: Finding, writer: Writer) -> str:
    """The limit, with its direction as far as the outcome tells it: what is met and lies below is at most that."""
    words = writer.amount(item.limit, item.unit)
    found, limit = item.found, item.limit
    numbers = not isinstance(found, str | bool | None) and not isinstance(limit, str | bool | None)
    if not numbers or found == limit or item.outcome not in {"met", "not met"}:
        return words
    below = found < limit  # type: ignore[operator]
    if below == (item.outcome == "met"):
        return _("at most %(limit)s") % {"limit": words}
    return _("at least %(limit)s") % {"limit": words}


def _subject(item: Finding, writer: Writer) -> str:
    """The thing it was checked on; of a plan that is not settled, the input it waits for."""
    return writer.inputs([item.subject]) if item.subject in item.missing else writer.key(item.subject)


def _arguments(item: Finding, writer: Writer) -> str:
    return ", ".join(
        _argument(key, value, writer) for key, value in item.arguments.items() if value is not None
    )


def _argument(key: str, value: Any, writer: Writer) -> str:
    if key == "ask":
        return _("ask %(whom)s") % {"whom": confirmed_by(value)}
    if isinstance(value, str):
        return writer.key(value)
    return writer.length(value) if isinstance(value, int) and abs(value) > 100_000 else number_words(value)


def _lines(result: Any, path: str, writer: Writer) -> Iterator[Any]:
    """Rows of the values' table, and tables of what there is several of."""
    hints = get_type_hints(type(result), include_extras=True)
    for item in dataclasses.fields(result):
        value, name = getattr(result, item.name), path + item.name
        if item.name == "findings":
            continue
        if isinstance(value, tuple):
            yield from _of_several(value, name, writer)
        elif dataclasses.is_dataclass(value) and not isinstance(value, Value | Source | Rectangle | Swing):
            for line in _lines(value, f"{name}.", writer):
                yield [f"{writer.label(name)}: {line[0]}", *line[1:]] if isinstance(line, list) else line
        elif value not in (None, ""):
            cell, source = _cell(value, writer, length=hints[item.name] == Nanometres)
            yield [
                writer.label(name),
                {"text": cell, "figure": not isinstance(value, str | Rectangle)},
                source,
            ]


def _of_several(values: Sequence[Any], name: str, writer: Writer) -> Iterator[Any]:
    if not values:
        return
    if all(isinstance(value, str) for value in values):
        words = [_word_or_finding(value, writer) for value in values]
        yield [writer.label(name), {"text": "; ".join(words)}, ""]
    elif isinstance(values[0], tuple):
        for subject, value in values:
            cell, source = _cell(value, writer)
            yield [f"{writer.label(name)}: {writer.key(subject)}", {"text": cell, "figure": True}, source]
    else:
        yield _table(values, name, writer)


def _word_or_finding(value: str, writer: Writer) -> str:
    return in_words_of(writer.code_set, str(FINDINGS[value])) if value in FINDINGS else writer.key(value)


def _table(values: Sequence[Any], name: str, writer: Writer) -> Table:
    """One row for each; the sources of a row stand in its last column."""
    columns = [item.name for item in dataclasses.fields(values[0]) if item.name != "source"]
    hints = get_type_hints(type(values[0]), include_extras=True)
    rows = []
    for value in values:
        cells, sources = [], [getattr(value, "source", None)]
        for column in columns:
            found = getattr(value, column)
            text, _source = _cell(found, writer, length=hints[column] == Nanometres, column=column)
            cells.append({"text": text, "figure": isinstance(found, Value | int)})
            sources.append(found.source if isinstance(found, Value) else None)
        known = dict.fromkeys(writer.source(source) for source in sources if source)
        rows.append([*cells, "; ".join(known)])
    caption, heads = writer.label(name), [writer.label(f"{name}.{column}") for column in columns]
    told = {row[-1] for row in rows}
    if len(told) > 1 or len(rows[0][-1]) > MOST_IN_CAPTION:
        return {"caption": caption, "columns": [*heads, _("where it comes from")], "rows": rows}
    if any(told):
        caption = _("%(what)s. Source: %(source)s") % {"what": caption, "source": told.pop()}
    return {"caption": caption, "columns": heads, "rows": [row[:-1] for row in rows]}


def _cell(value: Any, writer: Writer, *, length: bool = False, column: str = "") -> tuple[str, str]:
    """A value in words, and its source."""
    if isinstance(value, Value):
        return writer.amount(value.amount, value.unit), writer.source(value.source)
    if value in (None, ""):
        return "–", ""
    if isinstance(value, tuple):
        return _several(value, writer, column), ""
    if isinstance(value, Rectangle):
        return _place(value, writer), ""
    if isinstance(value, Swing):
        return _("sweeps %(radius)s") % {"radius": writer.length(value.radius)}, ""
    return writer.key(value) if isinstance(value, str) else writer.amount(
        value, "length" if length else ""
    ), ""


def _several(values: Sequence[Any], writer: Writer, column: str) -> str:
    if values and isinstance(values[0], Piece):
        return "; ".join(_piece(piece, writer) for piece in values)
    return writer.inputs(values) if column == "missing" else ", ".join(writer.key(item) for item in values)


def _place(value: Rectangle, writer: Writer) -> str:
    wide, deep, x, y = (
        writer.short(each) for each in (value.east - value.x, value.north - value.y, value.x, value.y)
    )
    told = {"size": f"{wide} × {deep}", "x": x, "y": y}
    return _("%(size)s, %(x)s from the west wall, %(y)s from the south wall") % told


def _piece(piece: Piece, writer: Writer) -> str:
    told = {
        "line": piece.line,
        "ply": piece.ply,
        "bottom": format_length(piece.bottom, writer.system),
        "top": format_length(piece.top, writer.system),
    }
    return _("backing %(line)s, ply %(ply)s: %(bottom)s to %(top)s") % told


def _devices(writer: Writer, devices: Sequence[Device]) -> dict[str, str]:
    """Devices by their keys, in words: what it is, where."""
    return {device.key: _device(device, writer) for device in devices}


def _device(device: Device, writer: Writer) -> str:
    if device.key in KEYS:
        return writer.key(device.key)
    where = writer.key(device.place) if device.place else ""
    if device.landing and device.place == "lobby":
        where = _("landing %(name)s") % {"name": device.landing}
    name = device.key.removeprefix("heat by ") if device.kind == "heat detector" else ""
    named = f" ({name})" if name and name != "sprinklers" else ""
    return ", ".join(filter(None, [writer.key(device.kind), where])) + named


def _paths(cls: Any, path: str = "") -> Iterator[str]:
    for name, spec, _default in specs(cls):
        yield path + name
        if spec.of is not None:
            yield from _paths(spec.of, f"{path}{name}.")
