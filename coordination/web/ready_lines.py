"""Work that may begin or is under way, as lines of components/schedule.html, with who does it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date

from coordination.dates.queries import DatedPlan
from coordination.gates.queries import Scene
from coordination.projects.models import Task
from coordination.web.texts import said

UNDER_WAY = ("refused", "offered", "at work", "ready")


@dataclass(frozen=True)
class WorkLine:
    """A task that somebody can move today."""

    name: str
    state: str
    note: str
    href: str


def ready_lines(
    scene: Scene, dated: DatedPlan, places: Mapping[str, str], address: Callable[[Task], str]
) -> list[WorkLine]:
    """Refused work first, then what is offered, at work, ready; within a state by date."""
    owners = {task.key: task.owner for task in scene.standing.tasks}
    tasks = [
        task
        for task in scene.holding.tasks
        if not task.is_gate and task.key in scene.assessment.tasks and _state(task, scene) in UNDER_WAY
    ]
    tasks.sort(key=lambda task: (UNDER_WAY.index(_state(task, scene)), _start(task, dated), task.key))
    return [
        WorkLine(
            said(task.derived.get("text", {})),
            _state(task, scene),
            ", ".join(filter(None, (places.get(task.place), owners.get(task.key)))),
            address(task),
        )
        for task in tasks
    ]


def _state(task: Task, scene: Scene) -> str:
    return scene.assessment.tasks[task.key].state


def _start(task: Task, dated: DatedPlan) -> date:
    return dated.tasks[task.key].early_start if task.key in dated.tasks else date.max
