"""A series of readings as it was typed: every cell read and judged, what is not there named.

Lengths are whole nanometres; every other value is a number in the unit that the requirement names.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import Any

from coordination.access.refusals import Reason, Refusal
from coordination.dates.typed_days import UnclearDay, read_day
from coordination.evidence.readings import Number, read, within
from coordination.evidence.refusals import NotAReading
from coordination.siteprep.lengths import UnitSystem
from coordination.siteprep.series import Cell, Series, figure, outside, series_from

MOST_DAYS = 200
MOST_TYPED = 80


@dataclass(frozen=True)
class TypedCell:
    """What stands in one cell, as it was typed. A row of a series by day is named by its day and hour as typed."""

    row: str
    column: str
    typed: str


@dataclass(frozen=True)
class CellFault:
    """A cell that cannot be read: which one, what stands in it, and why. ``column`` is empty for a row's own day.

    ``line`` is the pasted line that has no place in the grid, where it is one.
    """

    row: str
    column: str
    typed: str
    reason: Reason
    line: str = ""


class CellsNotRead(Refusal):
    """Cells of a series that cannot be read: ``faults`` names each; ``reasons`` are theirs, in the same order."""

    def __init__(self, series: Series, faults: Sequence[CellFault]) -> None:
        super().__init__(*(fault.reason for fault in faults))
        self.series, self.faults = series, tuple(faults)


@dataclass(frozen=True)
class ReadCell:
    """One reading. ``inside`` is None where nothing is asked but the value."""

    row: str
    column: str
    typed: str
    value: Number
    inside: bool | None


@dataclass(frozen=True)
class ReadSeries:
    """Everything that was read. ``rows`` are in order; those of a series by day are moments like 2026-03-02T07:00."""

    series: Series
    terms: Mapping[str, Any]
    rows: tuple[str, ...]
    cells: tuple[ReadCell, ...]
    missing: tuple[Cell, ...]
    faults: tuple[CellFault, ...]

    @cached_property
    def figure(self) -> Number | None:
        """The one figure that is judged; None for ``each``, or where nothing was read."""
        return figure(self.series.judged, self.values)

    @property
    def values(self) -> dict[Cell, Number]:
        return {(cell.row, cell.column): cell.value for cell in self.cells}

    @cached_property
    def inside(self) -> bool | None:
        """Whether what was read lies within the limits, as far as it goes; None where nothing is asked."""
        if not self.cells or (self.terms.get("low") is None and self.terms.get("high") is None):
            return None
        if self.figure is not None:
            return within(self.terms, self.figure)
        return all(cell.inside for cell in self.cells)

    @property
    def in_tolerance(self) -> bool | None:
        """What counts: a series with a reading missing is never inside."""
        return False if self.missing else self.inside

    def as_value(self) -> dict[str, Any]:
        """How it is kept: every cell as typed and exactly, the figure that was judged, and what was not read."""
        return {
            "series": self.series.judged,
            "unit": self.terms.get("unit") or "count",
            "rows": list(self.rows),
            "columns": [mark.key for mark in self.series.columns],
            "cells": [vars(cell) for cell in self.cells],
            "figure": self.figure,
            "missing": [list(cell) for cell in self.missing],
        }


def series_of(terms: Mapping[str, Any]) -> Series | None:
    """The grid that a requirement's terms ask for; None where it is a single reading, or none at all."""
    return series_from(terms.get("series"))


def is_series(value: Any) -> bool:
    """Whether the value of a piece of evidence is that of a series."""
    return isinstance(value, dict) and "series" in value


