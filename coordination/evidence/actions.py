"""Handing in: photos, readings, documents and signatures for what a task must show."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import Scope, require
from coordination.access.refusals import NotVisible, Reason
from coordination.access.visitors import Visitor
from coordination.evidence.entering import OWN, EnteredFor, Entry, entry_by
from coordination.evidence.items import HandIn, claimed_of, row_of
from coordination.evidence.models import FAILED, Evidence
from coordination.evidence.outcomes import Shown
from coordination.evidence.queries import shown_for
from coordination.evidence.refusals import NotHandedIn, TermsMovedOn
from coordination.evidence.told import body_of
from coordination.projects.models import Requirement
from coordination.record.models import Event


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


def saved_row(row: Evidence, event: Event) -> Evidence:
    """The row, kept as part of ``event``."""
    row.event = event
    row.save(force_insert=True)
    return row
