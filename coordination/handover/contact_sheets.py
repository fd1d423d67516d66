"""Contact sheets: all evidence of one place or one task, photos, readings and documents, and what was let go there."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.gates.sentences import trade_words
from coordination.handover.evidence_lines import Entry, Shot, designs, entry, shot
from coordination.handover.let_go import LetGo, at_place, let_go, of_tasks
from coordination.handover.marked import marked_photos
from coordination.handover.reading import Reader, Snapshot
from coordination.handover.sheet_paper import (
    copies_of,
    head_of,
    photo_name,
    reader_of,
    sheet_order,
    stood_at,
)
from coordination.handover.whole import Whole
from coordination.paper import Order

PER_ROW = 3
# What a photo has on paper, in millimetres: as in sheets.css.
BOX = (56.0, 38.0)


@dataclass(frozen=True)
class SheetWork:
    """One task of the sheet."""

    key: str
    name: str
    place: str
    who: str
    shots: tuple[Shot, ...]
    entries: tuple[Entry, ...]
    not_handed_in: tuple[str, ...]


@dataclass(frozen=True)
class ContactSheet:
    """The evidence of a place or of a task."""

    title: str
    place: str
    works: tuple[SheetWork, ...]
    let_go: tuple[LetGo, ...] = ()

    @property
    def shots(self) -> list[Shot]:
        """Every photo, numbered through."""
        return [shot for work in self.works for shot in work.shots]

    @property
    def rows(self) -> list[list[Shot]]:
        """Photos as they stand side by side on paper."""
        shots = self.shots
        return [shots[place : place + PER_ROW] for place in range(0, len(shots), PER_ROW)]

    @property
    def has_entries(self) -> bool:
        return any(work.entries for work in self.works)

    @property
    def lacking(self) -> list[tuple[str, tuple[str, ...]]]:
        """By task, what was asked for and has not been handed in."""
        return [(work.name, work.not_handed_in) for work in self.works if work.not_handed_in]

    @property
    def in_short(self) -> str:
        entries, shots = sum(len(work.entries) for work in self.works), len(self.shots)
        photos = ngettext("%(n)d photo", "%(n)d photos", shots) % {"n": shots}
        others = ngettext(
            "%(n)d reading, document or signature", "%(n)d readings, documents and signatures", entries
        ) % {"n": entries}
        return f"{photos}; {others}"


def sheet_of_place(whole: Whole, reader: Reader, place: str) -> ContactSheet | None:
    """All evidence of a place; None where the plan has no such place."""
    name = place_name(whole, reader, place)
    tasks = [task for task in whole["tasks"] if task["place"] == place]
    granted = let_go(whole, reader, about=at_place(whole, place))
    return replace(_sheet(name, name, tasks, whole, reader), let_go=tuple(granted)) if name else None


def sheet_of_task(whole: Whole, reader: Reader, key: str) -> ContactSheet | None:
    """All evidence of a task; None where the plan has no such task."""
    tasks = [task for task in whole["tasks"] if task["key"] == key]
    if not tasks:
        return None
    name = capfirst(reader.text(tasks[0]["text"]))
    sheet = _sheet(name, place_name(whole, reader, tasks[0]["place"]), tasks, whole, reader)
    return replace(sheet, let_go=tuple(let_go(whole, reader, about=of_tasks({key}))))


def places_with_evidence(whole: Whole) -> list[str]:
    """Keys of the places for which anything was handed in, in the order of the plan."""
    shown = {
        task["place"]
        for task in whole["tasks"]
        if any(need["evidence"] or need["earlier"] for need in task["requirements"])
    }
    return [place["key"] for place in whole["places"] if place["key"] in shown]


def place_name(whole: Whole, reader: Reader, key: str) -> str:
    return next(
        (capfirst(reader.text(place["text"])) for place in whole["places"] if place["key"] == key), ""
    )


def contact_sheet_order(whole: Whole, sheet: ContactSheet, *, language: str, paper: str) -> Order:
    """The sheet as a paper. Whoever calls speaks the language and the words of the site."""
    reader = reader_of(whole, language)
    copies = copies_of(whole, {shot.copy for shot in sheet.shots if shot.copy})
    marked = [shot.item for shot in sheet.shots if photo_name(shot.copy) in copies]
    resources = {**copies, **marked_photos(marked, BOX)}
    title = _("Evidence: %(what)s") % {"what": sheet.title}
    context: dict[str, Any] = {
        "head": head_of(whole, reader, title),
        "sheet": sheet,
        "size": paper,
        "there": set(resources),
    }
    made_at = stood_at(whole)
    return sheet_order(
        "paper/contact_sheet.html", context, resources, title=title, language=language, made_at=made_at
    )


def _sheet(title: str, place: str, tasks: Sequence[Snapshot], whole: Whole, reader: Reader) -> ContactSheet:
    works, number = [], 0
    for task in tasks:
        work = _work(task, whole, reader, number)
        number += len(work.shots)
        if work.shots or work.entries or work.not_handed_in:
            works.append(work)
    return ContactSheet(title, place, tuple(works))


def _work(task: Snapshot, whole: Whole, reader: Reader, before: int) -> SheetWork:
    items = list(_items(task))
    photos = [(need, item) for need, item in items if need["kind"] == "photo"]
    others = [(need, item) for need, item in items if need["kind"] != "photo"]
    return SheetWork(
        key=task["key"],
        name=capfirst(reader.text(task["text"])),
        place=place_name(whole, reader, task["place"]),
        who=", ".join(filter(None, [capfirst(trade_words(task["trade"])), task["company"]])),
        shots=tuple(
            shot(task, need, item, reader, before + n) for n, (need, item) in enumerate(photos, start=1)
        ),
        entries=(*(entry(need, item, reader) for need, item in others), *designs(task, reader)),
        not_handed_in=tuple(
            reader.text(need["text"])
            for need in task["requirements"]
            if not need["evidence"] and need["how"] not in {"conceded", "varied"}
        ),
    )


def _items(task: Snapshot) -> Iterator[tuple[Snapshot, Snapshot]]:
    """Everything that was handed in, what counts first, then what was withdrawn or asked for otherwise."""
    for need in task["requirements"]:
        for item in (*need["evidence"], *need["earlier"]):
            yield need, item
