"""The photos of a gate report: what stands under each, and the files that the paper may show."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.utils.translation import gettext as _

from coordination.evidence.models import Rendition
from coordination.evidence.renditions import made_again
from coordination.files.keeping import OriginalLost, path_of, verify
from coordination.files.models import Blob
from coordination.gates.models import AnswerPhotoCopy
from coordination.gates.refusal_words import reason_words
from coordination.gates.sentences import trade_words
from coordination.handover.marked import mark_lines, marked_photos, picture_name, with_marks
from coordination.handover.reading import Reader, Snapshot


@dataclass(frozen=True)
class Picture:
    """One photo on paper. ``name`` is what the fetcher answers to; empty where no picture could be made.

    ``marks`` in words; ``refused`` says by whom and why, where it was.
    """

    name: str
    alt: str
    caption: str
    taken: str
    sha256: str
    missing: str
    marks: tuple[str, ...] = ()
    refused: str = ""


def pictures_of(requirement: Mapping[str, Any], reader: Reader) -> Iterator[Picture]:
    """The photos of a requirement; one that cannot be shown is listed as missing, with the reason."""
    text = reader.text(requirement["text"])
    for item in requirement["evidence"]:
        if str(item.get("media_type") or "").startswith("image/"):
            yield _picture(item, _("Photo: %(what)s") % {"what": text}, item.get("note") or text, reader)


def pictures_of_refusal(refusal: Mapping[str, Any], reader: Reader) -> Iterator[Picture]:
    """The photos with which a receiver refused the work."""
    told = {
        "receiver": trade_words(refusal["receiver"]),
        "reasons": " ".join(reason_words(refusal["reasons"])),
    }
    caption = _("Refused by %(receiver)s: %(reasons)s") % told
    for item in refusal["photos"]:
        yield _picture(item, _("Photo: %(what)s") % {"what": caption}, caption, reader)


def _picture(item: Mapping[str, Any], alt: str, caption: str, reader: Reader) -> Picture:
    rendition = item.get("rendition")
    return Picture(
        name=picture_name(item),
        alt=with_marks(alt, item),
        caption=caption,
        taken=reader.moment(item.get("taken_at")) or _("time of capture not stated"),
        sha256=item["sha256"],
        missing="" if rendition else missing_words(item.get("no_picture", "")),
        marks=mark_lines(item),
        refused=_refused(item.get("review") or {}),
    )


def _refused(review: Mapping[str, Any]) -> str:
    """By whom and why a photo was refused that is on the paper beside what was accepted."""
    if review.get("outcome") != "refused":
        return ""
    told = {"name": review["reviewer"], "reasons": "; ".join(reason_words(review["reasons"]))}
    return _("Refused by %(name)s: %(reasons)s") % told


def missing_words(why: str) -> str:
    """Why there is no picture, as a reader understands it."""
    return {
        "missing": _("the original is not in the store any more"),
        "altered": _("what is in the store is not what was handed in"),
        "damaged": _("the original is damaged and cannot be read"),
        "truncated": _("the original is cut off and cannot be read"),
        "lost copy": _("its copy is lost and could not be made again with the same bytes"),
    }.get(why, _("no picture could be made of this original"))


def without_lost_pictures(snapshot: dict[str, Any]) -> dict[str, Any]:
    """``snapshot`` as it can be printed: a pinned copy that is lost is made again; where that fails, why it is missing.

    One broken photo so stops no paper. With every copy whole the snapshot comes back as it is.
    """
    pinned = _pinned(snapshot)
    lost = _lost(snapshot["project"]["supplier"], pinned)
    for item in _items(snapshot) if lost else ():
        rendition = item.get("rendition")
        if rendition and rendition["sha256"] in lost:
            item["rendition"], item["no_picture"] = None, lost[rendition["sha256"]]
    return snapshot


def photos(snapshot: Snapshot) -> dict[str, bytes | Path]:
    """The pinned renditions, and those with marks over them, by the name under which the paper asks for them."""
    blobs = Blob.objects.filter(supplier=snapshot["project"]["supplier"], sha256__in=_pinned(snapshot))
    copies = {f"photo/{blob.sha256}.jpg": path_of(blob) for blob in blobs}
    return {**copies, **marked_photos(_items(snapshot))}


def _items(snapshot: Snapshot) -> list[dict[str, Any]]:
    return [
        item
        for task in snapshot["tasks"]
        for part in (*_of_requirements(task), *(each["photos"] for each in task.get("refusals", ())))
        for item in part
    ]


def _pinned(snapshot: Snapshot) -> set[str]:
    return {item["rendition"]["sha256"] for item in _items(snapshot) if item.get("rendition")}


def _lost(supplier: str, pinned: set[str]) -> dict[str, str]:
    """By SHA-256, why a pinned copy cannot be shown, after all was tried."""
    found = {blob.sha256: blob for blob in Blob.objects.filter(supplier=supplier, sha256__in=pinned)}
    lost = dict.fromkeys(pinned - set(found), "lost copy")
    for sha256, blob in found.items():
        try:
            verify(blob)
        except OriginalLost:
            if why := _made_again(blob):
                lost[sha256] = "lost copy" if why == "other bytes" else why
    return lost


def _made_again(blob: Blob) -> str:
    """A lost copy made from whichever original it is a copy of; why that could not be done."""
    ways = [
        *(
            (row.evidence.blob, row.size)
            for row in Rendition.objects.filter(blob=blob).select_related("evidence__blob")
        ),
        *(
            (row.photo.blob, row.size)
            for row in AnswerPhotoCopy.objects.filter(blob=blob).select_related("photo__blob")
        ),
    ]
    why = "lost copy"
    for original, size in ways:
        if not (why := made_again(original, blob, size)):
            return ""
    return why


def _of_requirements(task: Mapping[str, Any]) -> list[list[dict[str, Any]]]:
    return [requirement["evidence"] for requirement in task["requirements"]]
