"""Likenesses that differ in at most seven of 64 bits, found through an index, never by comparing with all.

Of two that differ in at most seven bits one half (32 bits) differs in at most three, and of the two bands (16 bits) of
that half one in at most one. So every likeness stands, for each band, under its own value and under the sixteen that
differ from it in one bit, and beside it stands the half that the band belongs to. Whatever is near a likeness that is
asked for stands under one of its four values, with at most three other bits in the half; few others do.

What stands under a value is read in whole rows. Others that stand in the same rows do no harm: a find is compared whole
before it counts. The answer is exactly that of comparing with all. It costs 552 bytes for each likeness and 2 MB for
the table of values: 57 MB for a hundred thousand photos.
"""

from dataclasses import dataclass

import numpy as np

from coordination.files.images.likeness import ALIKE_UP_TO

BANDS, BAND = 4, 16
VALUES = 1 << BAND
NEIGHBOURS = np.concatenate([[0], 1 << np.arange(BAND)]).astype(np.uint16)
HALF_UP_TO = ALIKE_UP_TO // 2
assert HALF_UP_TO // 2 <= 1  # noqa: S101  else both bands of a half may differ twice
ROW = 16
BITS, HALF = np.dtype("<u8"), np.dtype("<u4")
_FIRST_VALUES = np.arange(0, BANDS * VALUES, VALUES, dtype=np.int32)


@dataclass(frozen=True)
class Near:
    """Pairs, by place: ``asked`` in what was asked for, ``found`` in what the index holds, ``apart`` bits between them.

    Sorted by ``asked``, then by ``found``.
    """

    asked: np.ndarray
    found: np.ndarray
    apart: np.ndarray


class Likenesses:
    """An index over likenesses (unsigned numbers of 64 bits); it is made once and not changed.

    ``_places`` and ``_halves`` hold what stands under the values, band by band in the order of values, and
    ``_first_and_rows`` for each value its first row and how many rows it reaches over.
    """

    def __init__(self, likenesses: np.ndarray) -> None:
        self.all = np.ascontiguousarray(likenesses, dtype=BITS)
        standing = self.all.size * NEIGHBOURS.size
        rows = -(-BANDS * standing // ROW)
        self._places = np.zeros(rows * ROW, np.int32)
        self._halves = np.zeros((rows, ROW), HALF)
        self._first_and_rows = np.empty((BANDS * VALUES, 2), np.int32)
        for band in range(BANDS):
            self._lay_down(band, slice(band * standing, (band + 1) * standing))

    def near(self, asked: np.ndarray) -> Near:
        """Everything that differs from one of ``asked`` in at most ALIKE_UP_TO bits."""
        asked = np.ascontiguousarray(asked, dtype=BITS)
        values, rows = self._rows_under(asked)
        differing = self._halves.take(rows, axis=0)
        differing ^= asked.view(HALF).repeat(2).take(values)[:, None]
        close = np.flatnonzero(np.bitwise_count(differing) <= HALF_UP_TO)
        row, slot = np.divmod(close, ROW)
        found = self._places.take(rows.take(row) * ROW + slot)
        return _near_ones(values.take(row) // BANDS, found, self.all, asked)

    def _lay_down(self, band: int, stretch: slice) -> None:
        """Fill in what stands under the values of ``band``."""
        under = (_bands(self.all)[:, band, None] ^ NEIGHBOURS).ravel()
        numbers = np.bincount(under, minlength=VALUES)
        ends = np.cumsum(numbers) + stretch.start
        first = (ends - numbers) // ROW
        rows = np.where(numbers > 0, -(-ends // ROW) - first, 0)
        self._first_and_rows[band * VALUES : (band + 1) * VALUES] = np.stack([first, rows], axis=1)
        places = np.argsort(under, kind="stable") // NEIGHBOURS.size
        self._places[stretch] = places
        self._halves.reshape(-1)[stretch] = self.all.view(HALF)[band // 2 :: 2].take(places)

    def _rows_under(self, asked: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """The rows to read, each beside the value it is read for: those of the first that is asked for are 0 to 3."""
        first, numbers = self._first_and_rows.take((_bands(asked) + _FIRST_VALUES).ravel(), axis=0).T
        values = np.arange(first.size).repeat(numbers)
        rows = (first - numbers.cumsum() + numbers).take(values)
        rows += np.arange(rows.size)
        return values, rows


def compared_with_all(likenesses: np.ndarray, asked: np.ndarray) -> Near:
    """The same without an index: for a few, and for the test that both agree."""
    asked, every = np.asarray(asked, dtype=BITS), np.asarray(likenesses, dtype=BITS)
    apart = np.bitwise_count(asked[:, None] ^ every)
    who, found = np.nonzero(apart <= ALIKE_UP_TO)
    return Near(who, found, apart[who, found])


def _bands(likenesses: np.ndarray) -> np.ndarray:
    return likenesses.view("<u2").reshape(-1, BANDS)


def _near_ones(who: np.ndarray, found: np.ndarray, every: np.ndarray, asked: np.ndarray) -> Near:
    """Those of the pairs that are near, each once: a pair comes as often as it has bands that hardly differ."""
    near = np.flatnonzero(np.bitwise_count(every.take(found) ^ asked.take(who)) <= ALIKE_UP_TO)
    pairs = (who.take(near) << 32) | found.take(near)
    pairs.sort(kind="stable")  # made for runs that are in order, as each value's are
    first = np.ones(pairs.size, bool)
    np.not_equal(pairs[1:], pairs[:-1], out=first[1:])
    pairs = pairs[first]
    who, found = pairs >> 32, pairs & 0xFFFFFFFF
    return Near(who, found, np.bitwise_count(every.take(found) ^ asked.take(who)))
