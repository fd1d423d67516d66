"""What lets a stranger check a gate report: the files inside it and its place in the record."""

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from django.utils.translation import gettext as _

from coordination.gates.models import Clearing
from coordination.handover.numbered import every_file, numbers_of
from coordination.handover.reading import Snapshot
from coordination.paper.looking import look_apart
from coordination.paper.ordering import Attached
from coordination.paper.rendering import renderer
from coordination.record.anchors import Anchor, read_anchor

MANIFEST = "manifest.json"


def attachments(clearing: Clearing, snapshot: Snapshot, code: str) -> tuple[Attached, ...]:
    """What travels inside the PDF: the snapshot itself, the manifest, and the hashes as sha256sum reads them."""
    manifest = json.dumps(manifest_of(clearing, snapshot, code), ensure_ascii=False, indent=1, sort_keys=True)
    found = [
        Attached("snapshot.json", bytes(clearing.snapshot), "application/json", "The frozen snapshot"),
        Attached(MANIFEST, manifest.encode(), "application/json", "What this report was made of"),
    ]
    lines = {
        item["sha256"]: f"{item['sha256']}  {item['sha256'][:12]}-{item.get('file_name') or 'file'}"
        for item in every_file(snapshot)
    }
    if lines:
        text = "\n".join(lines.values()) + "\n"
        found.append(Attached("originals.sha256", text.encode(), "text/plain", "SHA-256 of the originals"))
    return tuple(found)


def manifest_of(clearing: Clearing, snapshot: Snapshot, code: str) -> dict[str, Any]:
    """Hashes of everything behind the report, what made it, and its place in the record; sizes are bytes."""
    event = clearing.event
    return {
        "code": code,
        "snapshot": clearing.sha256,
        "record": {
            "stream": event.stream,
            "before": snapshot["head_before"],
            "clearing": {"length": event.seq, "hash": event.hash},
        },
        "catalogue": snapshot["plan"]["catalogue_sha"],
        "renderer": renderer().split(", "),
        "originals": _originals(snapshot),
    }


def _originals(snapshot: Snapshot) -> list[dict[str, Any]]:
    """Every original once, under its number in the report, with the rendition that is shown of it."""
    numbers = numbers_of(snapshot)
    found = {
        item["sha256"]: {
            "number": numbers[item["sha256"]],
            "name": item.get("file_name", ""),
            "type": item.get("media_type"),
            "size": item.get("size"),
            "sha256": item["sha256"],
            "rendition": item.get("rendition"),
        }
        for item in every_file(snapshot)
    }
    return list(found.values())


def anchor_of(clearing: Clearing) -> str:
    """``HASH@LENGTH`` of the event that cleared the gate: what the record had come to, in one word."""
    return f"{clearing.event.hash}@{clearing.event.seq}"


def anchor_in(file: Path) -> Anchor | None:
    """The anchor that a report carries: in its manifest, else printed on its last pages. None where there is none."""
    told = look_apart(file)
    try:
        record = json.loads(told["attached"][MANIFEST])["record"]
        return Anchor(
            str(record["clearing"]["hash"]), int(record["clearing"]["length"]), str(record["stream"])
        )
    except (KeyError, ValueError, TypeError):
        return read_anchor(str(told.get("last", "")).replace("\n", ""))


def proof_lines(clearing: Clearing, snapshot: Snapshot) -> Sequence[tuple[str, str]]:
    """Where the clearing hangs in the chain; anybody with the record can follow it."""
    before = snapshot["head_before"]
    return [
        (_("Anchor: the record at the clearing"), anchor_of(clearing)),
        (_("Head before"), f"{before['hash']}@{before['length']}"),
        (_("Snapshot SHA-256"), clearing.sha256),
        (_("Catalogue SHA-256"), snapshot["plan"]["catalogue_sha"]),
    ]
