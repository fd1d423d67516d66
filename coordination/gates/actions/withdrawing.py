"""Taking back what was handed in. The row and its file stay; it only counts no more."""

from datetime import datetime
from uuid import UUID

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import Scope, require
from coordination.access.refusals import Reason
from coordination.access.visitors import Visitor
from coordination.evidence.models import Evidence
from coordination.evidence.queries import evidence_by_uid
from coordination.gates.bringing_back import bring_back_unless_shown
from coordination.gates.refusals import SayWhy
from coordination.gates.reopening import Saying, at_work_over, carry_out
from coordination.gates.scene import look_at
from coordination.record.models import Event


def withdraw_evidence(
    project: Project, visitor: Visitor, at: datetime, evidence_uid: UUID, reason: str
) -> Evidence:
    """Withdraw one piece of evidence: its work comes back if something is missing then, and gates that read it reopen.

    Raises SayWhy, NotAllowed, NotVisible. Withdrawing twice is harmless.
    """
    if not reason.strip():
        raise SayWhy(Reason("say why withdrawn"))
    with deciding(project, visitor, at) as pen:
        evidence = evidence_by_uid(project, evidence_uid)
        requirement = evidence.requirement
        verb = "attach an authority's document" if requirement.release else "withdraw evidence"
        require(visitor, verb, Scope(trade=requirement.task.trade))
        if evidence.withdrawn_at is not None:
            pen.leave_as_it_is()
            return evidence

        def change(event: Event) -> None:
            still = Evidence.objects.filter(pk=evidence.pk, withdrawn_at__isnull=True)
            still.update(withdrawn_at=at)
            bring_back_unless_shown(project, requirement, at)

        working = at_work_over(requirement.task, look_at(project, at).holding)
        body = {
            "requirement": str(requirement),
            "evidence": str(evidence.uid),
            "reason": reason.strip(),
            "at_work_over_it": [vars(item) for item in working],
        }
        saying = Saying("evidence withdrawn", str(requirement), body, [reason.strip()])
        carry_out(pen, project, saying, change)
        evidence.withdrawn_at = at
        return evidence
