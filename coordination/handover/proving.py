"""What lets a stranger check a gate report: the files inside it and its place in the record."""

from collections.abc import Sequence

from django.utils.translation import gettext as _

from coordination.gates.models import Clearing
from coordination.handover.contents import every_evidence
from coordination.handover.reading import Snapshot
from coordination.paper.ordering import Attached


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


def proof_lines(clearing: Clearing, snapshot: Snapshot) -> Sequence[tuple[str, str]]:
    """Where the clearing hangs in the chain; anybody with the record can follow it."""
    event = clearing.event
    return [
        (_("Head before"), f"{snapshot['head_before']['length']} · {snapshot['head_before']['hash']}"),
        (_("Snapshot SHA-256"), clearing.sha256),
        (_("Clearing event"), f"{event.seq} · {event.hash}"),
        (_("Catalogue SHA-256"), snapshot["plan"]["catalogue_sha"]),
    ]
