"""A gate report composed: HTML and the files it may show, all from one frozen clearing."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings
from django.template.loader import render_to_string
from django.utils import translation

from coordination.gates.models import Clearing
from coordination.handover.codes import check_address, code_from, qr_drawing
from coordination.handover.contents import chapters
from coordination.handover.decided import concession_lines, condition_lines, signature_lines
from coordination.handover.drawn import drawing_section, drawing_words
from coordination.handover.numbered import originals
from coordination.handover.pictured import photos, without_lost_pictures
from coordination.handover.proving import attachments, proof_lines
from coordination.handover.reading import Reader, Snapshot
from coordination.handover.summary import counts, listed, missing_lines, open_lines, sums
from coordination.handover.title_block import head_words, in_rows, long_pairs, revisions, title_block
from coordination.paper.ordering import Attached, Order
from coordination.paper.rendering import render_pdf
from coordination.pictures.hoistway import Appearance, hoistway_section
from coordination.pictures.typeface import wrap
from coordination.projects.trade_words import speaking

Resources = dict[str, bytes | Path]
KIND = "gate report"
STYLESHEET = Path(__file__).resolve().parent / "report.css"
SHOWN_ROUNDS = 3
# Millimetres: what the first sheet holds, what stands there whatever the words are, one line of its lists.
SHEETS, ABOVE, LINE = {"letter": 249.0, "a4": 266.5}, 60.0, 3.95


@dataclass(frozen=True)
class Composed:
    """A paper before it becomes a PDF. ``identifier`` is the PDF's own, the same for the same paper."""

    html: str
    resources: Resources
    title: str
    identifier: bytes
    language: str
    made_at: datetime
    code: str
    attachments: tuple[Attached, ...]

    def render(self) -> bytes:
        """The PDF: the same paper gives the same bytes with the same renderer. Raises PaperError."""
        order = Order(
            self.html,
            self.resources,
            identifier=self.identifier,
            made_at=self.made_at,
            language=self.language,
            title=self.title,
            attachments=self.attachments,
        )
        return render_pdf(order)


def snapshot_of(clearing: Clearing) -> dict[str, Any]:
    """The frozen snapshot, read back."""
    found: dict[str, Any] = json.loads(bytes(clearing.snapshot))
    return found


def code_of(clearing: Clearing, *, kind: str, language: str, paper: str) -> str:
    """The short code of a paper, from what it is made of."""
    return code_from(clearing.sha256, kind, language, paper)


def compose_gate_report(
    clearing: Clearing, *, language: str, paper: str, site: str | None = None
) -> Composed:
    """The report of one clearing. Same clearing, language, paper and site: the same HTML and files.

    ``site`` is the address of the installation, printed as where to check the report; that of the settings when None.
    """
    snapshot = without_lost_pictures(snapshot_of(clearing))
    code = code_of(clearing, kind=KIND, language=language, paper=paper)
    address = check_address(code, settings.SITE_ADDRESS if site is None else site)
    with translation.override(language), speaking(snapshot["project"]["code_set"]):
        reader = Reader(
            language=language,
            units=(snapshot["drawing"] or {}).get("units", "us"),
            zone=ZoneInfo(snapshot["project"]["zone"]),
        )
        head = head_words(snapshot, reader, paper=paper, code=code)
        resources: Resources = {
            "style/report.css": STYLESHEET,
            "style/report_tables.css": STYLESHEET.with_name("report_tables.css"),
            "drawing/check.svg": qr_drawing(address),
            **photos(snapshot),
        }
        section = drawing_section(snapshot, reader)
        if section is not None:
            look = Appearance(variant="page", prefix="paper")
            resources["drawing/section.svg"] = hoistway_section(section, look).encode()
        first = first_page(snapshot, reader, code)
        words = {
            "head": head,
            "address": address,
            "drawing": drawing_words(section, room_for_drawing(first, paper))
            if section is not None
            else None,
            **first,
            **following_pages(snapshot, reader),
            "proof": proof_lines(clearing, snapshot),
        }
        html = render_to_string("paper/gate_report.html", words)
    return Composed(
        html=html,
        resources=resources,
        title=head["title"],
        identifier=hashlib.sha256((clearing.sha256 + code).encode()).digest()[:16],
        language=language,
        made_at=datetime.fromisoformat(snapshot["gate"]["cleared_at"]),
        code=code,
        attachments=attachments(clearing, snapshot, code),
    )


def first_page(snapshot: Snapshot, reader: Reader, code: str) -> dict[str, Any]:
    """What the summary says, and how much room it leaves for the drawing."""
    rounds = revisions(snapshot, reader)
    missing, still = listed(missing_lines(snapshot, reader)), listed(open_lines(snapshot, reader))
    return {
        "block": in_rows(title_block(snapshot, reader, code)),
        "long": long_pairs(snapshot, reader),
        "sums": sums(snapshot),
        "counts": counts(snapshot),
        "missing": missing,
        "still": still,
        "rounds": rounds[:SHOWN_ROUNDS],
        "earlier_rounds": rounds if len(rounds) > SHOWN_ROUNDS else [],
    }


def room_for_drawing(first: Mapping[str, Any], paper: str) -> int:
    """Whole millimetres of height that the words of the first page leave for the drawing."""
    lists = max(first["missing"].height, first["still"].height) * LINE + 7
    rounds = (1 + sum(len(wrap(each["why"], 310, 8)) or 1 for each in first["rounds"])) * 4.8
    block = sum(max(2 if len(words) > 34 else 1 for _name, words in row) for row in first["block"]) * 3.6 + 6
    block += sum(len(wrap(words, 430, 8)) * 3.5 + 2 for _name, words in first["long"]) + 5.5
    return int(min(150, SHEETS[paper] - ABOVE - lists - rounds - block))


def following_pages(snapshot: Snapshot, reader: Reader) -> dict[str, Any]:
    places = chapters(snapshot, reader)
    return {
        "conditions": condition_lines(snapshot, reader),
        "concessions": concession_lines(snapshot, reader),
        "every_missing": missing_lines(snapshot, reader),
        "every_open": open_lines(snapshot, reader),
        "works": [place for place in places if place.works],
        "elsewhere": [place for place in places if not place.works],
        "signatures": signature_lines(snapshot, reader),
        "originals": originals(snapshot, reader),
        "cautions": [reader.text(item["text"]) for item in snapshot["cautions"]],
    }
