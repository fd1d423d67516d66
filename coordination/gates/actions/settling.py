"""Taking a change of plan, and what follows from time alone: both may reopen gates."""

import hashlib
from datetime import datetime
from uuid import UUID

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import require
from coordination.access.refusals import NotVisible, Reason
from coordination.access.visitors import Visitor
from coordination.gates.actions.conceding import end
from coordination.gates.calendars import local_day
from coordination.gates.models import Concession
from coordination.gates.reopening import Moved, Saying, carry_out, moved_gates
from coordination.projects.applying import apply_change
from coordination.projects.models import PlanChange, PlanRevision
from coordination.projects.refusals import ChangeGone
from coordination.record.models import Event


def accept_change(project: Project, visitor: Visitor, at: datetime, change_uid: UUID) -> PlanRevision:
    """Make an open change the standing plan. Gates whose conditions read something that alters reopen.

    Raises ChangeGone when newer facts replaced it, NotAllowed, NotVisible. Accepting twice is harmless.
    """
    require(visitor, "accept a change of plan")
    with deciding(project, visitor, at) as pen:
        change = PlanChange.objects.filter(project=project, uid=change_uid).select_related("event").first()
        if change is None:
            raise NotVisible
        if change.state == "accepted":
            pen.leave_as_it_is()
            return PlanRevision.objects.filter(
                project=project, derived=change.derived, facts_length=change.event.seq
            ).latest("number")
        if change.state != "open":
            raise ChangeGone(Reason("change gone"))
        body = {
            "change": str(change.uid),
            "summary": change.summary,
            "derived_sha256": hashlib.sha256(change.derived.encode()).hexdigest(),
        }
        carry_out(
            pen,
            project,
            Saying("plan accepted", "plan", body),
            lambda event: _apply(project, change, event),
        )
        return PlanRevision.objects.filter(project=project).latest("number")


def lapse_concessions(project: Project, at: datetime) -> list[Concession]:
    """End the concessions whose last day is over, each in its own decision of the program."""
    today = local_day(project, at)
    rows = Concession.objects.filter(
        requirement__task__project=project, ended_at__isnull=True, expires_on__lt=today
    )
    ended = []
    for pk in rows.order_by("pk").values_list("pk", flat=True):
        with deciding(project, None, at) as pen:
            concession = Concession.objects.select_related("requirement__task__project").get(pk=pk)
            if concession.ended_at is not None:
                pen.leave_as_it_is()
                continue
            end(pen, concession, "concession lapsed", str(concession.expires_on))
            ended.append(concession)
    return ended


def reopen_moved_gates(project: Project, at: datetime) -> tuple[Moved, ...]:
    """Reopen gates that no longer stand for what they read, where nothing else has: found from state."""
    with deciding(project, None, at) as pen:
        moved = moved_gates(project, at)
        if not moved:
            pen.leave_as_it_is()
            return ()
        subject = ", ".join(item.gate.key for item in moved)[:200]
        carry_out(pen, project, Saying("gates reopened", subject, {}), lambda event: None)
        return moved


def _apply(project: Project, change: PlanChange, event: Event) -> None:
    apply_change(project, change, event)
