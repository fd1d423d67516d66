"""A newer document in the place of an older one: the older stays readable, and counts until the newer one does."""

from datetime import datetime
from uuid import UUID

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.refusals import Reason
from coordination.access.visitors import Visitor
from coordination.evidence.actions import entry_of, refuse_moved_on, require_right, saved_row
from coordination.evidence.entering import EnteredFor
from coordination.evidence.items import HandIn, row_of
from coordination.evidence.models import Evidence
from coordination.evidence.queries import evidence_by_uid, shown_for
from coordination.evidence.refusals import NotHandedIn
from coordination.evidence.told import body_of
from coordination.gates.reopening import Saying, carry_out
from coordination.projects.models import Requirement
from coordination.record.models import Event


def supersede_document(
    project: Project,
    visitor: Visitor,
    at: datetime,
    evidence_uid: UUID,
    item: HandIn,
    *,
    for_other: EnteredFor | None = None,
    terms_sha: str = "",
) -> Evidence:
    """Hand in a document that takes the place of one that stands; gates that had read that one reopen when it does.

    Accepted documents are superseded without being withdrawn, and after the work is finished too. Sent twice it is one.
    Raises NotVisible, NotAllowed, SayForWhom, TermsMovedOn, NotHandedIn.
    """
    with deciding(project, visitor, at, claimed_at=item.sent_at) as pen:
        older = evidence_by_uid(project, evidence_uid)
        requirement = older.requirement
        require_right(visitor, requirement)
        known = Evidence.objects.filter(sender_key=item.sender_key, requirement=requirement).first()
        if known is not None:
            pen.leave_as_it_is()
            return known
        _refuse(requirement, older, terms_sha)
        entry = entry_of(visitor, project, requirement, for_other)
        row = row_of(requirement, item, visitor, entry, at=at)
        row.replaces = older

        def change(event: Event) -> None:
            row.pk = None
            saved_row(row, event)

        body = {**body_of(requirement, [row], entry), "replaces": str(older.uid)}
        carry_out(pen, project, Saying("evidence handed in", str(requirement), body), change)
        return row


def _refuse(requirement: Requirement, older: Evidence, terms_sha: str) -> None:
    about = {"requirement": str(requirement)}
    refuse_moved_on(requirement, terms_sha)
    if requirement.kind != "document":
        raise NotHandedIn(Reason("only papers are superseded", about))
    standing = shown_for([requirement])[requirement.pk].standing
    if older.pk not in {item.evidence.pk for item in standing}:
        raise NotHandedIn(Reason("superseded already", about))
