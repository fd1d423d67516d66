"""The tasks of one company, or of the lift crew: what can move first."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _

from coordination.access.visitors import Visitor
from coordination.dates.queries import DatedPlan
from coordination.gates.queries import Scene
from coordination.gates.sentences import Names, of_task
from coordination.projects.models import Task
from coordination.siteprep.plan import Plan
from coordination.web.addresses import address_of
from coordination.web.shapes.task_sheets import missing_for, place_words, returned_lines
from coordination.web.texts import on_day, said

ORDER = ("refused", "at work", "ready", "offered", "held", "accepted", "done")
TODAY = frozenset({"refused", "at work", "ready"})


@dataclass(frozen=True)
class OwnTask:
    """One line: what and where; which dimension; when, or why not."""

    key: str
    name: str
    place: str
    first_line: str
    state: str
    note: str
    href: str


@dataclass(frozen=True)
class OwnTasks:
    """Today's work, what waits for somebody else's word, what is to come, what is behind."""

    today: tuple[OwnTask, ...]
    answered_for: tuple[OwnTask, ...]
    to_come: tuple[OwnTask, ...]
    behind: tuple[OwnTask, ...]


def tasks_of(visitor: Visitor, scene: Scene, dated: DatedPlan) -> list[Task]:
    """The visitor's own pieces of work, what can move first."""
    found = [
        task
        for task in scene.holding.tasks
        if task.trade in visitor.trades and task.key in scene.assessment.tasks and not task.is_gate
    ]
    return sorted(
        found, key=lambda task: (ORDER.index(scene.ready(task).state), _start(task, dated), task.key)
    )


def own_tasks(
    visitor: Visitor, scene: Scene, plan: Plan, dated: DatedPlan, tasks: Sequence[Task]
) -> OwnTasks:
    """The same as lines."""
    lines = [_line(task, visitor, scene, plan, dated) for task in tasks]
    return OwnTasks(
        today=_in(lines, TODAY),
        answered_for=_in(lines, {"offered"}),
        to_come=_in(lines, {"held"}),
        behind=_in(lines, {"accepted", "done"}),
    )


def _in(lines: Iterable[OwnTask], states: Iterable[str]) -> tuple[OwnTask, ...]:
    return tuple(line for line in lines if line.state in set(states))


def _line(task: Task, visitor: Visitor, scene: Scene, plan: Plan, dated: DatedPlan) -> OwnTask:
    return OwnTask(
        key=task.key,
        name=of_task(task),
        place=place_words(task, plan),
        first_line=said(task.derived.get("first_line", {})),
        state=scene.ready(task).state,
        note=_note(task, visitor, scene, dated),
        href=address_of("my-task", scene.holding.project.uid, task.uid),
    )


def _note(task: Task, visitor: Visitor, scene: Scene, dated: DatedPlan) -> str:
    """The one thing that matters: why it came back, what it waits for, from when on."""
    ready, state = scene.ready(task), scene.ready(task).state
    if state == "refused" and (came_back := returned_lines(task, scene)):
        return "\n".join(came_back[0].reasons)
    if state == "held":
        [first] = missing_for(visitor, scene, ready.start_missing[:1])
        owner = f" ({first.owner})" if first.owner else ""
        return _("waits for: %(what)s") % {"what": f"{first.sentence}{owner}"}
    if state == "offered":
        offer = scene.holding.newest_offer.get(task.pk)
        day = Names(scene.holding).when(offer.offered_at) if offer else ""
        return _("offered %(day)s; the answer is awaited") % {"day": day}
    if state in TODAY and task.key in dated.tasks:
        return _dates(task, dated)
    return ""


def _dates(task: Task, dated: DatedPlan) -> str:
    dates = dated.tasks[task.key]
    if task.begun_on is not None:
        return _("begun %(day)s, planned to end %(end)s") % {
            "day": on_day(task.begun_on),
            "end": on_day(dates.early_last_day),
        }
    return _("planned from %(day)s to %(end)s") % {
        "day": on_day(dates.early_start),
        "end": on_day(dates.early_last_day),
    }


def _start(task: Task, dated: DatedPlan) -> date:
    return dated.tasks[task.key].early_start if task.key in dated.tasks else date.max
