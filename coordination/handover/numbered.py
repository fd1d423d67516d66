"""The originals behind a gate report, under the numbers by which its tables and photos name them."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from coordination.handover.reading import Reader, Snapshot

Frozen = Mapping[str, Any]


@dataclass(frozen=True)
class Original:
    """One original in the list of hashes."""

    number: int
    name: str
    belongs_to: str
    received: str
    sha256: str


def originals(snapshot: Snapshot, reader: Reader) -> tuple[Original, ...]:
    """Every original behind the snapshot once, by its number."""
    found: dict[str, Original] = {}
    for number, (digest, (task, asked, item)) in enumerate(_firsts(snapshot).items(), start=1):
        name, at = item.get("file_name") or item["media_type"], reader.moment(item["received_at"])
        found[digest] = Original(number, name, _belongs_to(task, asked, reader), at, digest)
    return tuple(found.values())


def numbers_of(snapshot: Snapshot) -> dict[str, int]:
    """The number of each original by its SHA-256: 1, 2, 3 ... as they come up, place by place."""
    return {digest: number for number, digest in enumerate(_firsts(snapshot), start=1)}


def every_file(snapshot: Snapshot) -> Iterator[tuple[Frozen, Frozen | None, Frozen]]:
    """Task, requirement and item of every file, as the report goes through the places; no requirement: a refusal's."""
    order = {place["key"]: number for number, place in enumerate(snapshot["places"])}
    for task in sorted(snapshot["tasks"], key=lambda task: order.get(task["place"], len(order))):
        for requirement in task["requirements"]:
            yield from ((task, requirement, item) for item in requirement["evidence"] if item.get("sha256"))
        for refusal in task.get("refusals", ()):
            yield from ((task, None, item) for item in refusal["photos"])


def _firsts(snapshot: Snapshot) -> dict[str, tuple[Frozen, Frozen | None, Frozen]]:
    """Where each file first comes up, by its SHA-256."""
    found: dict[str, tuple[Frozen, Frozen | None, Frozen]] = {}
    for each in every_file(snapshot):
        found.setdefault(each[2]["sha256"], each)
    return found


def _belongs_to(task: Frozen, asked: Frozen | None, reader: Reader) -> str:
    words = reader.text(task["text"])
    return f"{words}: {reader.text(asked['text'])}" if asked else _("%(task)s: refused") % {"task": words}
