"""Smaller copies and measures of photos that were handed in: made in the background, found from state, made once."""

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime

from django.db.models import Exists, OuterRef

from coordination.evidence.models import Evidence, Rendition
from coordination.files.images import ImageRefused, inspect_image, make_renditions, measure
from coordination.files.images.renditions import SIZES
from coordination.files.keeping import NotKept, OriginalLost, keep, path_of, verify
from coordination.files.measuring import keep_measures
from coordination.files.models import Blob, Measurement


def without_renditions(now: datetime | None = None) -> list[str]:
    """Keys of the photos, and of documents that are pictures, that lack a copy or their measures; oldest first."""
    missing = Evidence.objects.filter(blob__media_type__startswith="image/")
    for size in SIZES:
        made = Rendition.objects.filter(evidence=OuterRef("pk"), size=size)
        missing = missing.annotate(**{f"has_{size}": Exists(made)})
    missing = missing.annotate(measured=Exists(Measurement.objects.filter(blob=OuterRef("blob"))))
    complete = {"measured": True, **{f"has_{size}": True for size in SIZES}}
    return [str(pk) for pk in missing.exclude(**complete).order_by("pk").values_list("pk", flat=True)]


def make_missing(key: str) -> None:
    """Make what ``without_renditions`` named. Raises ImageRefused or OriginalLost."""
    ensure_renditions(Evidence.objects.select_related("blob").get(pk=int(key)))


def ensure_renditions(evidence: Evidence) -> dict[int, Rendition]:
    """The copies of one photo by longest side, made now where they are missing; harmless when they are there.

    The original is read back verified first. Raises ImageRefused when it cannot be decoded, OriginalLost when it is
    not what was handed in.
    """
    there = {row.size: row for row in Rendition.objects.filter(evidence=evidence).select_related("blob")}
    if evidence.blob is None or not evidence.blob.media_type.startswith("image/"):
        return there
    if wanted := [size for size in SIZES if size not in there]:
        verify(evidence.blob)
        for size, picture in make_renditions(path_of(evidence.blob), wanted).items():
            there[size] = _kept(evidence, size, picture)
    ensure_measures(evidence.blob, there)
    return there


def ensure_measures(blob: Blob, copies: Mapping[int, Rendition]) -> None:
    """Measure a picture by its large copy, where it was too large to be measured while it came."""
    if not Measurement.objects.filter(blob=blob).exists():
        facts, copy = inspect_image(path_of(blob)), copies[max(SIZES)].blob
        if not path_of(copy).exists():
            raise OriginalLost(copy, "missing")
        measures = measure(path_of(copy))
        keep_measures(blob, replace(measures, short_side=min(facts.width, facts.height)))


def made_again(original: Blob | None, copy: Blob, size: int) -> str:
    """Make a lost copy again from its whole original; empty when the same bytes are there, else why they are not."""
    if original is None:
        return "missing"
    try:
        verify(original)
        picture = make_renditions(path_of(original), [size])[size]
    except ImageRefused as refused:
        return refused.reason
    except OriginalLost as lost:
        return lost.how
    if hashlib.sha256(picture).hexdigest() != copy.sha256:
        return "other bytes"
    keep(original.supplier, picture, media_type=copy.media_type)
    return ""


def pictures_without_copy(evidence: Iterable[Evidence]) -> dict[int, str]:
    """Make the copies of many photos, as far as possible; by own key, why each of the others has none."""
    failed = {}
    for row in evidence:
        try:
            ensure_renditions(row)
        except ImageRefused as refused:
            failed[row.pk] = refused.reason
        except OriginalLost as lost:
            failed[row.pk] = lost.how
        except NotKept:
            failed[row.pk] = "not stored"
    return failed


def _kept(evidence: Evidence, size: int, picture: bytes) -> Rendition:
    if evidence.blob is None:
        raise ValueError("There is no original to copy.")
    facts = inspect_image(picture)
    blob = keep(evidence.blob.supplier, picture, media_type="image/jpeg")
    row, _ = Rendition.objects.get_or_create(
        evidence=evidence,
        size=size,
        defaults={"blob": blob, "width": facts.width, "height": facts.height},
    )
    return row
