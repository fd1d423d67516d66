"""How far a right has to reach for a task: its own trade, and the trades that receive it."""

from coordination.access.permissions import Scope, may
from coordination.access.visitors import Visitor
from coordination.evidence.marking import receiving_trades
from coordination.gates.holding import Holding
from coordination.projects.models import Task


def scope_in(task: Task, holding: Holding) -> Scope:
    """The scope of a task of a project that is loaded already."""
    return Scope(trade=task.trade, receivers=frozenset(row.trade for row in receivers_of(task, holding)))


def scope_of(task: Task) -> Scope:
    """The same by one query, where nothing else of the project is needed."""
    return Scope(trade=task.trade, receivers=receiving_trades(task))


def receivers_of(task: Task, holding: Holding) -> list[Task]:
    """The tasks to which this one is handed over."""
    found = [holding.task[link.after_id] for link in holding.links_out_of[task.pk] if link.handoff]
    return list(dict.fromkeys(row for row in found if row.retired_in is None))


def may_see(visitor: Visitor, task: Task, holding: Holding) -> bool:
    return may(visitor, "see a task", scope_in(task, holding))
