"""A gate report composed: HTML and the files it may show, all from one frozen clearing."""

import hashlib
import json
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any, BinaryIO
from zoneinfo import ZoneInfo

from django.conf import settings
from django.template.loader import render_to_string
from django.utils import translation

from coordination.gates.models import Clearing
from coordination.handover.codes import check_address, code_from, qr_drawing
from coordination.handover.contents import chapters
from coordination.handover.decided import condition_lines, signature_lines
from coordination.handover.drawn import drawing_section, drawing_words
from coordination.handover.first_page import first_page
from coordination.handover.inspected import inspection_rows, item_rows
from coordination.handover.let_go import leading_here, let_go
from coordination.handover.numbered import numbers_of, originals
from coordination.handover.pictured import photos, without_lost_pictures
from coordination.handover.proving import attachments, proof_lines
from coordination.handover.reading import Reader, Snapshot
from coordination.handover.summary import missing_lines, open_lines
from coordination.handover.title_block import head_words
from coordination.handover.witnessed import witness_rows
from coordination.paper.ordering import Attached, Order
from coordination.paper.rendering import render_pdf, render_to
from coordination.pictures.hoistway import Appearance, hoistway_section
from coordination.projects.trade_words import speaking

Resources = dict[str, bytes | Path]
KIND = "gate report"
STYLESHEET = Path(__file__).resolve().parent / "report.css"


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
        return render_pdf(self.order())

    def render_to(self, target: BinaryIO) -> None:
        """As ``render``, written to ``target``: never whole in memory."""
        render_to(self.order(), target)

    def order(self) -> Order:
        return Order(
            self.html,
            self.resources,
            identifier=self.identifier,
            made_at=self.made_at,
            language=self.language,
            title=self.title,
            attachments=self.attachments,
        )


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
        first = first_page(snapshot, reader, head, code, address=address)
        words = {
            "head": head,
            **first,
            "drawing": drawing_words(section, first["height"]) if section is not None else None,
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


def following_pages(snapshot: Snapshot, reader: Reader) -> dict[str, Any]:
    places, numbers = chapters(snapshot, reader), numbers_of(snapshot)
    return {
        "conditions": condition_lines(snapshot, reader),
        "concessions": leading_here(let_go(snapshot, reader, numbers), snapshot),
        "inspections": inspection_rows(snapshot, reader, numbers),
        "items": item_rows(snapshot, reader),
        "witness_points": witness_rows(snapshot, reader),
        "every_missing": missing_lines(snapshot, reader),
        "every_open": open_lines(snapshot, reader),
        "works": [place for place in places if place.works],
        "elsewhere": [place for place in places if not place.works],
        "signatures": signature_lines(snapshot, reader),
        "originals": originals(snapshot, reader),
        "cautions": [reader.text(item["text"]) for item in snapshot["cautions"]],
    }
