"""What an acceptance inspection and an owner expect at the end, read from ``catalogue/handover.toml``.

Nothing in it makes work: each item says from which requirements, gate or list it is filled, who owes it, and where
the expectation comes from. Whether a job has it is judged above, from what stands.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any, Literal, cast

from coordination.siteprep.catalogue import load_catalogue, named_conditions
from coordination.siteprep.conditions import Condition, Readable, Truth
from coordination.siteprep.entry_fields import Vocabulary, read_condition, read_text
from coordination.siteprep.sources import Source, own_sources, read_sources
from coordination.siteprep.toml_tables import CATALOGUE_FOLDER, CatalogueError, Table, Text, read_toml

ListKind = Literal["", "behind walls", "contacts", "concessions", "reports"]
LISTS: tuple[ListKind, ...] = ("behind walls", "contacts", "concessions", "reports")
FILE = CATALOGUE_FOLDER / "handover.toml"


@dataclass(frozen=True)
class Section:
    """A part of the list: what the inspection expects, what the owner receives, what later work must know."""

    key: str
    text: Text


@dataclass(frozen=True)
class HandoverItem:
    """One thing that is expected. Texts are unfilled: they hold words such as ``{lift}``.

    ``shown_by`` are (task, requirement) of the catalogue, ``*`` for every requirement of the task; ``said`` says what
    a person may write of it, ``day`` which day goes with it. ``otherwise`` says why it is not needed where ``when``
    is false. ``owes`` is the trade that provides it.
    """

    key: str
    section: str
    text: Text
    source: Source
    owes: str
    shown_by: tuple[tuple[str, str], ...] = ()
    said: Text = field(default_factory=dict)
    day: Text = field(default_factory=dict)
    list: ListKind = ""
    when: Condition | None = None
    otherwise: Text = field(default_factory=dict)

    def needed(self, facts: Readable) -> Truth:
        """Whether it is needed on a job with ``facts``: unknown while a fact is."""
        return self.when.truth(facts) if self.when else Truth(True)


@dataclass(frozen=True)
class HandoverList:
    """All sections and items, in the order of the file."""

    sections: tuple[Section, ...]
    items: tuple[HandoverItem, ...]

    def item(self, key: str) -> HandoverItem:
        """Raises KeyError."""
        for item in self.items:
            if item.key == key:
                return item
        raise KeyError(key)

    def of(self, section: Section) -> tuple[HandoverItem, ...]:
        return tuple(item for item in self.items if item.section == section.key)


@lru_cache(maxsize=1)
def handover_list() -> HandoverList:
    """The list this program carries. Raises CatalogueError."""
    return read_handover_list(FILE)


def read_handover_list(path: Path) -> HandoverList:
    """A list from a file. Raises CatalogueError, which names file, entry and key."""
    content = read_toml(path)
    catalogue, named = load_catalogue(), named_conditions()
    sources = {**own_sources(), **read_sources(path.name, content.get("source", {}))}
    known = Vocabulary(
        sources, catalogue.packages, catalogue.trades, catalogue.cautions, catalogue.quantities, named
    )
    sections = tuple(_section(path.name, table, known) for table in content.get("section", []))
    keys = frozenset(section.key for section in sections)
    asked = {
        entry: frozenset(need.key for need in task.requirements) for entry, task in catalogue.tasks.items()
    }
    items = tuple(_item(path.name, table, known, keys, asked) for table in content.get("item", []))
    for double in sorted(item.key for item in items if [each.key for each in items].count(item.key) > 1):
        raise CatalogueError(path.name, f"item {double}", "key", "is there twice")
    return HandoverList(sections, items)


def _section(file: str, content: Mapping[str, Any], known: Vocabulary) -> Section:
    table = Table(file, f"section {content.get('key', '?')}", content)
    found = Section(table.word("key"), read_text(table, "text", known, ""))
    table.done()
    return found


def _item(
    file: str,
    content: Mapping[str, Any],
    known: Vocabulary,
    sections: frozenset[str],
    asked: Mapping[str, frozenset[str]],
) -> HandoverItem:
    table = Table(file, f"item {content.get('key', '?')}", content)
    found = HandoverItem(
        key=table.word("key"),
        section=table.word("section", among=sorted(sections)),
        text=read_text(table, "text", known, ""),
        source=known.sources[table.word("source", among=list(known.sources))],
        owes=table.word("owes", among=list(known.trades)),
        shown_by=tuple(_shown_by(table, word, asked) for word in table.words("shown_by")),
        said=read_text(table, "said", known, "", optional=True),
        day=read_text(table, "day", known, "", optional=True),
        list=cast(ListKind, table.word("list", "", among=("", *LISTS))),
        when=read_condition(table, "when", "", known.conditions) if table.has("when") else None,
        otherwise=read_text(table, "otherwise", known, "", optional=True),
    )
    if not (found.shown_by or found.said or found.list):
        raise table.error("shown_by", "is missing: nothing would ever fill this item")
    if bool(found.when) != bool(found.otherwise):
        raise table.error("otherwise", "and `when` go together")
    table.done()
    return found


def _shown_by(table: Table, word: str, asked: Mapping[str, frozenset[str]]) -> tuple[str, str]:
    """``task#requirement``, both in the catalogue."""
    entry, _, need = word.partition("#")
    if entry not in asked or (need != "*" and need not in asked[entry]):
        raise table.error("shown_by", f"{word!r} is no requirement of the catalogue")
    return entry, need
