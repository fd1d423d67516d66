"""Series on file and on the job: reading them from a catalogue entry, and laying out their rows and columns."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from coordination.siteprep.filling import Filling
from coordination.siteprep.placing import landing_text
from coordination.siteprep.series import FEEDS, JUDGED, Mark, Series
from coordination.siteprep.toml_tables import CATALOGUE_FOLDER, LANGUAGES, Table, Text, read_toml

ROWS = ("landings", "pit and landings", "pit and between landings", "days")
COLUMNS = ("plumb lines", "reading")
OF_LANDINGS = frozenset(ROWS) - {"days"}


@dataclass(frozen=True)
class SeriesEntry:
    """A series on file: ``rows`` and ``columns`` are one of the known kinds, or points named by the entry."""

    rows: str | tuple[Mark, ...]
    columns: str | tuple[Mark, ...]
    judged: str
    feeds: str = ""


def read_series(owner: Table, key: str = "series") -> SeriesEntry | None:
    """Take the series of a reading; None where it is a single one. Raises CatalogueError."""
    written = owner.take(key, dict, None)
    if written is None:
        return None
    table = Table(owner.file, f"{owner.entry} {key}", written)
    found = SeriesEntry(
        rows=_side(table, "rows", ROWS),
        columns=_side(table, "columns", COLUMNS) if table.has("columns") else "reading",
        judged=table.word("judged", among=JUDGED),
        feeds=table.word("feeds", "", among=("", *FEEDS)),
    )
    table.done()
    return found


def _side(table: Table, key: str, known: tuple[str, ...]) -> str | tuple[Mark, ...]:
    """One side of the grid: a known kind, or a list of points with their own words."""
    written = table.take(key, (str, list))
    if isinstance(written, str):
        if written not in known:
            raise table.error(key, f"{written!r} is not one of {', '.join(known)}, nor a list of points")
        return written
    marks = tuple(_mark(Table(table.file, f"{table.entry} {key}", each)) for each in written)
    if not marks or len({mark.key for mark in marks}) != len(marks):
        raise table.error(key, "should name at least one point, each once")
    return marks


def _mark(table: Table) -> Mark:
    found = Mark(table.word("key"), table.text("text"))
    table.done()
    return found


def texts_of(entry: SeriesEntry | None) -> Iterable[Text]:
    """Every text that an entry brings along, for whoever checks its fields."""
    sides = (entry.rows, entry.columns) if entry else ()
    return [mark.text for side in sides if not isinstance(side, str) for mark in side]


def series_of(entry: SeriesEntry | None, here: Filling) -> tuple[Series | None, tuple[str, ...]]:
    """The series on this job, and the unknown facts that its rows lean on."""
    if entry is None:
        return None, ()
    of_landings = isinstance(entry.rows, str) and entry.rows in OF_LANDINGS
    open_facts = ("landings",) if of_landings and here.facts.value("landings") is None else ()
    found = Series(_rows(entry, here), _columns(entry, here), entry.judged, entry.feeds, entry.rows == "days")
    return found, open_facts


def _rows(entry: SeriesEntry, here: Filling) -> tuple[Mark, ...]:
    if not isinstance(entry.rows, str):
        return tuple(Mark(mark.key, here.text(mark.text)) for mark in entry.rows)
    if entry.rows == "days":
        return ()
    landings = [
        Mark(f"landing-{landing}", _capital(landing_text(landing, here.facts)))
        for landing in here.facts.landings
    ]
    pit = Mark("pit", dict(_words()["row"]["pit"]))
    if entry.rows == "pit and between landings":
        return (pit, *_between(here))
    return (pit, *landings) if entry.rows == "pit and landings" else tuple(landings)


def _between(here: Filling) -> Iterable[Mark]:
    """The places half-way up from each landing to the next."""
    line = _words()["row"]["between"]
    for lower, upper in zip(here.facts.landings, here.facts.landings[1:], strict=False):
        below, above = (landing_text(each, here.facts) for each in (lower, upper))
        text = {
            language: line[language].replace("{lower}", below[language]).replace("{upper}", above[language])
            for language in LANGUAGES
        }
        yield Mark(f"between-{lower}-{upper}", text)


def _columns(entry: SeriesEntry, here: Filling) -> tuple[Mark, ...]:
    if not isinstance(entry.columns, str):
        return tuple(Mark(mark.key, here.text(mark.text)) for mark in entry.columns)
    if entry.columns == "reading":
        return (Mark("reading", dict(_words()["column"]["reading"])),)
    return tuple(Mark(key, dict(text)) for key, text in _words()["plumb-line"].items())


def _capital(text: Text) -> dict[str, str]:
    return {language: line[:1].upper() + line[1:] for language, line in text.items()}


@lru_cache(maxsize=1)
def _words() -> Mapping[str, Mapping[str, Any]]:
    return read_toml(CATALOGUE_FOLDER / "series.toml")
