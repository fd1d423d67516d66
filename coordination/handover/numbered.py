"""The originals behind a gate report, under the numbers by which its tables and photos name them."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from coordination.handover.reading import Reader, Snapshot

Frozen = Mapping[str, Any]


@dataclass(frozen=True)
class Original:
    """One original in the list of hashes."""

    number: int
    name: str
    received: str
    sha256: str


def originals(snapshot: Snapshot, reader: Reader) -> tuple[Original, ...]:
    """Every original behind the snapshot once, by its number."""
    found: dict[str, Original] = {}
    for number, (digest, item) in enumerate(_firsts(snapshot).items(), start=1):
        name, at = item.get("file_name") or item["media_type"], reader.moment(item["received_at"])
        found[digest] = Original(number, name, at, digest)
    return tuple(found.values())


def numbers_of(snapshot: Snapshot) -> dict[str, int]:
    """The number of each original by its SHA-256: 1, 2, 3 ... place by place, then the scans of variances."""
    return {digest: number for number, digest in enumerate(_firsts(snapshot), start=1)}


def every_file(snapshot: Snapshot) -> Iterator[Frozen]:
    """Every file behind the report: as it goes through the places, then the scans of what authorities let go."""
    yield from files_of_places(snapshot)
    yield from (scan for _granted, scan in variances(snapshot))


def files_of_places(snapshot: Snapshot) -> Iterator[Frozen]:
    """What was handed in and the photos of refusals, place by place."""
    order = {place["key"]: number for number, place in enumerate(snapshot["places"])}
    for task in sorted(snapshot["tasks"], key=lambda task: order.get(task["place"], len(order))):
        for requirement in task["requirements"]:
            yield from (item for item in requirement["evidence"] if item.get("sha256"))
        for refusal in task.get("refusals", ()):
            yield from refusal["photos"]


def variances(snapshot: Snapshot) -> Iterator[tuple[Frozen, Frozen]]:
    """What authorities let go, each with its scan, also what has ended; older snapshots say less of the scan."""
    for granted in (*snapshot["concessions"], *snapshot.get("concessions_ended", ())):
        if paper := granted.get("variance"):
            attached = granted["voices"][0]["at"] if granted["voices"] else None
            yield granted, {"media_type": "", "received_at": attached, **paper}


def _firsts(snapshot: Snapshot) -> dict[str, Frozen]:
    """Where each file first comes up, by its SHA-256."""
    found: dict[str, Frozen] = {}
    for item in every_file(snapshot):
        found.setdefault(item["sha256"], item)
    return found
