"""How large the pieces are in which a HEIC is packed: the decoder opens none over 16 MiB, whatever its pixels.

Phones pack a photo as a grid of small tiles; programs that convert pictures often as one piece. Boxes follow
ISO/IEC 14496-12 §8.11 (``meta``, ``iinf``, ``iloc``), the lengths before each piece ISO/IEC 14496-15 §8.3 (four bytes).
"""

import struct
from collections.abc import Iterator
from itertools import islice

from coordination.files.images.containers import boxes
from coordination.files.images.refusals import ImageRefused

# libde265 1.1 refuses a longer NAL unit, and libheif 1.23 hands it no other limit (tests/files/test_large_heic.py).
MOST_IN_ONE_PIECE = 16 * 1024 * 1024
CODED = {b"hvc1"}
# What libheif reads of a file at most; whoever writes more only wants our time.
MOST_ITEMS = 1000
MOST_EXTENTS = 32
MOST_PIECES = 1000


def refuse_large_pieces(data: bytes) -> None:
    """Raises ImageRefused (``one piece``) where the decoder would give up. What makes no sense here is let by."""
    if len(data) <= MOST_IN_ONE_PIECE:
        return
    try:
        largest = max((max(_pieces(item), default=0) for item in _coded_items(data)), default=0)
    except (struct.error, LookupError):
        return
    if largest > MOST_IN_ONE_PIECE:
        raise ImageRefused("one piece", limit=MOST_IN_ONE_PIECE // 1_000_000)


def _pieces(item: bytes | memoryview) -> Iterator[int]:
    """The length of each piece of one coded picture, in bytes."""
    at = 0
    for _ in range(MOST_PIECES):
        if at + 4 > len(item):
            return
        (size,) = struct.unpack_from(">I", item, at)
        yield size
        at += 4 + size


def _coded_items(data: bytes) -> Iterator[bytes | memoryview]:
    """The bytes of each picture in HEVC. Raises LookupError or struct.error where the boxes make no sense."""
    start, end = _inside(data)[b"meta"]
    meta = _inside(data, start + 4, end)
    coded = _coded_keys(data, *meta[b"iinf"])
    whole, left = memoryview(data), len(data)
    for key, extents in _places(data, *meta[b"iloc"]):
        if key in coded:
            left -= sum(length for _, length in extents)
            if left < 0:
                raise LookupError("The items lie in the same bytes.")
            parts = [whole[at : at + length] for at, length in extents]
            yield parts[0] if len(parts) == 1 else b"".join(parts)


def _inside(data: bytes, at: int = 0, until: int | None = None) -> dict[bytes, tuple[int, int]]:
    return {name: (start, end) for name, start, end in islice(boxes(data, at, until), MOST_ITEMS)}


def _coded_keys(data: bytes, start: int, end: int) -> set[int]:
    """Keys of the items that are pictures in HEVC."""
    entries = start + (6 if data[start] == 0 else 8)
    keys = set()
    for name, at, _ in islice(boxes(data, entries, end), MOST_ITEMS):
        wide = data[at] == 3
        key, _protection, kind = struct.unpack_from(">IH4s" if wide else ">HH4s", data, at + 4)
        if name == b"infe" and data[at] >= 2 and kind in CODED:
            keys.add(key)
    return keys


def _places(data: bytes, start: int, end: int) -> Iterator[tuple[int, list[tuple[int, int]]]]:
    """By item, where its bytes lie in the file: offsets and lengths. Items that lie elsewhere are left out."""
    read = _Fields(data, start, end)
    version = read.number(4) >> 24
    sizes = read.number(2)
    offset, length, base, index = ((sizes >> shift) & 15 for shift in (12, 8, 4, 0))
    for _ in range(min(MOST_ITEMS, read.number(4 if version == 2 else 2))):
        key = read.number(4 if version == 2 else 2)
        elsewhere = version > 0 and read.number(2) & 15 > 0
        elsewhere = read.number(2) > 0 or elsewhere
        begin, extents = read.number(base), []
        for _ in range(min(MOST_EXTENTS, read.number(2))):
            read.number(index if version else 0)
            extents.append((begin + read.number(offset), read.number(length)))
        if not elsewhere:
            yield key, extents


class _Fields:
    """Whole numbers of a box one after the other, high byte first."""

    def __init__(self, data: bytes, at: int, end: int) -> None:
        self.data, self.at, self.end = data, at, end

    def number(self, size: int) -> int:
        self.at += size
        if self.at > self.end:
            raise IndexError("The box ends before its last number.")
        return int.from_bytes(self.data[self.at - size : self.at])
