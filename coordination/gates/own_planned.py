"""What people added beside the plan, in the form of the plan's own tasks: for sheets that are made from the plan."""

from collections.abc import Mapping

from django.db.models import Q

from coordination.access.models import Project
from coordination.gates.own_parts import OWN_WORD
from coordination.gates.sentences import of_task
from coordination.projects.models import Link, Requirement, Task
from coordination.siteprep import plan_parts


def own_planned(project: Project) -> list[plan_parts.Task]:
    """Own work that stands, with what it must show, in the order in which it was added."""
    live = {"own": True, "is_gate": False, "retired_in": None}
    rows = list(Task.objects.filter(project=project, **live).order_by("pk"))
    needs: dict[int, list[Requirement]] = {}
    if rows:
        for need in Requirement.objects.filter(task__in=rows, retired_in=None).order_by("order", "key"):
            needs.setdefault(need.task_id, []).append(need)
    return [_planned(row, needs.get(row.pk, [])) for row in rows]


def own_holds(project: Project) -> Mapping[str, tuple[list[str], list[str]]]:
    """By key of work: names of the hold points before it, and of those that wait for it, through people's own links."""
    found: dict[str, tuple[list[str], list[str]]] = {}
    own = Q(before__is_gate=True) | Q(after__is_gate=True)
    links = Link.objects.filter(own, before__project=project, own=True, retired_in=None)
    for link in links.select_related("before", "after").order_by("pk"):
        gate, work = (link.before, link.after) if link.before.is_gate else (link.after, link.before)
        if gate.retired_in is None and not work.is_gate:
            side = found.setdefault(work.key, ([], []))[0 if gate is link.before else 1]
            side.append(of_task(gate))
    return found


def _planned(row: Task, needs: list[Requirement]) -> plan_parts.Task:
    told = row.derived
    return plan_parts.Task(
        key=row.key,
        entry=row.entry,
        place=row.place,
        package=row.package,
        trade=row.trade,
        text=told["text"],
        first_line=told["first_line"],
        duration=plan_parts.Duration(**told["duration"]),
        calendar=told["calendar"],
        requirements=tuple(_asked(row, need) for need in needs),
    )


def _asked(row: Task, need: Requirement) -> plan_parts.Requirement:
    return plan_parts.Requirement(
        task=row.key,
        key=need.key,
        kind=need.kind,  # type: ignore[arg-type]
        text=need.terms["text"],
        source=OWN_WORD,
        stand=need.terms.get("stand") or {},
        accepts=need.accepts or None,
        deputy=need.deputy or None,
    )
