"""What beginning a task would take over: the sentences to tick, where nothing else keeps it from beginning."""

from dataclasses import dataclass
from uuid import UUID

from coordination.access.permissions import Scope, may
from coordination.access.visitors import Visitor
from coordination.gates.queries import Scene
from coordination.gates.sentences import names_of
from coordination.gates.taking_over import begins_with
from coordination.projects.models import Task
from coordination.web.shapes.handoffs import company_or_trade


@dataclass(frozen=True)
class TakenOver:
    """One offer to tick."""

    offer: UUID
    what: str
    from_whom: str


def taken_over(task: Task, scene: Scene, visitor: Visitor) -> tuple[TakenOver, ...]:
    """The offers that the visitor takes over by beginning, each with a sentence of its own; none where they may not."""
    if not may(visitor, "answer a handoff", Scope(receivers=frozenset({task.trade}))):
        return ()
    holding, names = scene.holding, names_of(scene)
    return tuple(
        TakenOver(
            each.offer.uid,
            names.task(holding.task[each.offer.task_id].key),
            company_or_trade(holding.task[each.offer.task_id].trade, scene),
        )
        for each in begins_with(scene, task)
    )
