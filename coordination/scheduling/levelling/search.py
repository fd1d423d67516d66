"""Local search on priorities: move a group, a crew's tasks in it, or a few tasks; keep what is not worse.

Every priority list gives a feasible schedule, so there is an answer at any moment. The same seed and number of
moves give the same answer.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass

from .generation import Shop
from .problem import Cost

KeepGoing = Callable[[], bool]


@dataclass(frozen=True)
class Found:
    """A schedule as instants by place, its cost, and how many schedules were tried to find it."""

    at: list[int]
    cost: Cost
    tried: int


def search(
    shop: Shop,
    seed: int,
    keep_going: KeepGoing,
    moves: int | None = None,
    tell: Callable[[list[int]], None] = lambda at: None,
) -> Found:
    """The best schedule found while ``keep_going()`` and within ``moves``; never worse than latest start first.

    ``tell`` hears of every better schedule. Raises OutOfHorizon when not even the first one fits into the calendars.
    """
    priority = shop.latest_starts()
    at = shop.generate(shop.in_order(priority))
    best, cost = at, shop.cost(at)
    least = ideal(shop)
    mover, tried = Mover(shop, random.Random(seed)), 1  # noqa: S311
    while (moves is None or tried <= moves) and cost > least and keep_going():
        moved = mover.moved(priority)
        at = shop.generate(shop.in_order(moved))
        tried += 1
        new = shop.cost(at)
        if new < cost:
            tell(at)
        if new <= cost:
            best, cost, priority = at, new, moved
    return Found(best, cost, tried)


def ideal(shop: Shop) -> Cost:
    """What no schedule beats: nothing late, and all done as soon as with crews enough."""
    return Cost(0, shop.passes.forward().end - shop.zero)


class Mover:
    """Random changes of a priority list, as wide as the project's own spread of priorities suggests."""

    def __init__(self, shop: Shop, chance: random.Random) -> None:
        self.chance = chance
        self.movable = [i for i in shop.rows if i not in shop.standing]
        keys = [task.key for task in shop.passes.tasks]
        groups = [shop.problem.groups.get(key, "") for key in keys]
        self.groups = _together(self.movable, lambda i: [groups[i]])
        self.parts = _together(
            self.movable, lambda i: [f"{groups[i]} {number}" for number, _ in shop.needs[i]]
        )
        priority = shop.latest_starts()
        spread = max(priority, default=0.0) - min(priority, default=0.0)
        self.far, self.near = max(5.0, spread / 10), max(3.0, spread / 20)

    def moved(self, priority: list[float]) -> list[float]:
        """A changed copy of ``priority``."""
        chance, moved = self.chance, priority[:]
        if not self.movable:
            return moved
        draw = chance.random()
        if draw < 0.15 and len(self.groups) > 1:
            self._shift(moved, chance.choice(self.groups), self.far)
        elif draw < 0.35 and self.parts:
            self._shift(moved, chance.choice(self.parts), self.far)
        elif draw < 0.45:
            moved[chance.choice(self.movable)] = priority[chance.choice(self.movable)] + chance.choice(
                [-0.5, 0.5]
            )
        else:
            for _ in range(chance.randint(1, 4)):
                moved[chance.choice(self.movable)] += chance.gauss(0, self.near)
        return moved

    def _shift(self, moved: list[float], ranks: list[int], width: float) -> None:
        step = self.chance.gauss(0, width)
        for i in ranks:
            moved[i] += step


def _together(ranks: list[int], names: Callable[[int], list[str]]) -> list[list[int]]:
    found: dict[str, list[int]] = {}
    for i in ranks:
        for name in names(i):
            found.setdefault(name, []).append(i)
    return [*found.values()]
