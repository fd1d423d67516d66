"""A gate report composed: HTML and the files it may show, all from one frozen clearing."""

import base64
import hashlib
import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from django.template.loader import render_to_string
from django.utils import translation
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.files.keeping import path_of
from coordination.files.models import Blob
from coordination.gates.drawing import OPEN_HOISTWAY, PlaceState, SheetWords, section_of, shown_at
from coordination.gates.models import Clearing
from coordination.gates.sentences import party_words, state_words
from coordination.handover.contents import chapters, every_evidence, originals
from coordination.handover.reading import Reader, Snapshot, outcome_words
from coordination.paper.ordering import Attached, Order
from coordination.paper.rendering import render_pdf
from coordination.pictures.hoistway import Appearance, hoistway_section
from coordination.pictures.pen import PictureError
from coordination.pictures.section import Section, table_of
from coordination.projects.trade_words import in_words_of, speaking

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
    snapshot = snapshot_of(clearing)
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


def attachments(clearing: Clearing, snapshot: Snapshot) -> tuple[Attached, ...]:
    """What travels inside the PDF: the snapshot itself, and the hashes of the originals as sha256sum reads them."""
    lines = {
        item["sha256"]: f"{item['sha256']}  {item['sha256'][:12]}-{item.get('file_name') or 'file'}"
        for _task, _requirement, item in every_evidence(snapshot)
        if item.get("sha256")
    }
    found = [Attached("snapshot.json", bytes(clearing.snapshot), "application/json", "The frozen snapshot")]
    if lines:
        text = "\n".join(lines.values()) + "\n"
        found.append(Attached("originals.sha256", text.encode(), "text/plain", "SHA-256 of the originals"))
    return tuple(found)


def photos(snapshot: Snapshot) -> Resources:
    """The pinned renditions by the name under which the paper asks for them."""
    pinned = {
        item["rendition"]["sha256"]
        for task in snapshot["tasks"]
        for requirement in task["requirements"]
        for item in requirement["evidence"]
        if item.get("rendition")
    }
    blobs = Blob.objects.filter(supplier=snapshot["project"]["supplier"], sha256__in=pinned)
    return {f"photo/{blob.sha256}.jpg": path_of(blob) for blob in blobs}


def drawing_section(snapshot: Snapshot, reader: Reader) -> Section | None:
    """The section as it stood at the clearing; None where its numbers make no building."""
    if not snapshot.get("drawing"):
        return None
    places = [
        PlaceState(
            key=place["key"],
            kind=place["kind"],
            name=reader.text(place["text"]),
            state=place["state"],
            state_words=state_words(place["state"]),
            landing=place.get("landing"),
            **shown_at(place["key"], snapshot["states"]),
        )
        for place in snapshot["places"]
        if not place.get("side") or place.get("side") == "front"
    ]
    gate = reader.text(snapshot["gate"]["text"])
    words = SheetWords(
        project=snapshot["project"]["name"],
        sheet=gate,
        next_gate=(_("gate cleared"), gate, reader.moment(snapshot["gate"]["cleared_at"])),
        next_visit=(_("plan"), _("revision %(n)d") % {"n": snapshot["plan"]["revision"]}, ""),
    )
    try:
        return section_of(snapshot["drawing"], places, words)
    except PictureError:
        return None


def drawing_words(section: Section) -> dict[str, Any]:
    rows = [(*row.cells, "", "")[:3] for row in table_of(section) if row.group == "dimension"]
    return {
        "name": "drawing/section.svg",
        "title": section.words.title,
        "alt": section.words.description,
        "caption": section.title_block.view,
        "rows": rows,
    }


def head_words(snapshot: Snapshot, reader: Reader, *, paper: str, code: str) -> dict[str, str]:
    gate, project = reader.text(snapshot["gate"]["text"]), snapshot["project"]["name"]
    code_set = snapshot["project"]["code_set"]
    return {
        "language": reader.language[:2],
        "title": _("Gate report: %(gate)s") % {"gate": gate},
        "description": _("%(project)s, gate report %(code)s") % {"project": project, "code": code},
        "project": project,
        "gate": gate,
        "supplier": snapshot["project"].get("supplier_name", ""),
        "paper": paper,
        "made_at": snapshot["gate"]["cleared_at"],
        "place": snapshot["project"].get("place") or snapshot["project"].get("supplier_name", ""),
        "code": code,
        "foot": _("approved drawing and local code govern"),
        "critical": in_words_of(code_set, _("{lift}-critical")),
        "ready": _(
            "“Ready” means that what must come first is recorded. It is never permission to enter or to switch on. "
            "Local codes, the authority having jurisdiction and licensed trades decide."
        ),
        "lead": _(
            "What was checked at this gate, against which value, from which source, with which result."
        ),
        "limits": in_words_of(
            code_set,
            _(
                "This is a record of what was handed in and decided. The approved revision of the {lift} maker's "
                "drawing and the local code govern; the authority having jurisdiction, the engineer of record and "
                "licensed trades decide. It is no permission to enter the {hoistway} or to energize anything."
            ),
        )
        + " "
        + in_words_of(code_set, OPEN_HOISTWAY),
    }