def read_cells(
    terms: Mapping[str, Any], typed: Iterable[TypedCell], system: UnitSystem | None = None
) -> ReadSeries:
    """Read every cell under a requirement's terms. Nothing is raised: what cannot be read is among the faults."""
    series = series_of(terms)
    if series is None:
        raise ValueError("These terms ask for one reading.")
    filled = [cell for cell in typed if cell.typed.strip()]
    named, faults = _rows(series, filled)
    columns = [mark.key for mark in series.columns]
    single = {key: value for key, value in terms.items() if key not in {"series", "low", "high"}}
    values: dict[Cell, tuple[str, Number]] = {}
    for cell in filled:
        row = named.get(cell.row)
        if row is None or cell.column not in columns:
            continue
        try:
            found = read(single, cell.typed[:MOST_TYPED], system).value
        except NotAReading as refusal:
            faults.append(CellFault(cell.row, cell.column, cell.typed, refusal.reasons[0]))  # type: ignore[arg-type]
            continue
        if isinstance(found, int | float):
            values[row, cell.column] = (cell.typed.strip(), found)
    return _judged(series, terms, values, faults)


def _judged(
    series: Series,
    terms: Mapping[str, Any],
    values: Mapping[Cell, tuple[str, Number]],
    faults: Sequence[CellFault],
) -> ReadSeries:
    rows = tuple(mark.key for mark in series.rows) or tuple(sorted({row for row, _ in values}))
    columns = [mark.key for mark in series.columns]
    numbers = {cell: value for cell, (_typed, value) in values.items()}
    low, high = terms.get("low"), terms.get("high")
    wrong = outside(series.judged, numbers, low, high)
    asked = low is not None or high is not None
    order = [(row, column) for row in rows for column in columns]
    cells = tuple(
        ReadCell(*cell, values[cell][0], values[cell][1], cell not in wrong if asked else None)
        for cell in order
        if cell in values
    )
    return ReadSeries(series, terms, rows, cells, tuple(c for c in order if c not in values), tuple(faults))


def _rows(series: Series, filled: Sequence[TypedCell]) -> tuple[dict[str, str], list[CellFault]]:
    """By what stands in the cells, the key of each row; and the rows whose day cannot be read."""
    if not series.by_day:
        return {mark.key: mark.key for mark in series.rows}, []
    named: dict[str, str] = {}
    faults: list[CellFault] = []
    for typed in dict.fromkeys(cell.row for cell in filled):
        try:
            named[typed] = read_moment(typed)
        except NotAReading as refusal:
            faults.append(CellFault(typed, "", typed, refusal.reasons[0]))  # type: ignore[arg-type]
    if len(named) > MOST_DAYS:
        faults.append(CellFault("", "", str(len(named)), Reason("too many days", {"most": MOST_DAYS})))
    seen: dict[str, str] = {}
    for typed, key in list(named.items()):
        if key in seen:
            faults.append(CellFault(typed, "", typed, Reason("the same moment twice", {"typed": typed})))
        seen[key] = typed
    return named, faults


def read_moment(typed: str) -> str:
    """A day and hour, as 2026-03-02T07:00; without an hour it counts as noon. Raises NotAReading."""
    words = " ".join(typed.replace("T", " ").split())
    day, _space, hour = words.rpartition(" ")
    clock = _clock(hour) if day else None
    if clock is None and day and hour.lower().rstrip(".") in {"am", "pm", "a.m", "p.m"}:
        day, _space, number = day.rpartition(" ")
        clock = _clock(f"{number} {hour}")
    try:
        found = read_day(day if clock else words)
    except UnclearDay as unclear:
        either = unclear.reason.key == "could be two days"
        told = {**unclear.reason.args, "typed": typed}
        raise NotAReading(Reason("one of two days" if either else "no moment", told)) from unclear
    return f"{found.isoformat()}T{clock or '12:00'}"


def _clock(typed: str) -> str | None:
    """An hour as 07:00, from 7:00, 07:00:30, 7:00 am or 7am; None where it is none."""
    words = typed.lower().replace(".", "").replace(" ", "")
    for form in ("%H:%M", "%H:%M:%S", "%I:%M%p", "%I%p"):
        try:
            return datetime.strptime(words, form).strftime("%H:%M")  # noqa: DTZ007 - an hour, no moment
        except ValueError:
            continue
    return None


def kept_cells(value: Mapping[str, Any]) -> list[TypedCell]:
    """The cells of a series that was handed in, as they were typed."""
    return [TypedCell(cell["row"], cell["column"], cell["typed"]) for cell in value["cells"]]
