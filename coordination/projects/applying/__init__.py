"""Turning an accepted change of plan into rows: by key only, nothing deleted, people's own values kept.

``apply_change`` is called inside the deciding block of whoever accepts (gates.actions.accept_change).
"""

from dataclasses import dataclass
from typing import Any

from coordination.access.models import Project
from coordination.access.refusals import Reason
from coordination.projects.applying.gates import keep_gates
from coordination.projects.applying.links import keep_links
from coordination.projects.applying.questions import keep_questions
from coordination.projects.applying.requirements import keep_requirements
from coordination.projects.applying.tasks import keep_tasks
from coordination.projects.changing import newest_revision
from coordination.projects.deriving import read_plan
from coordination.projects.models import PlanChange, PlanRevision
from coordination.projects.refusals import ChangeGone
from coordination.record.models import Event
from coordination.siteprep.plan_parts import Plan

__all__ = ["Applied", "apply_change", "keep_plan"]


@dataclass(frozen=True)
class Applied:
    """What stands now: the revision, and the plan it holds."""

    revision: PlanRevision
    plan: Plan


def apply_change(project: Project, change: PlanChange, event: Event) -> Applied:
    """Make ``change`` the standing plan. Raises ChangeGone unless it is still the project's open one."""
    still_open = PlanChange.objects.filter(pk=change.pk, project=project, state="open")
    if not still_open.update(state="accepted"):
        raise ChangeGone(Reason("change gone"))
    plan = read_plan(change.derived)
    before = newest_revision(project)
    revision = PlanRevision.objects.create(
        project=project,
        number=before.number + 1 if before else 1,
        facts_length=change.event.seq,
        catalogue_sha=plan.catalogue_sha,
        derived=change.derived,
        event=event,
    )
    keep_plan(project, plan, revision.number)
    return Applied(revision, plan)


def keep_plan(project: Project, plan: Plan, number: int) -> dict[str, Any]:
    """Bring the rows into step with ``plan``, revision ``number``; doing it twice changes nothing."""
    tasks = keep_tasks(project, plan, number)
    keep_requirements(project, plan, tasks, number)
    keep_links(project, plan, tasks, number)
    keep_gates(project, plan, tasks, number)
    keep_questions(project, plan, number)
    return tasks
