"""Rows for what people of a project add beside the plan: work and milestones, in the form that plans give theirs."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from uuid import UUID

from coordination.access.models import Project
from coordination.gates.holding import Holding
from coordination.projects.applying.requirements import terms_sha
from coordination.projects.applying.tasks import as_json
from coordination.projects.models import Link, Requirement, Task
from coordination.siteprep import plan_parts
from coordination.siteprep.sources import Source

ENTRY = "own"
SITE = "site"
OWN_WORD = Source("this job's input", "", "drawing", "")
MOST_NAME = 160


@dataclass(frozen=True)
class Described:
    """A piece of work in people's own words. ``days`` are working days; 0 for a milestone."""

    key: str
    name: str
    place: str = SITE
    package: str = ""
    trade: str = "general contractor"
    days: int = 0
    first_line: str = ""
    milestone_of: str | None = None


def own_task(holding: Holding, uid: UUID, told: Described) -> Task:
    """The row of a task that is not kept yet."""
    days = told.days
    text = {"en": told.name[:MOST_NAME]}
    part = plan_parts.Task(
        key=told.key,
        entry=ENTRY,
        place=told.place,
        package=told.package,
        trade=told.trade,
        text=text,
        first_line={"en": told.first_line[:MOST_NAME]} if told.first_line else text,
        duration=plan_parts.Duration(max(days - 1, min(days, 1)), days, days + (days + 1) // 2),
        calendar="lift" if told.trade == "lift" else SITE,
        milestone_of=told.milestone_of,
    )
    return Task(
        uid=uid,
        project=holding.project,
        key=part.key,
        entry=part.entry,
        place=part.place,
        package=part.package,
        trade=part.trade,
        derived=as_json(part, without=("requirements", "was")),
        is_gate=told.milestone_of is not None,
        origin=max(holding.plan_number, 1),
        place_order=_place_order(holding, told.place),
        own=True,
    )


def own_photo(
    task: Task, key: str, text: Mapping[str, str], *, accepts: str, deputy: str, hours: int = 8
) -> Requirement:
    """A photo that own work must show; nobody may let it go, or all of the roles that review."""
    asked = plan_parts.Requirement(
        task=task.key,
        key=key,
        kind="photo",
        text=text,
        source=OWN_WORD,
        stand=FROM_OUTSIDE,
        accepts=accepts,
        deputy=deputy,
        answer_hours=hours,
    )
    return Requirement(
        task=task,
        key=key,
        kind=asked.kind,
        terms=as_json(asked, without=("task",)),
        terms_sha=terms_sha(asked),
        accepts=accepts,
        deputy=deputy,
        concede=[],
    )


def own_link(project: Project, before: Task, after: Task, number: int, kind: str = "FS") -> Link:
    """A link that belongs to what people added."""
    return Link(project=project, before=before, after=after, kind=kind, origin=max(number, 1), own=True)


def package_of(holding: Holding, keys: Sequence[str]) -> str:
    """The package of the first of these tasks, where it has one."""
    found = [holding.task_by_key[key].package for key in keys if key in holding.task_by_key]
    return found[0] if found else next((task.package for task in holding.tasks), "")


def _place_order(holding: Holding, place: str) -> int:
    orders = {task.place: task.place_order for task in holding.tasks}
    return orders.get(place, max(orders.values(), default=0))


FROM_OUTSIDE = {
    "en": "From outside the guard, the whole of it in the picture",
    "es": "Desde fuera de la protección, todo en la foto",
}