def title_block(snapshot: Snapshot, reader: Reader, code: str) -> list[tuple[str, str]]:
    """Project, gate, revisions, permits and codes: the pairs of the title block."""
    gate, plan = snapshot["gate"], snapshot["plan"]
    facts = {fact["key"]: fact for fact in snapshot["facts"]}
    codes = [
        f"{label} {facts[key]['value']}"
        for key, label in (
            ("code.elevator", "ASME A17.1/CSA B44"),
            ("code.electrical", "NFPA 70"),
            ("code.alarm", "NFPA 72"),
            ("code.building", "IBC"),
        )
        if facts.get(key, {}).get("value") is not None
    ]
    permits = [
        _("%(kind)s: %(permit)s of %(day)s")
        % {
            "kind": capfirst(party_words(item["kind"])),
            "permit": item["permit"],
            "day": reader.day(item.get("permit_on")) or _("no date given"),
        }
        for item in snapshot["authorities"]
        if item.get("permit")
    ]
    return [
        (_("Project"), snapshot["project"]["name"]),
        (_("Place"), snapshot["project"].get("place") or _("not stated")),
        (_("Supplier"), snapshot["project"].get("supplier_name", "")),
        (
            _("Gate"),
            _("%(gate)s, round %(round)d") % {"gate": reader.text(gate["text"]), "round": gate["round"]},
        ),
        (_("Cleared"), reader.moment(gate["cleared_at"])),
        (_("Maker's drawing"), plan.get("drawing_revision") or _("revision not stated")),
        (_("Plan"), _("revision %(n)d") % {"n": plan["revision"]}),
        (_("Permits"), "; ".join(permits) or _("none entered")),
        (_("Adopted codes"), "; ".join(codes) or _("not stated")),
        (_("Report code"), code),
    ]


def in_rows(pairs: Sequence[tuple[str, str]]) -> list[Sequence[tuple[str, str]]]:
    """Two pairs to a row of the title block."""
    return [pairs[place : place + 2] for place in range(0, len(pairs), 2)]


def counts(snapshot: Snapshot) -> list[str]:
    """One-line sums for the summary: what is present, conceded, released."""
    requirements = [item for task in snapshot["tasks"] for item in task["requirements"]]
    conceded = sum(item.get("how") == "conceded" for item in requirements)
    released = sum(item.get("how") == "released" for item in requirements)
    missing = sum(item["outcome"] == "none" and item.get("how") != "conceded" for item in requirements)
    total, tasks = len(requirements), len(snapshot["tasks"])
    return [
        ngettext("%(n)d task belongs to this gate.", "%(n)d tasks belong to this gate.", tasks)
        % {"n": tasks},
        ngettext("%(n)d thing was asked for.", "%(n)d things were asked for.", total) % {"n": total},
        _("%(n)d by concession, %(released)d released by an authority's document, %(missing)d not handed in.")
        % {"n": conceded, "released": released, "missing": missing},
    ]


def condition_lines(snapshot: Snapshot, reader: Reader) -> list[dict[str, str]]:
    return [
        {"text": _condition(item, reader), "result": outcome_words(item["how"])}
        for item in snapshot["conditions"]
    ]


def _condition(item: Snapshot, reader: Reader) -> str:
    if item["kind"] == "signature":
        return _("Signature: %(role)s") % {"role": party_words(item["subject"])}
    text = reader.text(item.get("text")) or item["subject"]
    return _("Gate: %(gate)s") % {"gate": text} if item["kind"] == "gate cleared" else text


def concession_lines(snapshot: Snapshot, reader: Reader) -> list[str]:
    """Every concession that stands, also those of earlier gates."""
    lines = []
    for item in snapshot["concessions"]:
        voices = "; ".join(
            f"{v['name']} ({party_words(v['role'])}), {reader.moment(v['at'])}" for v in item["voices"]
        )
        until = reader.day(item.get("expires_on")) or _("without end")
        lines.append(
            _("%(kind)s on %(what)s: %(reason)s. Scope: %(scope)s. Until: %(until)s. Granted by %(voices)s.")
            % {
                "kind": {"concession": _("Concession"), "deviation permit": _("Deviation permit")}[
                    item["kind"]
                ],
                "what": reader.text(item.get("text")) or item["requirement"],
                "reason": item["reason"].rstrip("."),
                "scope": item["scope"].rstrip("."),
                "until": until,
                "voices": voices,
            }
        )
    return lines


def open_lines(snapshot: Snapshot, reader: Reader) -> list[str]:
    """Facts that were only assumed or not known when the gate cleared."""
    words = {"assumed": _("assumed"), "unknown": _("not known")}
    return [
        f"{reader.text(fact.get('text')) or fact['key']}: {words[fact['state']]}"
        + (f", {fact['typed']}" if fact.get("typed") else "")
        for fact in snapshot["facts"]
        if fact["state"] in words
    ]


def signature_lines(snapshot: Snapshot, reader: Reader) -> list[dict[str, str]]:
    return [
        {**item, "role": party_words(item["role"]), "at": reader.moment(item["at"])}
        for item in snapshot["signatures"]
    ]


def proof_lines(clearing: Clearing, snapshot: Snapshot) -> Sequence[tuple[str, str]]:
    """Where the clearing hangs in the chain; anybody with the record can follow it."""
    event = clearing.event
    return [
        (_("Head before"), f"{snapshot['head_before']['length']} · {snapshot['head_before']['hash']}"),
        (_("Snapshot SHA-256"), clearing.sha256),
        (_("Clearing event"), f"{event.seq} · {event.hash}"),
        (_("Catalogue SHA-256"), snapshot["plan"]["catalogue_sha"]),
    ]
