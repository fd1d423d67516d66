"""Marks over a photo: put by whoever may hand it in or review it, taken back by whoever put them."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import Max

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import Scope, require
from coordination.access.refusals import NotVisible, Reason
from coordination.access.visitors import Visitor
from coordination.evidence import readings
from coordination.evidence.models import (
    FULL,
    MARK_KINDS,
    Evidence,
    Mark,
    MarkNamed,
    MarkOverPhoto,
    MarkReason,
    MarkTakenBack,
)
from coordination.evidence.queries import evidence_by_uid
from coordination.evidence.refusals import NotMarked
from coordination.projects.models import Link, Requirement, Task
from coordination.projects.queries import units_of

MOST = 30
Point = tuple[int, int]


@dataclass(frozen=True)
class MarkInput:
    """One mark. ``points`` as the model has them; ``typed`` is the stated length of a dimension."""

    sender_key: UUID
    kind: str
    points: tuple[Point, Point]
    words: str = ""
    typed: str = ""


def put_mark(project: Project, visitor: Visitor, at: datetime, evidence_uid: UUID, given: MarkInput) -> Mark:
    """Put a mark over a photo. The same key again is the same mark.

    Raises NotVisible, NotAllowed, NotMarked with every reason, NotAReading for a length that cannot be read.
    """
    with deciding(project, visitor, at) as pen:
        evidence = evidence_by_uid(project, evidence_uid)
        require(visitor, "mark a photo", scope_of_marks(evidence.requirement))
        known = Mark.objects.filter(sender_key=given.sender_key).first()
        if known is not None:
            _refuse_unless_of(evidence, known)
            pen.leave_as_it_is()
            return known
        if reasons := [*_faults_of_photo(evidence), *faults_of(given)]:
            raise NotMarked(*reasons)
        row = _row(evidence, given, visitor, at)
        row.event = pen.write("photo marked", subject=str(evidence.requirement), body=body_of(row))
        row.save(force_insert=True)
        return row


def take_mark_back(project: Project, visitor: Visitor, at: datetime, mark_uid: UUID) -> Mark:
    """Draw a mark no more. Only whoever put it does so, and not where a refusal names it; twice is harmless.

    Raises NotVisible, NotAllowed, NotMarked.
    """
    with deciding(project, visitor, at) as pen:
        mark = _mark(project, mark_uid)
        requirement = mark.evidence.requirement
        require(visitor, "mark a photo", scope_of_marks(requirement))
        if MarkTakenBack.objects.filter(mark=mark).exists():
            pen.leave_as_it_is()
            return mark
        refuse_another_s(mark, visitor)
        if _is_reason(mark):
            raise NotMarked(Reason("mark is a reason"))
        body = {"evidence": str(mark.evidence.uid), "mark": str(mark.uid), "number": mark.number}
        event = pen.write("mark taken back", subject=str(requirement), body=body)
        ended = {"by": visitor.identity, "by_name": visitor.name, "at": at, "event": event}
        MarkTakenBack.objects.create(mark=mark, **ended)
        return mark


def scope_of_marks(requirement: Requirement) -> Scope:
    """Whoever hands in, reviews or builds on it; an authority's document is nobody's own work."""
    released = bool(requirement.release)
    return Scope(
        trade="" if released else requirement.task.trade,
        receivers=frozenset() if released else receiving_trades(requirement.task),
        accepts=requirement.accepts,
        deputy=requirement.deputy,
    )


def receiving_trades(task: Task) -> frozenset[str]:
    """The trades to which the work is handed over; one query."""
    handoffs = Link.objects.filter(
        before=task, handoff=True, retired_in__isnull=True, after__retired_in__isnull=True
    )
    return frozenset(handoffs.values_list("after__trade", flat=True))


def refuse_another_s(mark: MarkOverPhoto, visitor: Visitor) -> None:
    if mark.by != visitor.identity:
        raise NotMarked(Reason("mark of another", {"name": mark.by_name}))


def body_of(row: Mark) -> dict[str, object]:
    """What the record says of a mark over what was handed in."""
    return {"evidence": str(row.evidence.uid), **told_of(row)}


def told_of(row: MarkOverPhoto) -> dict[str, object]:
    """What the record says of any mark."""
    return {
        "mark": str(row.uid),
        "number": row.number,
        "kind": row.kind,
        "points": [list(point) for point in row.points],
        "words": row.words,
        "typed": row.typed,
        "length": row.length,
    }


def _mark(project: Project, uid: UUID) -> Mark:
    rows = Mark.objects.select_related("evidence__requirement__task")
    row = rows.filter(uid=uid, evidence__requirement__task__project=project).first()
    if row is None:
        raise NotVisible
    return row


def _is_reason(mark: Mark) -> bool:
    return MarkReason.objects.filter(mark=mark).exists() or MarkNamed.objects.filter(mark=mark).exists()


def _refuse_unless_of(evidence: Evidence, known: Mark) -> None:
    if known.evidence_id != evidence.pk:
        raise NotMarked(Reason("put before elsewhere"))


def _faults_of_photo(evidence: Evidence) -> list[Reason]:
    if evidence.blob is None or not evidence.blob.media_type.startswith("image/"):
        return [Reason("no photo to mark")]
    reasons = [Reason("withdrawn already")] if evidence.withdrawn_at is not None else []
    ended = MarkTakenBack.objects.filter(mark__evidence=evidence).values("mark")
    if Mark.objects.filter(evidence=evidence).exclude(pk__in=ended).count() >= MOST:
        reasons.append(Reason("too many marks", {"most": MOST}))
    return reasons


def faults_of(given: MarkInput) -> list[Reason]:
    """What is wrong with a mark by itself. Raises ValueError for a kind that there is not."""
    if given.kind not in MARK_KINDS:
        raise ValueError(f"A mark is one of {', '.join(MARK_KINDS)}, not {given.kind!r}.")
    first, second = given.points
    lacks = {
        "mark off the photo": not all(0 <= number <= FULL for number in (*first, *second)),
        "mark without size": first == second,
        "mark without words": given.kind != "dimension" and not given.words.strip(),
        "dimension without length": given.kind == "dimension" and not given.typed.strip(),
    }
    return [Reason(key) for key, applies in lacks.items() if applies]


def _row(evidence: Evidence, given: MarkInput, visitor: Visitor, at: datetime) -> Mark:
    highest = Mark.objects.filter(evidence=evidence).aggregate(highest=Max("number"))["highest"]
    return Mark(evidence=evidence, number=(highest or 0) + 1, **columns_of(given, visitor, at))


def columns_of(given: MarkInput, visitor: Visitor, at: datetime) -> dict[str, Any]:
    """The columns of a new mark but its photo, number and event. Raises NotAReading."""
    (x1, y1), (x2, y2) = given.points
    typed = given.typed.strip()[:80] if given.kind == "dimension" else ""
    return {
        "sender_key": given.sender_key,
        "kind": given.kind,
        "x1": x1,
        "y1": y1,
        "x2": x2,
        "y2": y2,
        "words": given.words.strip()[:200],
        "typed": typed,
        "length": _length(typed, visitor.project) if typed else None,
        "by": visitor.identity,
        "by_name": visitor.name,
        "at": at,
    }


def _length(typed: str, project: Project) -> int:
    """Nanometres. Raises NotAReading."""
    return int(readings.read({"unit": "length"}, typed, units_of(project)).value)
