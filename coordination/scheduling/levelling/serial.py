"""Serial generation of many schedules of a plain shop, in either direction of time."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from .inner_loops import PACKED, WIDTH, place
from .plain import PlainShop

if TYPE_CHECKING:
    from numpy.typing import NDArray


@dataclass(frozen=True)
class Members:
    """Schedules: boundaries by member and job, lengths, and the share of all crews at work by member and day."""

    ends: NDArray[np.int64]
    lengths: NDArray[np.int64]
    busy: NDArray[np.float64]

    def some(self, numbers: NDArray[np.int64]) -> Members:
        """The members with these numbers, in this order."""
        return Members(self.ends[numbers], self.lengths[numbers], self.busy[numbers])

    def turned(self) -> NDArray[np.int64]:
        """Keys for the other direction of time: what ends last goes first."""
        keys: NDArray[np.int64] = self.lengths[:, None] - self.ends
        return keys


class Serial:
    """Makes schedules from priority lists; ``backward`` against the end of time, as if all links were turned."""

    def __init__(self, plain: PlainShop, *, backward: bool) -> None:
        before = plain.after if backward else plain.before
        self.lengths = plain.lengths
        self.turns = np.arange(plain.count, dtype=np.int64)[:: -1 if backward else 1].copy()
        self.first = np.cumsum([0, *map(len, before)], dtype=np.int64)
        self.others = np.array([other for others in before for other in others] or [0], np.int64)
        self.load = (plain.needs / np.maximum(plain.crews, 1)).sum(axis=1)
        self.horizon = int(plain.lengths.sum() + plain.lengths.max())
        self._pack(plain)
        self.left = np.zeros((self.horizon, len(self.room)), np.int64)
        self.order = np.zeros(plain.count, np.int64)

    def generate(self, keys: NDArray[np.int64]) -> Members:
        """Schedules for priority lists by member and job: small keys go first."""
        keys = keys - keys.min()
        ends = np.zeros(keys.shape, np.int64)
        busy = np.zeros((len(keys), self.horizon))
        bucket = np.zeros(int(keys.max()) + 2, np.int64)
        known = (
            self.turns,
            self.first,
            self.others,
            self.lengths,
            self.needs,
            self.guard,
            self.room,
            self.load,
        )
        place(*known, keys, self.order, bucket, self.left, ends, busy)
        lengths = ends.max(axis=1)
        return Members(ends, lengths, busy[:, : int(lengths.max())].copy())

    def _pack(self, plain: PlainShop) -> None:
        """Several kinds of crew to a number, as ``place`` wants them."""
        words = -(-len(plain.crews) // PACKED)
        self.guard = sum(1 << WIDTH * part + WIDTH - 1 for part in range(PACKED))
        self.needs = np.zeros((plain.count, words), np.int64)
        self.room = np.full(words, self.guard, np.int64)
        for kind, count in enumerate(plain.crews.tolist()):
            word, part = divmod(kind, PACKED)
            self.needs[:, word] |= plain.needs[:, kind] << WIDTH * part
            self.room[word] |= count << WIDTH * part
