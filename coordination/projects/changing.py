"""Laying a newer derivation beside the standing plan, as a change that a person accepts."""

import uuid
from dataclasses import asdict
from typing import Any

from coordination.access.models import Project
from coordination.projects.deriving import empty_plan, read_plan
from coordination.projects.models import PlanChange, PlanRevision
from coordination.record.models import Event
from coordination.siteprep.comparing import compare
from coordination.siteprep.plan_parts import Plan


def newest_revision(project: Project) -> PlanRevision | None:
    return PlanRevision.objects.filter(project=project).order_by("-number").first()


def plan_in(revision: PlanRevision | None, project: Project) -> Plan:
    """The plan of ``revision``, or one without anything before the first."""
    return read_plan(revision.derived) if revision else empty_plan(project.code_set)


def would_change(project: Project, plan: Plan) -> bool:
    """Whether laying ``plan`` beside the standing one would alter what is open now."""
    derived, base = plan.as_json(), newest_revision(project)
    standing = PlanChange.objects.filter(project=project, state="open").first()
    if base is not None and base.derived == derived:
        return standing is not None
    return standing is None or standing.derived != derived


def lay_beside(project: Project, plan: Plan, event: Event) -> PlanChange | None:
    """Keep ``plan`` as the one open change; none where it is the standing plan already.

    An open change that says the same is left alone; one that says otherwise is replaced.
    """
    standing = PlanChange.objects.filter(project=project, state="open")
    if not would_change(project, plan):
        return standing.first()
    derived, base = plan.as_json(), newest_revision(project)
    standing.update(state="replaced")
    if base is not None and base.derived == derived:
        return None
    return PlanChange.objects.create(
        uid=uuid.uuid4(),
        project=project,
        base=base,
        derived=derived,
        summary=summary_of(plan_in(base, project), plan),
        event=event,
    )


def summary_of(old: Plan, new: Plan) -> dict[str, Any]:
    """What accepting ``new`` would change, as JSON: keys only, the words are in the plans."""
    change = asdict(compare(old, new))
    return {name: _as_json(value) for name, value in change.items()}


def _as_json(value: Any) -> Any:
    if isinstance(value, tuple | list):
        return [_as_json(each) for each in value]
    return {key: _as_json(each) for key, each in value.items()} if isinstance(value, dict) else value
