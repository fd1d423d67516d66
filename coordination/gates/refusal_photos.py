"""Photos with a refused handoff: their originals, and the smaller copies that everybody else sees.

Found from state and made once, like those of evidence: by the background, or when a paper needs them sooner.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Exists, OuterRef

from coordination.evidence.mark_words import frozen, reason_of
from coordination.evidence.outcomes import StandingMark
from coordination.files.images import inspect_image, make_renditions
from coordination.files.images.renditions import SIZES
from coordination.files.keeping import keep, path_of, verify
from coordination.gates.models import (
    Answer,
    AnswerMark,
    AnswerMarkReason,
    AnswerMarkTakenBack,
    AnswerPhoto,
    AnswerPhotoCopy,
)


def without_copies(now: datetime | None = None) -> list[str]:
    """Keys of the photos that lack a copy, oldest first."""
    missing = AnswerPhoto.objects.all()
    for size in SIZES:
        made = AnswerPhotoCopy.objects.filter(photo=OuterRef("pk"), size=size)
        missing = missing.annotate(**{f"has_{size}": Exists(made)})
    complete = {f"has_{size}": True for size in SIZES}
    return [str(pk) for pk in missing.exclude(**complete).order_by("pk").values_list("pk", flat=True)]


def make_copies(key: str) -> None:
    """Make what ``without_copies`` named. Raises ImageRefused, OriginalLost."""
    ensure_copies(AnswerPhoto.objects.select_related("blob").get(pk=int(key)))


def ensure_copies(photo: AnswerPhoto) -> dict[int, AnswerPhotoCopy]:
    """The copies of one photo by longest side, made now where they are missing. The original is read back first.

    Raises ImageRefused, OriginalLost.
    """
    there = {row.size: row for row in AnswerPhotoCopy.objects.filter(photo=photo).select_related("blob")}
    if wanted := [size for size in SIZES if size not in there]:
        verify(photo.blob)
        for size, picture in make_renditions(path_of(photo.blob), wanted).items():
            there[size] = _kept(photo, size, picture)
    return there


@dataclass(frozen=True)
class RefusalPhoto:
    """A photo of a refusal with its copies by longest side, and the marks that stand over it, by number."""

    row: AnswerPhoto
    copies: Mapping[int, AnswerPhotoCopy]
    marks: Sequence[StandingMark]


def photos_of(answers: Iterable[Answer]) -> dict[int, list[RefusalPhoto]]:
    """By the answer's own key, its photos; three queries however many, none where nothing was refused."""
    refused = [answer.pk for answer in answers if answer.outcome == "refused"]
    rows = AnswerPhoto.objects.filter(answer__in=refused).select_related("blob").order_by("pk")
    photos = list(rows) if refused else []
    copies: defaultdict[int, dict[int, AnswerPhotoCopy]] = defaultdict(dict)
    keys = [row.pk for row in photos]
    if photos:
        for copy in AnswerPhotoCopy.objects.filter(photo__in=keys).select_related("blob"):
            copies[copy.photo_id][copy.size] = copy
    marks, found = marks_on(photos), defaultdict[int, list[RefusalPhoto]](list)
    for photo in photos:
        found[photo.answer_id].append(RefusalPhoto(photo, copies[photo.pk], marks[photo.pk]))
    return found


def reasons_of(answer: Answer, photos: Iterable[RefusalPhoto]) -> list[str]:
    """Why it was refused: what was said in the answer, then each mark that was made a reason since."""
    marks = (mark for photo in photos for mark in photo.marks if mark.is_reason)
    return [*answer.reasons, *(reason_of(frozen(mark.row)) for mark in marks)]


def marks_on(photos: Sequence[AnswerPhoto]) -> defaultdict[int, list[StandingMark]]:
    """By the photo's own key, the marks that were not taken back, by number; one query where there are photos."""
    found = defaultdict[int, list[StandingMark]](list)
    taken_back = AnswerMarkTakenBack.objects.filter(mark=OuterRef("pk"))
    named = Exists(AnswerMarkReason.objects.filter(mark=OuterRef("pk")))
    rows = AnswerMark.objects.filter(~Exists(taken_back), photo__in=[photo.pk for photo in photos])
    for row in rows.annotate(is_reason=named).order_by("photo", "number") if photos else ():
        found[row.photo_id].append(StandingMark(row, row.is_reason))
    return found


def _kept(photo: AnswerPhoto, size: int, picture: bytes) -> AnswerPhotoCopy:
    facts = inspect_image(picture)
    blob = keep(photo.blob.supplier, picture, media_type="image/jpeg")
    told = {"blob": blob, "width": facts.width, "height": facts.height}
    row, _made = AnswerPhotoCopy.objects.get_or_create(photo=photo, size=size, defaults=told)
    return row
