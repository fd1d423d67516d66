"""Local search on priorities in compiled code, for problems with calendars.

As in ``search``: move a group, a crew's tasks in it, or a few tasks. What is a little worse is kept now and then, less
and less so in the course of a round; the next round is longer and begins with the best.

Source: S. Kirkpatrick, C. D. Gelatt, M. P. Vecchi, Optimization by simulated annealing, Science 220 (1983) 671-680,
from memory.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from random import Random

import numpy as np

from .dated import DatedShop, listed
from .generation import Shop
from .inner_loops import UNIT, improve
from .problem import Cost
from .search import Found, Mover, ideal

MEASURE = 1 << 20
AT_ONCE = 40_000
FIRST_ROUND = 50_000
LONGER = 1.5
WARM = 0.003
NEARER = 0.5
ROOM = 50


def anneal(
    shop: Shop,
    seed: int,
    keep_going: Callable[[], bool],
    moves: int | None = None,
    tell: Callable[[Found], None] = lambda found: None,
) -> Found:
    """The best schedule found while ``keep_going()`` and within ``moves``, repeatable by seed.

    ``tell`` hears of better schedules. Raises OutOfHorizon when not even the first fits into the calendars.
    """
    run = _Run(shop, seed)
    least = ideal(shop)
    while (moves is None or run.tried <= moves) and run.found.cost > least and keep_going():
        if run.go_on(None if moves is None else moves + 1 - run.tried):
            tell(run.found)
    return run.found


class _Run:
    """A search under way."""

    def __init__(self, shop: Shop, seed: int) -> None:
        self.shop, self.dated, self.chance = shop, DatedShop(shop), np.random.default_rng(seed)
        latest = shop.latest_starts()
        at = shop.generate(shop.in_order(latest))
        self.found, self.tried = Found(at, shop.cost(at), 1), 1
        self.round = self.left = FIRST_ROUND
        mover = Mover(shop, Random(seed))  # noqa: S311
        spread = max(latest, default=0) - min(latest, default=0)
        margin = spread + max(ROOM, shop.count)
        self.far, self.near = (int(UNIT * NEARER * width) for width in (mover.far, mover.near))
        self.priority = np.array([UNIT * (day - min(latest) + margin) for day in latest], np.int64)
        self.best_priority, self.best = self.priority.copy(), np.array(at, np.int64)
        self.costs = np.array([_whole(self.found.cost, shop.zero)] * 2, np.int64)
        self.lists = (
            np.array(mover.movable, np.int64),
            tuple(listed(mover.groups)),
            tuple(listed(mover.parts)),
        )
        n, room = shop.count, np.zeros(int(UNIT * (spread + 2 * margin)) + 2, np.int64)
        ranks = [np.zeros(size, np.int64) for size in (n, n, len(self.dated.open))]
        self.room = *ranks, room, self.dated.at.copy(), self.dated.left.copy()

    def go_on(self, most: int | None) -> bool:
        """Try a few more, at most so many; is one of them better than all before?"""
        count = max(1, min(AT_ONCE // max(1, self.shop.count), self.left, most or AT_ONCE))
        warmth = WARM * self.left / self.round * _whole(self.found.cost, 0)
        improve(
            self.dated.known,
            self.dated.open,
            tuple(self.dated.before),
            *self.lists,
            (self.dated.at, self.dated.left),
            self.room,
            self.chance.random((count, 8)),
            self.chance.normal(0, 1, (count, 4)),
            self.chance.exponential(warmth, count).astype(np.int64),
            self.far,
            self.near,
            MEASURE,
            self.priority,
            self.costs,
            self.best_priority,
            self.best,
        )
        self.tried, self.left = self.tried + count, self.left - count
        if not self.left:
            self._next_round()
        return self._heard()

    def _next_round(self) -> None:
        """The next is longer and begins with the best."""
        self.round = self.left = int(LONGER * self.round)
        self.priority[:], self.costs[0] = self.best_priority, self.costs[1]

    def _heard(self) -> bool:
        cost = self.shop.cost(at := self.best.tolist())
        better = cost < self.found.cost
        self.found = Found(at, cost, self.tried) if better else replace(self.found, tried=self.tried)
        return better


def _whole(cost: Cost, zero: int) -> int:
    """A cost as ``improve`` counts it, ``zero`` being the instant at which the network starts."""
    return cost.late * MEASURE + cost.length + zero
