"""The page that opens a packed folder: plain HTML without script, every link relative, readable on paper too."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from coordination.handover.behind_walls import Wall
from coordination.handover.contact_sheets import place_name
from coordination.handover.final_list import FinalLine
from coordination.handover.final_words import FinalWords
from coordination.handover.marked import mark_lines, marks_over, with_marks
from coordination.handover.packing.checking_words import COMMANDS, check_steps
from coordination.handover.packing.filing import LEFT_THE_PLAN, SAID, Filed
from coordination.handover.packing.laid import Laid
from coordination.handover.reading import Snapshot
from coordination.handover.site_drawing import Drawing

STYLE = Path(__file__).with_name("folder.css")


@dataclass(frozen=True)
class Link:
    """A file of the folder; ``href`` is empty where it could not be packed."""

    words: str
    href: str
    picture: str = ""


@dataclass(frozen=True)
class Row:
    """One line of the list with its files."""

    line: FinalLine
    links: tuple[Link, ...]


@dataclass(frozen=True)
class Shown:
    """A photo on the page: its copy, the original behind it where it is part of the folder, and its marks.

    ``over`` is the drawing of the marks, ``marks`` says them in words.
    """

    src: str
    href: str
    what: str
    note: str
    alt: str
    over: SafeString
    marks: tuple[str, ...]
    tall: bool


def _shown(item: Snapshot, laid: Laid, what: str, note: str, where: str) -> Shown:
    """The photo of a piece of evidence; ``where`` on the page it stands, so that no two drawings share an id."""
    rendition, sha = item.get("rendition") or {"width": 0, "height": 0}, item["sha256"] or ""
    return Shown(
        src=laid.copies.get(sha, ""),
        href=laid.originals.get(sha, ""),
        what=what,
        note=note,
        alt=with_marks(what, item),
        over=marks_over(item, f"{where}-{item['uid']}"),
        marks=mark_lines(item),
        tall=rendition["height"] > rendition["width"],
    )


@dataclass(frozen=True)
class PlaceFiles:
    """What the folder holds of one place."""

    name: str
    sheet: str
    files: tuple[Link, ...]


def page_of(
    words: FinalWords, laid: Laid, files: Sequence[Filed], drawing: Drawing | None, *, originals: bool
) -> dict[str, Any]:
    """The context of the index page."""
    project = words.whole["project"]
    return {
        "language": words.reader.language[:2],
        "project": project,
        "as_of": words.reader.moment(words.whole["as_of"]["at"]),
        "plan": words.whole["plan"],
        "final": words,
        "sections": [(section, [_row(line, laid) for line in section.lines]) for section in words.sections],
        "missing": words.missing,
        "shut_offs": [(_row(line, laid), _photos_of(line, laid)) for line in words.shut_offs],
        "walls": [(wall, _photos_behind(wall, laid)) for wall in words.walls],
        "reports": [(each, laid.reports.get(each["code"], "")) for each in words.reports],
        "places": list(_places(words, laid, files)),
        "final_pdf": laid.final,
        "drawing": drawing,
        "drawing_href": laid.drawing,
        "lacking": laid.lacking,
        "commands": COMMANDS,
        "steps": check_steps(words.whole, words.reader),
        "originals": originals,
    }


def _row(line: FinalLine, laid: Laid) -> Row:
    return Row(line, tuple(_link(proof.words, proof.sha256, laid) for proof in line.proofs))


def _link(words: str, sha256: str, laid: Laid) -> Link:
    copy = laid.copies.get(sha256, "")
    return Link(words, laid.originals.get(sha256) or copy, copy)


def _photos_of(line: FinalLine, laid: Laid) -> list[Shown]:
    return [
        _shown(proof.item or {"uid": "", "sha256": proof.sha256}, laid, proof.words, "", line.key)
        for proof in line.proofs
        if proof.is_picture and proof.sha256 in laid.copies
    ]


def _photos_behind(wall: Wall, laid: Laid) -> list[Shown]:
    return [
        _shown(
            photo.item, laid, f"{photo.work}: {photo.what}", f"{photo.taken} · {photo.hidden_by}", wall.place
        )
        for photo in wall.photos
    ]


def _places(words: FinalWords, laid: Laid, files: Sequence[Filed]) -> Iterable[PlaceFiles]:
    by_place: dict[str, list[Filed]] = {}
    for file in files:
        by_place.setdefault(file.handed.place, []).append(file)
    for key, listed in by_place.items():
        name = place_name(words.whole, words.reader, key) or _besides(key)
        links = tuple(
            _link(f"{each.handed.work}: {each.handed.what}", each.handed.sha256, laid) for each in listed
        )
        yield PlaceFiles(name, laid.sheets.get(key, ""), links)


def _besides(key: str) -> str:
    """The parts of a folder that are no place of the building."""
    return {LEFT_THE_PLAN: _("Work that left the plan"), SAID: _("Written down for the list")}.get(key, key)
