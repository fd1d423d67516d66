"""A shop with calendars in arrays of whole numbers, as the compiled loops want it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from .generation import Shop

if TYPE_CHECKING:
    from numpy.typing import NDArray


class Listed(NamedTuple):
    """Lists one after the other: those of i are ``rows[first[i]:first[i + 1]]``."""

    first: NDArray[np.int64]
    rows: NDArray[np.int64]


def listed(lists: Iterable[Sequence[Any]], width: int | None = None) -> Listed:
    """Lists of numbers, or of tuples of ``width`` numbers."""
    lists = [*lists]
    rows = [row for each in lists for row in each] or [0 if width is None else (0,) * width]
    return Listed(np.cumsum([0, *map(len, lists)], dtype=np.int64), np.array(rows, np.int64))


class DatedShop:
    """What ``inner_loops.place_dated`` wants of a shop.

    ``known`` are its first arguments after the order, ``at`` and ``left`` its last ones before anything is placed
    that can be moved. ``before`` lists the open tasks that each task waits for; ``open`` are the ranks of all such.
    """

    def __init__(self, shop: Shop) -> None:
        self.shop = shop
        self._numbers: list[int] = []
        self._where: dict[int, int] = {}
        self.open = np.array(sorted(shop.rows), np.int64)
        self.before = listed([other for other in others if other in shop.rows] for others in shop.before)
        at, taken = shop.with_standing()
        tables = shop.passes.tables
        lying = [
            _array(self._lying(part) for part in parts)
            for parts in zip(*((table.day, table.evening, table.index) for table in tables), strict=True)
        ]
        steps = listed((self._steps(i) for i in range(shop.count)), 6)
        self.known = (
            _array(shop.passes.floors),
            _array(shop.passes.lengths),
            _array(shop.standing.get(i, -1) for i in range(shop.count)),
            *steps,
            _array(self._numbers),
            *lying,
            _array(len(table.day) for table in tables),
            *listed(shop.needs, 2),
            *self._prices(),
            shop.passes.base,
            max([shop.passes.base if shop.rows else shop.zero, *at[shop.count : 2 * shop.count]]),
        )
        self.at, self.left = _array(at), self._left(taken)

    def _lying(self, table: list[int]) -> int:
        """Where ``table`` begins among all numbers."""
        if id(table) not in self._where:
            self._where[id(table)] = len(self._numbers)
            self._numbers += table
        return self._where[id(table)]

    def _steps(self, i: int) -> list[tuple[int, ...]]:
        """The links that bind a task: place, where its table begins, days, more, length of the table, ending."""
        if i not in self.shop.rows:
            return []
        size = self.shop.passes.size
        _, starting, ending, _, _ = self.shop.rows[i]
        return [
            (place, self._lying(table), min(size, max(-size, days)), more, len(table), binds_end)
            for steps, binds_end in ((starting, 0), (ending, 1))
            for place, table, days, more in steps
        ]

    def _prices(self) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
        """Weights, 0 where there is no due date, and due dates."""
        weights = [0] * self.shop.count
        for i in self.shop.weighted:
            weights[i] = self.shop.weights[i]
        return _array(weights), _array(self.shop.due)

    def _left(self, taken: list[list[int]]) -> NDArray[np.int64]:
        """Free crews by kind and day: one for each level of the thermometer code that is not taken from the base on."""
        base = self.shop.passes.base
        days = self.shop.passes.size + 1 - base
        left = np.zeros((max(1, len(taken)), base + days), np.int64)
        for kind, levels in enumerate(taken):
            left[kind] = len(levels)
            for level in levels:
                bits = np.frombuffer(level.to_bytes(days // 8 + 1, "little"), np.uint8)
                left[kind, base:] -= np.unpackbits(bits, bitorder="little")[:days]
        return left


def _array(numbers: Iterable[int]) -> NDArray[np.int64]:
    return np.array([*numbers], np.int64)
