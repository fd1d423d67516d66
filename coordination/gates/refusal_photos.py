"""Photos with a refused handoff: their originals, and the smaller copies that everybody else sees.

Found from state and made once, like those of evidence: by the background, or when a paper needs them sooner.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from datetime import datetime

from django.db.models import Exists, OuterRef

from coordination.files.images import inspect_image, make_renditions
from coordination.files.images.renditions import SIZES
from coordination.files.keeping import keep, path_of, verify
from coordination.gates.models import Answer, AnswerPhoto, AnswerPhotoCopy


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


def photos_of(
    answers: Iterable[Answer],
) -> dict[int, list[tuple[AnswerPhoto, Mapping[int, AnswerPhotoCopy]]]]:
    """By the answer's own key, its photos with their copies; two queries however many, one where there are none."""
    refused = [answer.pk for answer in answers if answer.outcome == "refused"]
    rows = AnswerPhoto.objects.filter(answer__in=refused).select_related("blob").order_by("pk")
    photos = list(rows) if refused else []
    copies: defaultdict[int, dict[int, AnswerPhotoCopy]] = defaultdict(dict)
    if photos:
        for copy in AnswerPhotoCopy.objects.filter(photo__in=[row.pk for row in photos]).select_related(
            "blob"
        ):
            copies[copy.photo_id][copy.size] = copy
    found: defaultdict[int, list[tuple[AnswerPhoto, Mapping[int, AnswerPhotoCopy]]]] = defaultdict(list)
    for photo in photos:
        found[photo.answer_id].append((photo, copies[photo.pk]))
    return found


def _kept(photo: AnswerPhoto, size: int, picture: bytes) -> AnswerPhotoCopy:
    facts = inspect_image(picture)
    blob = keep(photo.blob.supplier, picture, media_type="image/jpeg")
    told = {"blob": blob, "width": facts.width, "height": facts.height}
    row, _made = AnswerPhotoCopy.objects.get_or_create(photo=photo, size=size, defaults=told)
    return row
