"""A gate report composed: HTML and the files it may show, all from one frozen clearing."""

import base64
import hashlib
import json
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.template.loader import render_to_string
from django.utils import translation

from coordination.gates.models import Clearing
from coordination.handover.contents import chapters, originals
from coordination.handover.drawn import drawing_section, drawing_words
from coordination.handover.pictured import photos, without_lost_pictures
from coordination.handover.proving import attachments, proof_lines
from coordination.handover.reading import Reader
from coordination.handover.summary import (
    concession_lines,
    condition_lines,
    counts,
    open_lines,
    signature_lines,
)
from coordination.handover.title_block import head_words, in_rows, title_block
from coordination.paper.ordering import Attached, Order
from coordination.paper.rendering import render_pdf
from coordination.pictures.hoistway import Appearance, hoistway_section
from coordination.projects.trade_words import speaking

Resources = dict[str, bytes | Path]
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
    """The short code of a paper: ten characters from what it is made of, in two groups of five."""
    digest = hashlib.sha256("\n".join((clearing.sha256, kind, language, paper)).encode()).digest()
    letters = base64.b32encode(digest).decode()[:10]
    return f"{letters[:5]}-{letters[5:]}"


def compose_gate_report(clearing: Clearing, *, language: str, paper: str) -> Composed:
    """The report of one clearing. Same clearing, language and paper: the same HTML and files."""
    snapshot = without_lost_pictures(snapshot_of(clearing))
    with translation.override(language), speaking(snapshot["project"]["code_set"]):
        reader = Reader(
            language=language,
            units=(snapshot["drawing"] or {}).get("units", "us"),
            zone=ZoneInfo(snapshot["project"]["zone"]),
        )
        code = code_of(clearing, kind="gate report", language=language, paper=paper)
        section = drawing_section(snapshot, reader)
        resources: Resources = {"style/report.css": STYLESHEET, **photos(snapshot)}
        drawing = None
        if section is not None:
            resources["drawing/section.svg"] = hoistway_section(
                section, Appearance(variant="paper", prefix="paper")
            ).encode()
            drawing = drawing_words(section)
        places = chapters(snapshot, reader)
        head = head_words(snapshot, reader, paper=paper, code=code)
        html = render_to_string(
            "paper/gate_report.html",
            {
                "head": head,
                "block": in_rows(title_block(snapshot, reader, code)),
                "counts": counts(snapshot),
                "conditions": condition_lines(snapshot, reader),
                "concessions": concession_lines(snapshot, reader),
                "open_questions": open_lines(snapshot, reader),
                "drawing": drawing,
                "works": [place for place in places if place.works],
                "elsewhere": [place for place in places if not place.works],
                "signatures": signature_lines(snapshot, reader),
                "originals": originals(snapshot, reader),
                "cautions": [reader.text(item["text"]) for item in snapshot["cautions"]],
                "proof": proof_lines(clearing, snapshot),
            },
        )
    return Composed(
        html=html,
        resources=resources,
        title=head["title"],
        identifier=hashlib.sha256((clearing.sha256 + code).encode()).digest()[:16],
        language=language,
        made_at=datetime.fromisoformat(snapshot["gate"]["cleared_at"]),
        code=code,
        attachments=attachments(clearing, snapshot),
    )
