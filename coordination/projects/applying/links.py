"""Links: matched by their two tasks and their kind. Those of what people added are no plan's."""

from typing import Any

from coordination.access.models import Project
from coordination.projects.applying.rows import keep
from coordination.projects.models import Link, Task
from coordination.siteprep import plan_parts
from coordination.siteprep.plan_parts import Plan


def keep_links(project: Project, plan: Plan, tasks: dict[str, Task], number: int) -> None:
    rows = Link.objects.filter(project=project, own=False)
    standing = {(link.before_id, link.after_id, link.kind): link for link in rows}
    wanted = {
        (tasks[link.before].pk, tasks[link.after].pk, link.kind): _values(link, tasks) for link in plan.links
    }
    keep(Link, standing, wanted, number, first={"project": project, "origin": number})


def _values(link: plan_parts.Link, tasks: dict[str, Task]) -> dict[str, Any]:
    return {
        "before": tasks[link.before],
        "after": tasks[link.after],
        "kind": link.kind,
        "lag": link.lag,
        "unit": link.unit,
        "handoff": link.handoff,
        "receiver_note": dict(link.receiver_note),
    }
