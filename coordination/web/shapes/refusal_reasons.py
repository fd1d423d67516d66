"""What is usually wrong with a requirement, or with work that is handed over: to tick, in the reader's words."""

from coordination.gates.queries import Scene
from coordination.projects.models import Requirement, Task
from coordination.siteprep.refusing import reasons_to_refuse
from coordination.web.texts import said

Reasons = tuple[tuple[str, str], ...]


def reasons_of(row: Requirement, scene: Scene) -> Reasons:
    """(value, words) for one requirement: its own first, then those of its work, then of everything of its kind."""
    return _reasons(row.kind, scene.holding.task[row.task_id], scene, row.key)


def reasons_of_handoff(giver: Task, scene: Scene) -> Reasons:
    """(value, words) for work that is held out."""
    return _reasons("handoff", giver, scene)


def _reasons(kind: str, task: Task, scene: Scene, requirement: str = "") -> Reasons:
    holding = scene.holding
    found = reasons_to_refuse(
        holding.catalogue.reasons, holding.project.code_set, kind, task.entry, requirement
    )
    return tuple((key, said(text)) for key, text in found)
