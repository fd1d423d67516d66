"""What one hand-in brings, and the row it becomes: what it says, and what is missing on it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any
from uuid import UUID
from zoneinfo import ZoneInfo

from coordination.access.refusals import NotVisible, Reason
from coordination.access.visitors import Visitor
from coordination.evidence.entering import Entry
from coordination.evidence.models import RESULTS, Evidence
from coordination.evidence.pasting import read_pasted
from coordination.evidence.readings import read, shown
from coordination.evidence.refusals import NotHandedIn
from coordination.evidence.series import CellsNotRead, TypedCell, read_cells, series_of
from coordination.evidence.taken import refuse_impossible
from coordination.files.models import Blob
from coordination.projects.models import Requirement
from coordination.projects.queries import units_of


@dataclass(frozen=True)
class HandIn:
    """One item. ``sender_key`` is made by the sender's device: the same key again is the same item.

    A photo or document brings a ``blob`` (see ``arrivals.take_in``), a reading its ``typed`` text, a signature the
    name ``typed``. A series of readings brings its ``cells``, or the whole of them as ``typed`` lines of a spreadsheet.
    ``number`` and ``dated`` stand on an authority's document. ``taken_by`` and ``taken_at`` say who took the view or
    the reading, and when.
    """

    sender_key: UUID
    blob: Blob | None = None
    value: Any = None
    typed: str = ""
    file_name: str = ""
    image: Mapping[str, Any] = field(default_factory=dict)
    taken_at: datetime | None = None
    sent_at: datetime | None = None
    instrument: str = ""
    number: str = ""
    dated: date | None = None
    note: str = ""
    result: str = ""
    cells: tuple[TypedCell, ...] = ()
    taken_by: str = ""


@dataclass(frozen=True)
class Said:
    """What an item says: its value, its short text, and whether it lies inside; None where nothing is asked."""

    value: Any
    typed: str
    in_tolerance: bool | None = None


def row_of(
    requirement: Requirement, item: HandIn, visitor: Visitor, entry: Entry, *, at: datetime
) -> Evidence:
    """An item as a row that is not kept yet. Raises NotHandedIn, NotAReading, CellsNotRead."""
    said = _said(requirement, item, visitor)
    if requirement.kind == "reading" and item.taken_at is not None:
        refuse_impossible(requirement, item.taken_at, zone=ZoneInfo(visitor.project.zone), at=at)
    return Evidence(
        requirement=requirement,
        sender_key=item.sender_key,
        terms_sha=requirement.terms_sha,
        blob=item.blob,
        file_name=item.file_name[:200],
        image=dict(item.image),
        value=said.value,
        typed=said.typed[:200],
        instrument=item.instrument[:120],
        number=item.number.strip()[:80],
        dated=item.dated,
        note=item.note[:500],
        result=item.result,
        in_tolerance=said.in_tolerance,
        taken_at=item.taken_at,
        taken_by=_taken_by(requirement, item),
        sent_at=item.sent_at,
        received_at=at,
        sender=visitor.identity,
        sender_name=visitor.name,
        entered_for=entry.entered_for,
        entry_source=entry.entry_source,
    )


def _taken_by(requirement: Requirement, item: HandIn) -> str:
    """Who took it. Where only an authorised person may, that person is named. Raises NotHandedIn."""
    name = item.taken_by.strip()[:120]
    if requirement.terms.get("authorised") and requirement.kind in {"photo", "reading"} and not name:
        raise NotHandedIn(Reason("say who took it", {"requirement": str(requirement)}))
    return name


def _said(requirement: Requirement, item: HandIn, visitor: Visitor) -> Said:
    """What an item of the kind that is asked for says. Raises NotHandedIn, NotAReading, CellsNotRead."""
    if requirement.kind == "reading":
        if series_of(requirement.terms):
            return _said_by_cells(requirement, item, visitor)
        if not item.typed.strip():
            raise NotHandedIn(Reason("reading missing", {"requirement": str(requirement)}))
        reading = read(requirement.terms, item.typed, units_of(visitor.project))
        return Said(reading.value, item.typed, reading.in_tolerance)
    if requirement.kind == "signature":
        return Said({"signed": item.typed.strip() or visitor.name}, item.typed)
    if reasons := _faults_of_file(requirement, item):
        raise NotHandedIn(*reasons)
    return Said(item.value, item.typed)


def _said_by_cells(requirement: Requirement, item: HandIn, visitor: Visitor) -> Said:
    """A series: where a cell cannot be read, nothing is kept; with empty cells it is kept, and never inside."""
    terms, system = requirement.terms, units_of(visitor.project)
    series = series_of(terms)
    if series is None:
        raise ValueError("These terms ask for one reading.")
    pasted = read_pasted(series, "" if item.cells else item.typed)
    found = read_cells(terms, item.cells or pasted.cells, system)
    if faults := (*pasted.faults, *found.faults):
        raise CellsNotRead(series, faults)
    if not found.cells:
        raise NotHandedIn(Reason("readings missing", {"requirement": str(requirement)}))
    value = found.as_value()
    return Said(value, shown(value, terms.get("unit") or "count", system), found.in_tolerance)


def _faults_of_file(requirement: Requirement, item: HandIn) -> list[Reason]:
    about = {"requirement": str(requirement)}
    reasons = []
    if item.blob is None:
        reasons.append(Reason("file missing", about))
    elif item.blob.supplier != requirement.task.project.supplier.uid:
        raise NotVisible
    elif requirement.kind == "photo" and not item.blob.media_type.startswith("image/"):
        reasons.append(Reason("not a photo", about))
    if requirement.release and not item.number.strip():
        reasons.append(Reason("number missing", about))
    if requirement.release and item.dated is None:
        reasons.append(Reason("date missing", about))
    if requirement.terms.get("inspection") and item.result not in RESULTS:
        reasons.append(Reason("result missing", about))
    return reasons


def claimed_of(items: Sequence[HandIn]) -> datetime | None:
    """The earliest moment at which a device says it sent something."""
    return min((item.sent_at for item in items if item.sent_at), default=None)
