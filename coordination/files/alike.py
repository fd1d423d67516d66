"""Likenesses that differ in at most seven of 64 bits, found through an index, never by comparing with all.

Seven differing bits over four bands of sixteen leave some band with at most one of them. So every likeness stands, for
each band, under its own value and under the sixteen that differ from it in one bit; whatever is near a likeness that is
asked for stands under one of its four values. The answer is exactly that of comparing with all. It costs 820 bytes for
each likeness: 82 MB for a hundred thousand photos.
"""

from dataclasses import dataclass

import numpy as np

from coordination.files.images.likeness import ALIKE_UP_TO

BANDS, BAND = 4, 16
VALUES = 1 << BAND
NEIGHBOURS = np.concatenate([[0], 1 << np.arange(BAND)]).astype(np.uint16)
assert ALIKE_UP_TO < 2 * BANDS  # noqa: S101  else a pair may differ twice in every band
BITS = np.dtype("<u8")


@dataclass(frozen=True)
class Near:
    """Pairs, by place: ``asked`` in what was asked for, ``found`` in what the index holds, ``apart`` bits between them.

    Sorted by ``asked``, then by ``found``.
    """

    asked: np.ndarray
    found: np.ndarray
    apart: np.ndarray


class Likenesses:
    """An index over likenesses (unsigned numbers of 64 bits); it is made once and not changed."""

    def __init__(self, likenesses: np.ndarray) -> None:
        self.all = np.ascontiguousarray(likenesses, dtype=BITS)
        ends, places = [np.zeros(1, np.int64)], []
        for band in range(BANDS):
            under = (_bands(self.all)[:, band, None] ^ NEIGHBOURS).ravel()
            ends.append(np.cumsum(np.bincount(under, minlength=VALUES)) + band * under.size)
            places.append(np.argsort(under, kind="stable") // NEIGHBOURS.size)
        self._starts = np.concatenate(ends).astype(np.int32)
        self._places = np.concatenate(places).astype(np.int32)
        self._standing = self.all[self._places]

    def near(self, asked: np.ndarray) -> Near:
        """Everything that differs from one of ``asked`` in at most ALIKE_UP_TO bits."""
        asked = np.ascontiguousarray(asked, dtype=BITS)
        starts, numbers = self._under(asked)
        ends = np.cumsum(numbers, dtype=np.int32)
        at = np.repeat(starts - ends + numbers, numbers)
        at += np.arange(at.size, dtype=np.int32)
        differing = self._standing[at]
        differing ^= np.repeat(np.repeat(asked, BANDS), numbers)
        close = np.flatnonzero(np.bitwise_count(differing) <= ALIKE_UP_TO)
        who = np.searchsorted(ends, close, side="right") // BANDS
        return _each_once(who, self._places[at[close]], self.all, asked)

    def _under(self, asked: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Where the likenesses begin that stand under each band of each that is asked for, and how many they are."""
        values = (_bands(asked) + np.arange(0, BANDS * VALUES, VALUES, dtype=np.int32)).ravel()
        starts = self._starts[values]
        return starts, self._starts[values + 1] - starts


def compared_with_all(likenesses: np.ndarray, asked: np.ndarray) -> Near:
    """The same without an index: for a few, and for the test that both agree."""
    asked, every = np.asarray(asked, dtype=BITS), np.asarray(likenesses, dtype=BITS)
    who, found = np.nonzero(np.bitwise_count(asked[:, None] ^ every) <= ALIKE_UP_TO)
    return _each_once(who, found, every, asked)


def _bands(likenesses: np.ndarray) -> np.ndarray:
    return likenesses.view("<u2").reshape(-1, BANDS)


def _each_once(who: np.ndarray, found: np.ndarray, every: np.ndarray, asked: np.ndarray) -> Near:
    """A pair stands under as many values as it has bands with at most one differing bit."""
    pairs = (who.astype(np.int64) << 32) | found
    pairs.sort()
    pairs = pairs[np.diff(pairs, prepend=-1) > 0]
    who, found = pairs >> 32, pairs & 0xFFFFFFFF
    return Near(who, found, np.bitwise_count(every[found] ^ asked[who]))
