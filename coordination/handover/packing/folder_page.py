"""The page that opens a packed folder: plain HTML without script, every link relative, readable on paper too.

What is looked for when something has happened, or a year later, comes first; each photo stands on it once.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from coordination.access.telephones import dialled
from coordination.handover.contact_sheets import place_name
from coordination.handover.final_list import FinalLine, FinalSection, counted, state_words
from coordination.handover.final_words import FinalWords
from coordination.handover.packing.checking_words import COMMANDS, check_steps
from coordination.handover.packing.filing import Filed, handed_in
from coordination.handover.packing.folder_photos import Photos, Shown
from coordination.handover.packing.folder_places import Link, Places, link_to
from coordination.handover.packing.laid import Laid
from coordination.handover.site_drawing import Drawing

STYLE = Path(__file__).with_name("folder.css")
KEYS = "keys"


@dataclass(frozen=True)
class Row:
    """One line of the list with its files."""

    line: FinalLine
    links: tuple[Link, ...]


@dataclass(frozen=True)
class ShutOff:
    """Where to shut off or lock off: the item, the places where it is, its photos, and what else shows it."""

    line: FinalLine
    where: str
    photos: tuple[Shown, ...]
    links: tuple[Link, ...]


def page_of(
    words: FinalWords, laid: Laid, files: Sequence[Filed], drawing: Drawing | None, *, originals: bool
) -> dict[str, Any]:
    """The context of the index page, in the order of the page: photos are numbered on the way."""
    project, photos = words.whole["project"], Photos(laid)
    return {
        "language": words.reader.language[:2],
        "project": project,
        "as_of": words.reader.moment(words.whole["as_of"]["at"]),
        "plan": words.whole["plan"],
        "final": words,
        "shut_offs": [_shut_off(line, words, laid, photos) for line in words.shut_offs],
        "keys": KEYS,
        "contacts": [(each, dialled(each.phone) if each.phone else "") for each in words.contacts],
        "places": Places(words, laid, photos).of(files),
        "let_go": [(each, link_to(each.variance, each.scan, laid)) for each in words.let_go],
        "reports": [(each, laid.reports.get(each["code"], "")) for each in words.reports],
        "sections": [_section(section, laid) for section in words.sections],
        "missing": words.missing,
        "final_pdf": laid.final,
        "drawing": drawing,
        "drawing_href": laid.drawing,
        "lacking": laid.lacking,
        "commands": COMMANDS,
        "steps": check_steps(words.whole, words.reader, originals=originals),
        "originals": originals,
    }


def _section(section: FinalSection, laid: Laid) -> tuple[FinalSection, str, list[Row]]:
    """A part of the list, how its lines stand in numbers, and the lines."""
    counts = " · ".join(
        f"{number} {state_words(state)}" for state, number in counted([section]).items() if number
    )
    return section, counts, [_row(line, laid) for line in section.lines]


def _row(line: FinalLine, laid: Laid) -> Row:
    return Row(line, tuple(link_to(proof.words, proof.sha256, laid) for proof in line.proofs))


def _shut_off(line: FinalLine, words: FinalWords, laid: Laid, photos: Photos) -> ShutOff:
    shown = tuple(photos.of_line(line))
    links = tuple(
        link_to(proof.words, proof.sha256, laid)
        for proof in line.proofs
        if not (proof.is_picture and proof.sha256 in laid.copies)
    )
    return ShutOff(line, _where(line, words), shown, links)


def _where(line: FinalLine, words: FinalWords) -> str:
    """The names of the places where what shows an item was handed in."""
    uids = {proof.item["uid"] for proof in line.proofs if proof.item}
    keys = [each.place for each in handed_in(words.whole, words.reader) if each.item.get("uid") in uids]
    names = (place_name(words.whole, words.reader, key) for key in dict.fromkeys(keys))
    return ", ".join(filter(None, names))
