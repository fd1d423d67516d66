"""A series of readings in a paper: every reading of one level or point in a line, as it was typed."""

from collections.abc import Mapping, Sequence
from typing import Any

from django.utils.translation import gettext as _

from coordination.handover.reading import Reader


def series_lines(requirement: Mapping[str, Any], item: Mapping[str, Any], reader: Reader) -> tuple[str, ...]:
    """One line a row, with what was not read; none where it is a single reading, or frozen before there were series."""
    value, series = item.get("value"), requirement.get("series")
    if not series or not isinstance(value, Mapping) or "series" not in value:
        return ()
    rows, columns = (_words(series[side], reader) for side in ("rows", "columns"))
    typed = {(cell["row"], cell["column"]): cell["typed"] for cell in value["cells"]}
    return tuple(
        f"{rows.get(row) or _moment(row, reader)}: "
        + ", ".join(_cell(columns, column, typed.get((row, column), "")) for column in value["columns"])
        for row in value["rows"]
    )


def _words(marks: Sequence[Mapping[str, Any]], reader: Reader) -> dict[str, str]:
    return {mark["key"]: reader.text(mark["text"]) for mark in marks}


def _cell(columns: Mapping[str, str], column: str, typed: str) -> str:
    told = typed or _("not read")
    return f"{columns.get(column, column)} {told}" if len(columns) > 1 else told


def _moment(key: str, reader: Reader) -> str:
    """A row of a series by day: its day and hour on the site."""
    day, _t, hour = key.partition("T")
    return f"{reader.day(day)} {hour}".strip()
