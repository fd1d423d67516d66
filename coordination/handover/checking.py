"""Whether a paper is genuine and still stands: by the code printed on it, and by the bytes of the file itself.

Strangers may ask. They learn nothing but what is printed on the title of the paper that they have.
"""

import hashlib
import json
import mmap
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from pathlib import Path
from typing import Any, Literal

from django.conf import settings
from django.db.models import Max, Q, QuerySet

from coordination.files.keeping import OriginalLost, path_of, verify
from coordination.gates.models import Clearing
from coordination.handover.codes import as_code
from coordination.handover.models import Report
from coordination.handover.proving import MANIFEST
from coordination.paper.looking import look_apart

Finding = Literal["genuine", "unsigned", "added", "altered", "another file", "foreign", "no PDF"]
PRINTED_CODE = re.compile(rb"\b([A-Z2-7]{5}-[A-Z2-7]{5})\b")
PIECE, MOST_CODES = 1 << 20, 3
ROOM_FOR_MORE = 1_000_000  # bytes: a copy with a few notes or a signature added is still told apart


@dataclass(frozen=True)
class Successor:
    """The round of the same gate that came after: its number and day, and the code of its paper if it is made."""

    round: int
    cleared_at: datetime
    code: str


@dataclass(frozen=True)
class Standing:
    """A paper as its own title says it, and whether it still stands. Times are aware."""

    code: str
    kind: str
    language: str
    paper: str
    project: str
    zone: str
    gate_text: dict[str, str]
    round: int
    cleared_at: datetime
    reopened_at: datetime | None
    successor: Successor | None
    sha256: str
    size: int
    signed: bool

    @property
    def current(self) -> bool:
        return self.reopened_at is None


@dataclass(frozen=True)
class Checked:
    """What a file turned out to be. ``standing``: of the report that it is or claims to be; ``differs``: so many bytes.

    genuine: byte for byte what was given out · unsigned: the same before the company signed it · added: the genuine
    file with something after it · altered: as long as the genuine one, but some bytes differ · another file: it names
    the report, but was saved again or is a different file · foreign: no report of this installation · no PDF.
    """

    finding: Finding
    sha256: str
    size: int
    standing: Standing | None = None
    differs: int = 0


def standing_of(typed: str) -> Standing | None:
    """The paper with this code, however it was typed; None where there is none."""
    code = as_code(typed)
    row = _rows().filter(code=code).first() if code else None
    return _standing(row) if row else None


def largest_to_check() -> int:
    """Bytes: what is larger can be no report that was given out here, nor one that something was added to."""
    largest = Report.objects.aggregate(size=Max("blob__size"))["size"] or 0
    return max(settings.UPLOAD_LIMIT, largest + ROOM_FOR_MORE)


def check_file(path: Path, name_of_code: str = "") -> Checked:
    """Compare a file with the reports that were given out. Reads it, never keeps it."""
    sha256, size = digest_of(path)
    with path.open("rb") as file:
        if file.read(5) != b"%PDF-":
            return Checked("no PDF", sha256, size)
    if row := _rows().filter(Q(blob__sha256=sha256) | Q(unsigned_sha256=sha256)).first():
        finding: Finding = "genuine" if row.blob.sha256 == sha256 else "unsigned"
        return Checked(finding, sha256, size, _standing(row))
    for row in _candidates(path, size, name_of_code):
        return _compared(path, sha256, size, row)
    return Checked("foreign", sha256, size)


def digest_of(path: Path, length: int | None = None) -> tuple[str, int]:
    """SHA-256 of the first ``length`` bytes of a file, all when None, and how many there were."""
    found, left, size = hashlib.sha256(), length, 0
    with path.open("rb") as file:
        while piece := file.read(PIECE if left is None else min(PIECE, left)):
            found.update(piece)
            size += len(piece)
            left = None if left is None else left - len(piece)
    return found.hexdigest(), size


