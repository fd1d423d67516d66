"""What was pasted from a spreadsheet, laid into the grid of a series: header row and column in any order, or none."""

import csv
import io
import re
import unicodedata
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from coordination.access.refusals import Reason
from coordination.evidence.refusals import NotAReading
from coordination.evidence.series import CellFault, TypedCell, read_moment
from coordination.siteprep.series import Mark, Series

MOST_LETTERS = 100_000
_NOT_A_NAME = re.compile(r"[\W_]+")
# Before what a spreadsheet would take for a formula, ours and others' exports put an apostrophe.
_APOSTROPHE = re.compile(r"^'(?=[-+=@])")

_READING = re.compile(r"[-−+=]?\s*[\d.,½¼¾⅛⅜⅝⅞]|$")
_DECIMAL = re.compile(r"\s*-?\d+,\d")

Lines = list[list[str]]
Names = Mapping[str, int]


@dataclass(frozen=True)
class Pasted:
    """``cells`` fill the grid; ``faults`` are the cells and lines that have no place in it."""

    cells: tuple[TypedCell, ...]
    faults: tuple[CellFault, ...]


def read_pasted(series: Series, text: str) -> Pasted:
    """Lay pasted text into the grid.

    Tabs, semicolons or commas part the cells. Rows and columns are found by their names in any language of the series,
    in any order, also the other way round; without names they are taken in the order of the grid.
    """
    lines = _lines(text, series)
    if not lines:
        return Pasted((), ())
    if series.by_day:
        return _by_day(series, lines)
    rows, columns = _names(series.rows), _names(series.columns)
    turned = [list(line) for line in zip(*_even(lines), strict=True)]
    if _fits(turned, rows, columns) > _fits(lines, rows, columns):
        lines = turned
    return _laid(series, lines, rows, columns)


def _lines(text: str, series: Series) -> Lines:
    """The lines that hold something; a formula's apostrophe is taken off."""
    written = text.replace("\ufeff", "")[:MOST_LETTERS].strip("\n\r")
    found = csv.reader(io.StringIO(written, newline=""), delimiter=_between(written, series))
    cells = [[_APOSTROPHE.sub("", cell.strip()) for cell in line] for line in found]
    return [line for line in cells if any(line)]


def _between(text: str, series: Series) -> str:
    """What parts the cells: tabs or semicolons; a comma only where every line has as many as the grid would give it."""
    if "\t" in text or ";" in text:
        return "\t" if "\t" in text else ";"
    lines = [line for line in text.splitlines() if line.strip()]
    counts = {line.count(",") for line in lines}
    wide, high = len(series.columns), len(series.rows)
    likely = {wide, wide + 1} if series.by_day else {wide - 1, wide, high - 1, high}
    if len(counts) != 1 or not counts <= likely - {0, -1}:
        return "\t"
    decimal = counts == {1} and all(_DECIMAL.match(line) for line in lines)
    return "\t" if decimal and 2 not in {wide, high} else ","


def _even(lines: Lines) -> Lines:
    longest = max(map(len, lines))
    return [line + [""] * (longest - len(line)) for line in lines]


def _names(marks: Sequence[Mark]) -> Names:
    """Every way to name a row or column: its key and its words in each language."""
    return {
        _name(words): number for number, mark in enumerate(marks) for words in (mark.key, *mark.text.values())
    }


def _name(words: str) -> str:
    plain = "".join(
        letter for letter in unicodedata.normalize("NFKD", words) if not unicodedata.combining(letter)
    )
    return _NOT_A_NAME.sub(" ", plain.casefold()).strip()


def _fits(lines: Lines, rows: Names, columns: Names) -> int:
    """How many names stand where they would be read."""
    return sum(_name(cell) in columns for cell in lines[0]) + sum(_name(line[0]) in rows for line in lines)


def _laid(series: Series, lines: Lines, rows: Names, columns: Names) -> Pasted:
    header = lines[0] if any(_name(cell) in columns for cell in lines[0]) else None
    body = lines[1:] if header else lines
    named = any(_name(line[0]) in rows for line in body) or not any(_READING.match(line[0]) for line in body)
    cells: list[TypedCell] = []
    faults: list[CellFault] = []
    places = _places(series, header, named=named, wide=max(map(len, body), default=0))
    for number, line in enumerate(body):
        row = rows.get(_name(line[0])) if named else number
        if row is None or row >= len(series.rows):
            faults.append(_unknown(line, "no such row" if named else "too many rows", number + 1))
            continue
        for cell, column in _with_columns(line[1:] if named else line, places):
            if column is None:
                faults.append(
                    CellFault(series.rows[row].key, "", cell, Reason("no such column", {"typed": cell}), cell)
                )
            else:
                cells.append(TypedCell(series.rows[row].key, series.columns[column].key, cell))
    return Pasted(tuple(cells), tuple(faults))


def _places(series: Series, header: list[str] | None, *, named: bool, wide: int) -> list[int | None]:
    """For each pasted column of readings, which one of the grid it is."""
    if header is None:
        return [number if number < len(series.columns) else None for number in range(wide)]
    names = _names(series.columns)
    first = 1 if named and (len(header) == wide) else 0
    return [names.get(_name(cell)) for cell in header[first:]]


def _with_columns(line: Sequence[str], places: Sequence[int | None]) -> Iterator[tuple[str, int | None]]:
    for number, cell in enumerate(line):
        if cell:
            yield cell, places[number] if number < len(places) else None


def _unknown(line: Sequence[str], key: str, number: int) -> CellFault:
    return CellFault("", "", line[0], Reason(key, {"typed": line[0], "line": number}), "\t".join(line))


def _by_day(series: Series, lines: Lines) -> Pasted:
    """Each line begins with its day, and perhaps its hour in a cell of its own."""
    names = _names(series.columns)
    header = lines[0] if _is_header(lines[0], names) else None
    cells: list[TypedCell] = []
    faults: list[CellFault] = []
    for number, line in enumerate(lines[1:] if header else lines):
        moment, rest = _moment_of(line)
        if moment is None:
            faults.append(_unknown(line, "no moment", number + 1))
            continue
        ahead = len(line) - len(rest)
        places = (
            [names.get(_name(cell)) for cell in header[ahead:]]
            if header and any(_name(cell) in names for cell in header)
            else [at if at < len(series.columns) else None for at in range(len(rest))]
        )
        for cell, column in _with_columns(rest, places):
            if column is None:
                faults.append(CellFault(moment, "", cell, Reason("no such column", {"typed": cell}), cell))
            else:
                cells.append(TypedCell(moment, series.columns[column].key, cell))
    return Pasted(tuple(cells), tuple(faults))


def _is_header(line: Sequence[str], names: Names) -> bool:
    return any(_name(cell) in names for cell in line) or not any(map(str.isdigit, "".join(line)))


def _moment_of(line: Sequence[str]) -> tuple[str | None, Sequence[str]]:
    """The moment at the beginning of a line, and the cells after it."""
    for taken in (2, 1):
        try:
            if len(line) > taken or taken == 1:
                return read_moment(" ".join(line[:taken])), line[taken:]
        except NotAReading:
            continue
    return None, line


def filled(
    typed: Sequence[TypedCell], pasted: Sequence[TypedCell], rows: Sequence[str] = ()
) -> list[TypedCell]:
    """The grid with the pasted cells laid over it; a cell that was typed otherwise gives way to the pasted one."""
    found = {(cell.row, cell.column): cell for cell in (*typed, *pasted)}
    order = {row: number for number, row in enumerate(rows)}
    return sorted(found.values(), key=lambda cell: order.get(cell.row, len(order)))
