"""The contractor's own days as a table that spreadsheets open (comma-separated values), read as they save it."""

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from coordination.access.refusals import Reason, Refusal
from coordination.dates.typed_days import UnclearDay, read_day

COLUMNS: Final = (
    "kind", "key", "name", "place", "trade", "company", "first day", "last day",
    "done by", "not before", "working days",
)  # fmt: skip
DAYS: Final = {"done by": "done_by", "not before": "not_before"}
WISHES: Final = {**DAYS, "working days": "own_duration"}
MOST_BYTES: Final = 1_000_000
MOST_LINES: Final = 5_000
MOST_REASONS: Final = 60
RISKY: Final = ("=", "+", "-", "@", "\t", "\r")
MARK: Final = "\ufeff"


class FileRefused(Refusal):
    """A file of days that cannot be taken; each Reason names line and column and says what would be right.

    ``rows`` are the lines that could be read, so that what is wrong with those can be told at the same time.
    """

    rows: "tuple[StatedRow, ...]" = ()


@dataclass(frozen=True)
class StatedRow:
    """What one line says of a package, task or gate; a wish whose column is not in the file is not in ``wishes``."""

    line: int
    kind: str
    key: str
    wishes: Mapping[str, Any]


def write_days(rows: Iterable[Sequence[Any]]) -> bytes:
    """The table with its headings: UTF-8 with its mark, so that spreadsheets know it; lines end in CR LF.

    A cell that a spreadsheet would take for a formula begins with an apostrophe (so does reading take it away).
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    writer.writerows([_cell(value) for value in row] for row in rows)
    return (MARK + text.getvalue()).encode()


def read_days(content: bytes) -> list[StatedRow]:
    """The lines that say something. Raises FileRefused with everything that is wrong."""
    lines = _lines(_text(content))
    if not lines:
        raise FileRefused(Reason("file without lines"))
    heading, reasons = _heading(lines[0][1])
    if reasons:
        raise FileRefused(*reasons)
    found, wrong = [], list[Reason]()
    for number, cells in lines[1:]:
        row = _row(number, dict(zip(heading, cells, strict=False)), wrong)
        wrong += _left_over(number, heading, cells)
        if row is not None:
            found.append(row)
    wrong += _twice(found)
    if wrong:
        refusal = FileRefused(*wrong)
        refusal.rows = tuple(found)
        raise refusal
    return found


def _cell(value: Any) -> str:
    text = "" if value is None else value.isoformat() if isinstance(value, date) else str(value)
    return f"'{text}" if text.startswith(RISKY) else text


def _bare(cell: str) -> str:
    text = cell.strip()
    return text[1:] if text[:1] == "'" and text[1:].startswith(RISKY) else text


def _text(content: bytes) -> str:
    if len(content) > MOST_BYTES:
        raise FileRefused(Reason("file too large", {"most": MOST_BYTES // 1000}))
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        encoding = "utf-16"
    elif content[:4] == b"PK\x03\x04" or b"\0" in content:
        raise FileRefused(Reason("file is no table of text"))
    else:
        encoding = "utf-8-sig"
    try:
        return content.decode(encoding)
    except UnicodeDecodeError:
        return content.decode("cp1252", errors="replace")


def _lines(text: str) -> list[tuple[int, list[str]]]:
    """Each line that is not empty, with its number as an editor counts it."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    first, _, rest = text.partition("\n")
    told = first.strip().strip('"').lower()
    named = told[4:5] if told.startswith("sep=") else ""
    skipped, body = (1, rest) if named else (0, text)
    reader = csv.reader(io.StringIO(body, newline=""), delimiter=named or _delimiter(body), strict=True)
    found, number = list[tuple[int, list[str]]](), skipped + 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                found.append((number, cells))
            number = skipped + reader.line_num + 1
            if len(found) > MOST_LINES:
                raise FileRefused(Reason("too many lines", {"most": MOST_LINES}))
    except csv.Error:
        raise FileRefused(Reason("line cannot be read", {"line": number})) from None
    return found


def _delimiter(text: str) -> str:
    """What parts the headings: the sign that occurs most in the first line that is not empty."""
    first = next((line for line in text.split("\n") if line.strip()), "")
    return max(",;\t", key=first.count)


def _heading(cells: Sequence[str]) -> tuple[list[str], list[Reason]]:
    heading = [" ".join(_bare(cell).lower().replace("_", " ").split()) for cell in cells]
    twice = sorted({name for name in heading if name and heading.count(name) > 1 and name in COLUMNS})
    reasons = [Reason("column twice", {"column": name}) for name in twice]
    if "key" not in heading:
        reasons.append(Reason("column missing", {"column": "key", "columns": ", ".join(COLUMNS)}))
    if not any(name in heading for name in WISHES):
        reasons.append(Reason("no column of days", {"columns": ", ".join(WISHES)}))
    return heading, reasons


def _row(number: int, cells: Mapping[str, str], wrong: list[Reason]) -> StatedRow | None:
    key, kind = _bare(cells.get("key", "")), _bare(cells.get("kind", "")).lower()
    if not key:
        wrong.append(Reason("line without a key", {"line": number, "column": "key"}))
        return None
    wishes: dict[str, Any] = {}
    for column in WISHES:
        if column in cells:
            try:
                wishes[WISHES[column]] = _wish(column, _bare(cells[column]))
            except UnclearDay as fault:
                told = {"line": number, "column": column, **fault.reason.args}
                wrong.append(Reason(fault.reason.key, told))
    return StatedRow(number, kind, key, wishes)


def _wish(column: str, text: str) -> Any:
    if not text:
        return None
    if column in DAYS:
        return read_day(text)
    whole, dot, rest = text.replace(",", ".").partition(".")
    if not whole.isascii() or not whole.isdigit() or (dot and rest.strip("0")) or len(whole) > 4:
        raise UnclearDay(Reason("no whole number of days", {"typed": text}))
    return int(whole)


def _left_over(number: int, heading: Sequence[str], cells: Sequence[str]) -> Iterator[Reason]:
    """Cells after the last heading: most often a comma inside a name that was not quoted."""
    if any(cell.strip() for cell in cells[len(heading) :]):
        yield Reason("more cells than columns", {"line": number, "columns": len(heading)})


def _twice(rows: Iterable[StatedRow]) -> Iterator[Reason]:
    first: dict[str, int] = {}
    for row in rows:
        if row.key in first:
            told = {"line": row.line, "column": "key", "typed": row.key, "other": first[row.key]}
            yield Reason("key twice", told)
        first.setdefault(row.key, row.line)


def most_of(reasons: Iterable[Reason]) -> list[Reason]:
    """By line, and no more than a person can read."""
    ordered = sorted(reasons, key=lambda reason: int(reason.args.get("line", 0)))
    if len(ordered) <= MOST_REASONS:
        return ordered
    return [*ordered[:MOST_REASONS], Reason("and more", {"number": len(ordered) - MOST_REASONS})]
