"""Work that comes back to its trade: what was refused or withdrawn is no longer finished."""

from datetime import datetime

from coordination.access.models import Project
from coordination.gates.models import Offer
from coordination.gates.scene import look_at
from coordination.projects.models import Requirement, Task
from coordination.readiness import is_shown


def bring_back(task: Task, at: datetime) -> None:
    """End the standing offer and the finish of ``task``; harmless when it is neither offered nor finished."""
    Offer.objects.filter(task=task, ended_at__isnull=True).update(ended_at=at)
    Task.objects.filter(pk=task.pk, finished_on__isnull=False).update(finished_on=None)


def bring_back_unless_shown(project: Project, requirement: Requirement, at: datetime) -> None:
    """Bring the work back when what it must show is no longer there."""
    scene = look_at(project, at)
    task = scene.holding.task[requirement.task_id]
    need = scene.reading.needs.get(scene.holding.key_of(requirement))
    if need is not None and not is_shown(need):
        bring_back(task, at)
