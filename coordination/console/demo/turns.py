"""What people add to a plan, or let go before the work: each turn is taken once, as soon as its moment has come."""

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING, Protocol

from coordination.gates.own_gates import GateWish
from coordination.gates.queries import Scene
from coordination.gates.witnessing import Point, earliest_day, points_of
from coordination.projects.models import Task

if TYPE_CHECKING:
    from coordination.console.demo.playing import Player

AFTERNOON = 15


class Turn(Protocol):
    def take(self, player: "Player", scene: Scene) -> bool:
        """Do what can be done now; whether nothing of it is left to do."""

    def keeps(self, task: Task, scene: Scene) -> bool:
        """Whether people let a task wait for this, of their own accord."""


@dataclass(frozen=True)
class HoldPoint:
    """A gate of the project's own, added on the first morning."""

    wish: GateWish

    def take(self, player: "Player", scene: Scene) -> bool:
        contractor = player.troupe.as_role("contractor", player.now)
        player.hands.hold(contractor, player.tick(), self.wish)
        return True

    def keeps(self, task: Task, scene: Scene) -> bool:
        return False


@dataclass(frozen=True)
class Permitting:
    """A deviation permit, given on the morning on which the work could begin; ``days``: how long it lasts."""

    requirement: str
    reason: str
    scope: str
    quantity: str = ""
    days: int = 0

    def take(self, player: "Player", scene: Scene) -> bool:
        row = scene.holding.requirement_by_key.get(self.requirement)
        task = scene.holding.task[row.task_id] if row else None
        if row is None or task is None or not scene.ready(task).may_start:
            return False
        for role in row.concede:
            player.hands.concede(
                player.troupe.as_role(role, player.now),
                player.tick(),
                row,
                reason=self.reason,
                scope=self.scope,
                quantity=self.quantity,
                expires_on=player.now.date() + timedelta(days=self.days) if self.days else None,
            )
        return True

    def keeps(self, task: Task, scene: Scene) -> bool:
        return False


@dataclass(frozen=True)
class Witnessing:
    """A party is told in time and comes, or does not (``who`` is empty). With ``text`` the point is people's own."""

    task: str
    party: str
    how: str
    who: str = ""
    note: str = ""
    text: str = ""
    notice_days: int = 2

    def take(self, player: "Player", scene: Scene) -> bool:
        task = scene.holding.task_by_key[self.task]
        contractor = player.troupe.as_role("contractor", player.now)
        point = self._point(scene)
        if point is None:
            player.hands.let_witness(
                contractor,
                player.tick(),
                task,
                party=self.party,
                text=self.text,
                notice_days=self.notice_days,
            )
        elif point.notice is None and scene.ready(task).may_start:
            day = earliest_day(scene.holding, point)
            player.hands.tell(contractor, player.tick(), point, for_day=day, how=self.how)
        elif point.notice and point.notice.for_day <= player.now.date() and player.now.hour >= AFTERNOON:
            player.hands.say_who_came(contractor, player.tick(), point.notice, who=self.who, note=self.note)
            return True
        return False

    def keeps(self, task: Task, scene: Scene) -> bool:
        """The work begins on the day for which the party was told."""
        if task.key != self.task or (point := self._point(scene)) is None:
            return False
        return point.notice is None or point.notice.for_day > scene.holding.today

    def _point(self, scene: Scene) -> Point | None:
        found = (each for each in points_of(scene.holding) if each.task.key == self.task)
        return next((each for each in found if (each.own is not None) == bool(self.text)), None)
