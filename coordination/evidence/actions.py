"""Handing in: photos, readings, documents and signatures for what a task must show."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any
from uuid import UUID

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import Scope, require
from coordination.access.refusals import NotVisible, Reason
from coordination.access.visitors import Visitor
from coordination.evidence.entering import OWN, EnteredFor, Entry, entry_by
from coordination.evidence.models import FAILED, RESULTS, Evidence
from coordination.evidence.outcomes import Shown
from coordination.evidence.pasting import read_pasted
from coordination.evidence.queries import shown_for
from coordination.evidence.readings import read, shown
from coordination.evidence.refusals import NotHandedIn, TermsMovedOn
from coordination.evidence.series import CellsNotRead, TypedCell, read_cells, series_of
from coordination.evidence.told import body_of
from coordination.files.models import Blob
from coordination.projects.models import Requirement
from coordination.projects.queries import units_of
from coordination.record.models import Event


@dataclass(frozen=True)
class HandIn:
    """One item. ``sender_key`` is made by the sender's device: the same key again is the same item.

    A photo or document brings a ``blob`` (see ``arrivals.take_in``), a reading its ``typed`` text, a signature the
    name ``typed``. A series of readings brings its ``cells``, or the whole of them as ``typed`` lines of a spreadsheet.
    ``number`` and ``dated`` stand on an authority's document. ``taken_by`` names who took the view or the reading.
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


def hand_in(
    project: Project,
    visitor: Visitor,
    at: datetime,
    requirement_uid: UUID,
    item: HandIn,
    *,
    for_other: EnteredFor | None = None,
    terms_sha: str = "",
) -> Evidence:
    """Hand in one item; see ``hand_in_many``."""
    return hand_in_many(
        project, visitor, at, requirement_uid, [item], for_other=for_other, terms_sha=terms_sha
    )[0]


def hand_in_many(
    project: Project,
    visitor: Visitor,
    at: datetime,
    requirement_uid: UUID,
    items: Sequence[HandIn],
    *,
    for_other: EnteredFor | None = None,
    terms_sha: str = "",
) -> list[Evidence]:
    """Hand in several items for one requirement, as one decision.

    ``terms_sha`` is that of the terms the sender saw. Items that are there already are left as they are.
    Raises NotVisible, NotAllowed, SayForWhom, TermsMovedOn, NotAReading, and NotHandedIn with every reason.
    """
    if not items:
        raise NotHandedIn(Reason("nothing chosen"))
    with deciding(project, visitor, at, claimed_at=claimed_of(items)) as pen:
        requirement = requirement_of(project, requirement_uid)
        require_right(visitor, requirement)
        known = known_items(requirement, items)
        fresh = [item for item in items if item.sender_key not in known]
        if not fresh:
            pen.leave_as_it_is()
            return [known[item.sender_key] for item in items]
        entry = entry_of(visitor, project, requirement, for_other)
        refuse_untimely(requirement, terms_sha)
        rows = [row_of(requirement, item, visitor, entry, at=at) for item in fresh]
        if any(row.result == FAILED for row in rows):
            raise NotHandedIn(Reason("a failed inspection names its items"))
        event = pen.write(
            "evidence handed in", subject=str(requirement), body=body_of(requirement, rows, entry)
        )
        made = {row.sender_key: saved_row(row, event) for row in rows}
        return [made.get(item.sender_key) or known[item.sender_key] for item in items]


def official_row(requirement: Requirement, item: HandIn, visitor: Visitor, at: datetime) -> Evidence:
    """An authority's document as a row that is not kept, for a decision that brings more with it.

    Raises NotAllowed, TermsMovedOn, and NotHandedIn with everything that is missing on it.
    """
    require_right(visitor, requirement)
    refuse_moved_on(requirement)
    _refuse_before_begin(requirement)
    return row_of(requirement, item, visitor, OWN, at=at)


def told_of(rows: Sequence[Evidence]) -> dict[str, Any]:
    """What the record says of rows for one requirement."""
    return body_of(rows[0].requirement, rows, OWN)


def requirement_of(project: Project, uid: UUID) -> Requirement:
    """What is asked for under ``uid`` on the project. Raises NotVisible."""
    found = Requirement.objects.select_related("task").filter(uid=uid, task__project=project).first()
    if found is None:
        raise NotVisible
    return found


def require_right(visitor: Visitor, requirement: Requirement) -> None:
    """Raise NotAllowed unless the visitor may hand something in for it."""
    verb = "attach an authority's document" if requirement.release else "hand in evidence"
    require(visitor, verb, Scope(trade=requirement.task.trade))


def known_items(requirement: Requirement, items: Sequence[HandIn]) -> dict[UUID, Evidence]:
    """Items that came before. A key that was used for anything else is nobody's business here."""
    rows = Evidence.objects.filter(sender_key__in=[item.sender_key for item in items])
    known = {row.sender_key: row for row in rows}
    if any(row.requirement_id != requirement.pk for row in known.values()):
        raise NotHandedIn(Reason("sent before for something else"))
    return known


def entry_of(
    visitor: Visitor, project: Project, requirement: Requirement, for_other: EnteredFor | None
) -> Entry:
    """An authority's document is attached in one's own name; all else is an entry in the trade's work."""
    return OWN if requirement.release else entry_by(visitor, project, requirement.task.trade, for_other)


def refuse_untimely(requirement: Requirement, terms_sha: str) -> None:
    """Raise TermsMovedOn or NotHandedIn where nothing, or nothing more, may be handed in now."""
    refuse_moved_on(requirement, terms_sha)
    _refuse_before_begin(requirement)
    if _already_counts(requirement, shown_for([requirement])[requirement.pk]):
        raise NotHandedIn(Reason("already accepted", {"requirement": str(requirement)}))


def refuse_moved_on(requirement: Requirement, terms_sha: str = "") -> None:
    """Raise TermsMovedOn where other evidence or none is asked for by now.

    ``terms_sha`` is that of the terms the sender saw, empty where nobody was shown any.
    """
    task = requirement.task
    if requirement.retired_in is not None or task.retired_in is not None:
        raise TermsMovedOn(Reason("no longer asked for", {"requirement": str(requirement)}))
    if terms_sha and terms_sha != requirement.terms_sha:
        raise TermsMovedOn(Reason("terms changed", {"requirement": str(requirement)}))


def _refuse_before_begin(requirement: Requirement) -> None:
    if requirement.task.begun_on is None:
        raise NotHandedIn(Reason("work not begun", {"task": requirement.task.key}))


def _already_counts(requirement: Requirement, standing: Shown) -> bool:
    """What is accepted is withdrawn first.

    Where nobody reviews, more files may be added until the work is finished, and a reading out of tolerance may be
    taken again.
    """
    if standing.outcome != "accepted" or (requirement.release and not standing.released):
        return False
    if requirement.accepts or requirement.release:
        return True
    if requirement.kind in {"photo", "document"}:
        return requirement.task.finished_on is not None
    return standing.in_tolerance is not False


def row_of(
    requirement: Requirement, item: HandIn, visitor: Visitor, entry: Entry, *, at: datetime
) -> Evidence:
    """An item as a row that is not kept yet. Raises NotHandedIn, NotAReading, CellsNotRead."""
    said = _said(requirement, item, visitor)
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


def saved_row(row: Evidence, event: Event) -> Evidence:
    """The row, kept as part of ``event``."""
    row.event = event
    row.save(force_insert=True)
    return row


def claimed_of(items: Sequence[HandIn]) -> datetime | None:
    """The earliest moment at which a device says it sent something."""
    return min((item.sent_at for item in items if item.sent_at), default=None)