def _candidates(path: Path, size: int, typed: str) -> Iterator[Report]:
    """Reports that the file may be a copy of: named in it, or as long as it."""
    codes = [as_code(typed), *_codes_in(path)]
    yield from _rows().filter(code__in=[code for code in codes if code])
    same_length = _rows().filter(Q(blob__size=size) | Q(unsigned_size=size))
    yield from (row for row in same_length if _differing(path, row) * 2 < size)
    told = look_apart(path)
    codes = [as_code(_manifest_in(told).get("code", ""))]
    codes += [found.decode() for found in PRINTED_CODE.findall(str(told.get("subject", "")).encode())]
    yield from _rows().filter(code__in=[code for code in codes[:MOST_CODES] if code])


def _manifest_in(told: Mapping[str, Any]) -> dict[str, str]:
    """The manifest that a file carries, as far as it is one."""
    try:
        found = json.loads(told.get("attached", {}).get(MANIFEST, "{}"))
    except ValueError:
        return {}
    return (
        {key: value for key, value in found.items() if isinstance(value, str)}
        if isinstance(found, dict)
        else {}
    )


def _codes_in(path: Path) -> list[str]:
    """What looks like a report's code in the readable part of the file: its metadata are not compressed.

    A few at most: a file full of codes must not try them all.
    """
    with path.open("rb") as file, mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ) as content:
        found = dict.fromkeys(match[1].decode() for match in islice(PRINTED_CODE.finditer(content), 50))
    return list(found)[:MOST_CODES]


def _compared(path: Path, sha256: str, size: int, row: Report) -> Checked:
    standing = _standing(row)
    if size > row.blob.size and digest_of(path, row.blob.size)[0] == row.blob.sha256:
        return Checked("added", sha256, size, standing)
    if row.unsigned_size and size > row.unsigned_size and _begins_unsigned(path, row):
        return Checked("added", sha256, size, standing)
    if size in (row.blob.size, row.unsigned_size) and (differs := _differing(path, row)) * 2 < size:
        return Checked("altered", sha256, size, standing, differs)
    return Checked("another file", sha256, size, standing)


def _begins_unsigned(path: Path, row: Report) -> bool:
    return digest_of(path, row.unsigned_size)[0] == row.unsigned_sha256


def _differing(path: Path, row: Report) -> int:
    """How many bytes differ from the report that is kept; all of them where that is lost."""
    try:
        verify(row.blob)
    except OriginalLost:
        return path.stat().st_size
    with path.open("rb") as one, path_of(row.blob).open("rb") as other:
        return sum(_unlike(piece, other.read(len(piece))) for piece in iter(lambda: one.read(PIECE), b""))


def _unlike(one: bytes, other: bytes) -> int:
    if one == other:
        return 0
    return sum(a != b for a, b in zip(one, other, strict=False)) + abs(len(one) - len(other))


def _rows() -> QuerySet[Report]:
    return Report.objects.select_related("clearing__gate", "blob").order_by("pk")


def _standing(row: Report) -> Standing:
    clearing = row.clearing
    frozen = json.loads(bytes(clearing.snapshot))
    return Standing(
        code=row.code,
        kind=row.kind,
        language=row.language,
        paper=row.paper,
        project=frozen["project"]["name"],
        zone=frozen["project"]["zone"],
        gate_text=frozen["gate"]["text"],
        round=clearing.round,
        cleared_at=clearing.cleared_at,
        reopened_at=clearing.reopened_at,
        successor=_successor(row) if clearing.reopened_at else None,
        sha256=row.blob.sha256,
        size=row.blob.size,
        signed=bool(row.unsigned_sha256),
    )


def _successor(row: Report) -> Successor | None:
    """The newest round after this one, by the paper of the same language and size where there is one."""
    later = Clearing.objects.filter(gate=row.clearing.gate, round__gt=row.clearing.round)
    newest = later.defer("snapshot").order_by("-round").first()
    if newest is None:
        return None
    papers = list(Report.objects.filter(clearing=newest, kind=row.kind).order_by("pk"))
    papers.sort(key=lambda each: (each.language != row.language, each.paper != row.paper))
    return Successor(newest.round, newest.cleared_at, papers[0].code if papers else "")
