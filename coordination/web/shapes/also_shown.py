"""What else a photo may show: the other views that the same visit still owes."""

from collections.abc import Iterable
from uuid import UUID

from coordination.access.visitors import Visitor
from coordination.evidence.one_photo import AlsoShown
from coordination.gates.queries import Scene
from coordination.gates.sentences import of_task
from coordination.projects.models import Requirement, Task
from coordination.web.shapes.scopes import may_see
from coordination.web.texts import said

OWED = frozenset({"none", "refused"})


def also_shown(row: Requirement, scene: Scene, visitor: Visitor) -> Iterable[tuple[str, str]]:
    """For each view that is owed by the same trade at the same place: its value in a form, and its words."""
    holding = scene.holding
    own = holding.task[row.task_id]
    for task in holding.tasks:
        if not _same_visit(task, own) or not may_see(visitor, task, holding):
            continue
        for other in holding.requirements_of[task.pk]:
            if other.kind == "photo" and other.pk != row.pk and holding.shown[other.pk].outcome in OWED:
                words = said(other.terms.get("text", {}))
                yield (
                    f"{other.uid}:{other.terms_sha}",
                    words if task.pk == own.pk else f"{of_task(task)}: {words}",
                )


def _same_visit(task: Task, own: Task) -> bool:
    """Begun, not finished, of the same trade at the same place."""
    at_work = task.begun_on is not None and task.finished_on is None and task.retired_in is None
    return at_work and (task.trade, task.place) == (own.trade, own.place)


def ticked(values: Iterable[str]) -> list[AlsoShown]:
    """What was ticked, as the action takes it."""
    parts = (value.partition(":") for value in values)
    return [AlsoShown(UUID(uid), sha) for uid, _colon, sha in parts]
