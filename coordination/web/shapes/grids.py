"""The grid of a series: what stands in each cell of a form, and what was handed in as a table."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from coordination.evidence import readings
from coordination.evidence.refusals import NotAReading
from coordination.evidence.series import ReadSeries, TypedCell, read_moment, series_of
from coordination.siteprep.lengths import UnitSystem
from coordination.siteprep.series import Series
from coordination.web.shapes.series_words import column_words, row_words
from coordination.web.texts import said

DAYS_AT_FIRST = 4
MORE_DAYS = 2


@dataclass(frozen=True)
class GridCell:
    """One field. ``inside`` is None where nothing stands in it that could be judged."""

    name: str
    id: str
    row: str
    column: str
    value: str
    inside: bool | None
    wrong: bool


@dataclass(frozen=True)
class GridRow:
    """A level, a point, a bond; or a day with a field for its moment (``when_name``)."""

    label: str
    cells: tuple[GridCell, ...]
    when_name: str = ""
    when_id: str = ""
    when: str = ""
    wrong: bool = False


@dataclass(frozen=True)
class Grid:
    """For tasks/grid.html. ``corner`` heads the column of rows, ``unit`` is that of a bare number."""

    columns: tuple[str, ...]
    rows: tuple[GridRow, ...]
    single: bool
    by_day: bool
    corner: str
    unit: str


def grid_of(
    series: Series, uid: object, typed: Sequence[TypedCell], found: ReadSeries | None, unit: str
) -> Grid:
    """The fields for what is typed so far; ``found`` is what was read of it, where it was read."""
    inside = {(cell.row, cell.column): cell.inside for cell in found.cells} if found else {}
    wrong = {(fault.row, fault.column) for fault in found.faults} if found else set()
    here = _Laying(
        series, f"need-{uid}", {(cell.row, cell.column): cell.typed for cell in typed}, inside, wrong
    )
    rows = here.days(typed) if series.by_day else [here.row(mark.key) for mark in series.rows]
    return Grid(
        columns=tuple(said(mark.text) for mark in series.columns),
        rows=tuple(rows),
        single=len(series.columns) == 1,
        by_day=series.by_day,
        corner=_("Day and hour") if series.by_day else _("Where"),
        unit=unit,
    )


@dataclass(frozen=True)
class _Laying:
    series: Series
    prefix: str
    typed: Mapping[tuple[str, str], str]
    inside: Mapping[tuple[str, str], bool | None]
    wrong: set[tuple[str, str]]

    def row(self, key: str) -> GridRow:
        label = row_words(self.series, key)
        return GridRow(label, tuple(self._cells(key, key, label, key)))

    def days(self, typed: Iterable[TypedCell]) -> list[GridRow]:
        """A row for each day that stands there, and some empty ones."""
        days = list(dict.fromkeys(cell.row for cell in typed))
        days += [""] * max(DAYS_AT_FIRST - len(days), MORE_DAYS)
        return [self._day(number, day) for number, day in enumerate(days)]

    def _day(self, number: int, typed: str) -> GridRow:
        key = moment_or_text(typed)
        label = _("row %(number)s") % {"number": number + 1}
        return GridRow(
            label,
            tuple(self._cells(str(number), key, row_words(self.series, key) or label, typed)),
            when_name=f"when:{number}",
            when_id=f"{self.prefix}-when-{number}",
            when=key,
            wrong=(typed, "") in self.wrong,
        )

    def _cells(self, name: str, key: str, label: str, typed: str) -> Iterable[GridCell]:
        for mark in self.series.columns:
            column = column_words(self.series, mark.key)
            yield GridCell(
                name=f"cell:{name}:{mark.key}",
                id=f"{self.prefix}-cell-{name}-{mark.key}",
                row=label,
                column=column,
                value=self.typed.get((typed, mark.key), ""),
                inside=self.inside.get((key, mark.key)),
                wrong=(typed, mark.key) in self.wrong,
            )


def moment_or_text(typed: str) -> str:
    """A day and hour as a form's own field takes it; what is none stays as it was typed."""
    try:
        return read_moment(typed) if typed.strip() else ""
    except NotAReading:
        return typed


def typed_cells(series: Series, sent: Mapping[str, Any]) -> tuple[TypedCell, ...]:
    """What stands in the fields of a form that was sent."""
    if not series.by_day:
        keys = [(mark.key, mark.key) for mark in series.rows]
    else:
        numbers = sorted(int(name[5:]) for name in sent if name.startswith("when:") and name[5:].isdecimal())
        keys = [(str(number), str(sent.get(f"when:{number}", "")).strip()) for number in numbers]
    found = [
        TypedCell(row, mark.key, str(sent.get(f"cell:{name}:{mark.key}", "")).strip())
        for name, row in keys
        for mark in series.columns
    ]
    return tuple(cell for cell in found if cell.typed)


def table_of(value: Mapping[str, Any], terms: Mapping[str, Any], system: UnitSystem) -> dict[str, Any]:
    """A series that was handed in, every reading with what is said of it, for components/table.html.

    Turned so that it is rather long than wide: a phone has no room beside.
    """
    series = series_of(terms)
    if series is None:
        raise ValueError("These terms ask for one reading.")
    told = {(cell["row"], cell["column"]): _told(cell, value["unit"], system) for cell in value["cells"]}
    corner = _("Day and hour") if series.by_day else _("Where")
    lines: list[list[Any]] = [[corner, *(said(mark.text) for mark in series.columns)]]
    for row in value["rows"]:
        cells = (told.get((row, mark.key), {"text": _("not read")}) for mark in series.columns)
        lines.append([row_words(series, row), *cells])
    if len(series.columns) > len(value["rows"]) and not series.by_day:
        lines = [list(line) for line in zip(*lines, strict=True)]
    return {"caption": _("Every reading"), "columns": lines[0], "rows": lines[1:]}


def _told(cell: Mapping[str, Any], unit: str, system: UnitSystem) -> dict[str, Any]:
    shown = readings.shown(cell["value"], unit, system)
    typed = f" ({cell['typed']})" if cell["typed"] not in {shown, shown.rpartition(" ")[0]} else ""
    word = {True: _("inside"), False: _("outside"), None: ""}[cell["inside"]]
    return {"text": ", ".join(part for part in (f"{shown}{typed}", word) if part), "figure": True}
