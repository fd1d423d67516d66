"""How long a reviewer or a receiver has for an answer, and until when."""

from collections.abc import Iterable
from datetime import datetime
from zoneinfo import ZoneInfo

from coordination.gates.scene import Scene
from coordination.projects.models import Requirement, Task
from coordination.readiness import WorkingHours, answer_hours, due_after


def due_by(
    scene: Scene, task: Task, asked_of: Iterable[Requirement], came: datetime, hours: WorkingHours
) -> datetime:
    """When the answer on ``task`` is due that has been awaited since ``came``. ``hours`` are those of the site."""
    local = came.astimezone(ZoneInfo(scene.holding.project.zone))
    return due_after(local, hours_for(scene, task, asked_of), hours)


def hours_for(scene: Scene, task: Task, asked_of: Iterable[Requirement]) -> int:
    """Four working hours where the work is about to be covered, else the shortest that a requirement asks for."""
    asked = [int(row.terms["answer_hours"]) for row in asked_of if row.terms.get("answer_hours")]
    return answer_hours(asked, about_to_be_covered=about_to_be_covered(scene, task))


def about_to_be_covered(scene: Scene, task: Task) -> bool:
    """Whether work that covers ``task`` is still to begin."""
    holding = scene.holding
    after = [holding.task[link.after_id] for link in holding.links_out_of[task.pk] if link.kind == "covers"]
    return any(row.begun_on is None and row.retired_in is None for row in after)
