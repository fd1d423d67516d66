"""The photos of a gate report: what stands under each, and the files that the paper may show."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.utils.translation import gettext as _

from coordination.files.keeping import path_of
from coordination.files.models import Blob
from coordination.handover.reading import Reader, Snapshot


@dataclass(frozen=True)
class Picture:
    """One photo on paper. ``name`` is what the fetcher answers to; empty where no picture could be made."""

    name: str
    alt: str
    caption: str
    taken: str
    sha256: str
    missing: str


def pictures_of(requirement: Mapping[str, Any], reader: Reader) -> Iterator[Picture]:
    """The photos of a requirement; one that cannot be shown is listed as missing, with the reason."""
    text = reader.text(requirement["text"])
    for item in requirement["evidence"]:
        if str(item.get("media_type") or "").startswith("image/"):
            yield _picture(item, _("Photo: %(what)s") % {"what": text}, item.get("note") or text, reader)


def pictures_of_refusal(refusal: Mapping[str, Any], reader: Reader) -> Iterator[Picture]:
    """The photos with which a receiver refused the work."""
    told = {"receiver": refusal["receiver"], "reasons": " ".join(refusal["reasons"])}
    caption = _("Refused by %(receiver)s: %(reasons)s") % told
    for item in refusal["photos"]:
        yield _picture(item, _("Photo: %(what)s") % {"what": caption}, caption, reader)


def _picture(item: Mapping[str, Any], alt: str, caption: str, reader: Reader) -> Picture:
    rendition = item.get("rendition")
    return Picture(
        name=f"photo/{rendition['sha256']}.jpg" if rendition else "",
        alt=alt,
        caption=caption,
        taken=reader.moment(item.get("taken_at")) or _("time of capture not stated"),
        sha256=item["sha256"],
        missing="" if rendition else _("no picture could be made of this original"),
    )


def photos(snapshot: Snapshot) -> dict[str, bytes | Path]:
    """The pinned renditions by the name under which the paper asks for them."""
    items = [
        item
        for task in snapshot["tasks"]
        for part in (*_of_requirements(task), *(each["photos"] for each in task.get("refusals", ())))
        for item in part
    ]
    pinned = {item["rendition"]["sha256"] for item in items if item.get("rendition")}
    blobs = Blob.objects.filter(supplier=snapshot["project"]["supplier"], sha256__in=pinned)
    return {f"photo/{blob.sha256}.jpg": path_of(blob) for blob in blobs}


def _of_requirements(task: Mapping[str, Any]) -> list[list[Mapping[str, Any]]]:
    return [requirement["evidence"] for requirement in task["requirements"]]
