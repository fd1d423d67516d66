"""The measures of stored pictures, kept beside their originals; and which of one supplier's pictures look alike."""

import threading
from collections import OrderedDict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from uuid import UUID

import numpy as np

from coordination.files.alike import BITS, Likenesses, compared_with_all
from coordination.files.images import Measures, concerns
from coordination.files.models import Blob, Measurement

MOST_SUPPLIERS = 8
MOST_LOOSE = 1000
# Rows that are written at the same time may be seen out of their order: that many are read again each time.
OVERLAP = 200


def keep_measures(blob: Blob, measures: Measures) -> Measurement:
    """Keep what was measured of a picture; the same bytes have the same measures."""
    row, _ = Measurement.objects.get_or_create(
        blob=blob,
        defaults={
            "supplier": blob.supplier,
            "sharpness": measures.sharpness,
            "brightness": measures.brightness,
            "short_side": measures.short_side,
            "likeness": _signed(measures.likeness),
        },
    )
    return row


def concerns_of(blobs: Iterable[int]) -> dict[int, tuple[str, ...]]:
    """By the original's own key, what is to be told of the looks of each that was measured; one query."""
    return {row.blob_id: concerns(_measures(row)) for row in Measurement.objects.filter(blob__in=list(blobs))}


def alike_to(supplier: UUID, blobs: Iterable[int]) -> dict[int, dict[int, int]]:
    """By the original's own key, the keys of the supplier's pictures that look like it, itself too, with the distance.

    Two queries, however many are asked for and however many there are, once the supplier's index is there.
    """
    # The supplier is compared here: asked for both, SQLite walks through all of a supplier's rows for a few originals.
    rows = Measurement.objects.filter(blob__in=list(blobs), likeness__isnull=False)
    asked = {
        blob: bits
        for blob, bits, whose in rows.values_list("blob", "likeness", "supplier")
        if whose == supplier
    }
    return _kept(supplier).alike(asked) if asked else {}


@dataclass(frozen=True)
class _Kept:
    """What one supplier's pictures are like: most in the index, those that came since (``loose``) beside it.

    ``blobs`` are the originals' keys, those of the index first; ``recent`` the newest rows, which will be read again:
    originals' keys and likenesses by their own keys.
    """

    index: Likenesses
    loose: np.ndarray
    blobs: np.ndarray
    recent: Mapping[int, tuple[int, int]]

    @property
    def newest(self) -> int:
        return max(self.recent, default=0)

    def with_rows(self, rows: Mapping[int, tuple[int, int]]) -> "_Kept":
        """With those of ``rows`` that were not there yet; they hold everything that is recent by now."""
        fresh = [row for key, row in rows.items() if key not in self.recent]
        came = np.array(fresh, dtype=np.int64).reshape(-1, 2)
        loose = np.concatenate([self.loose, np.ascontiguousarray(came[:, 1]).view(BITS)])
        blobs = np.concatenate([self.blobs, came[:, 0]])
        since = max(rows) - OVERLAP
        recent = {key: row for key, row in rows.items() if key > since}
        if len(loose) <= MOST_LOOSE:
            return _Kept(self.index, loose, blobs, recent)
        return _Kept(Likenesses(np.concatenate([self.index.all, loose])), loose[:0], blobs, recent)

    def alike(self, asked: Mapping[int, int]) -> dict[int, dict[int, int]]:
        keys, likenesses = list(asked), np.array(list(asked.values()), dtype=np.int64).view(BITS)
        found: dict[int, dict[int, int]] = {key: {} for key in keys}
        beside = compared_with_all(self.loose, likenesses)
        for near, first in ((self.index.near(likenesses), 0), (beside, len(self.index.all))):
            blobs = self.blobs.take(near.found + first)
            for who, blob, apart in zip(
                near.asked.tolist(), blobs.tolist(), near.apart.tolist(), strict=True
            ):
                found[keys[who]][blob] = apart
        return found


_NOTHING = _Kept(Likenesses(np.zeros(0, BITS)), np.zeros(0, BITS), np.zeros(0, np.int64), {})
_KEPT: OrderedDict[UUID, _Kept] = OrderedDict()
_LOCK = threading.Lock()


def _kept(supplier: UUID) -> _Kept:
    """The supplier's index with all that is there now. Begun anew where the row that was its newest is gone."""
    with _LOCK:
        kept = _KEPT.pop(supplier, _NOTHING)
        rows = _rows_after(supplier, kept.newest - OVERLAP)
        if kept.recent and rows.get(kept.newest) != kept.recent[kept.newest]:
            kept, rows = _NOTHING, _rows_after(supplier, 0)
        if rows.keys() - kept.recent.keys():
            kept = kept.with_rows(rows)
        _KEPT[supplier] = kept
        while len(_KEPT) > MOST_SUPPLIERS:
            _KEPT.popitem(last=False)
        return kept


def _rows_after(supplier: UUID, key: int) -> dict[int, tuple[int, int]]:
    rows = Measurement.objects.filter(supplier=supplier, likeness__isnull=False, pk__gt=key).order_by("pk")
    return {pk: (blob, bits) for pk, blob, bits in rows.values_list("pk", "blob", "likeness")}


def _measures(row: Measurement) -> Measures:
    likeness = None if row.likeness is None else row.likeness & (1 << 64) - 1
    return Measures(row.sharpness, row.brightness, row.short_side, likeness)


def _signed(likeness: int | None) -> int | None:
    return likeness - (1 << 64) if likeness is not None and likeness >> 63 else likeness
