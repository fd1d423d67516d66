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
    for item in requirement["evidence"]:
        if not str(item.get("media_type") or "").startswith("image/"):
            continue
        rendition = item.get("rendition")
        text = reader.text(requirement["text"])
        yield Picture(
            name=f"photo/{rendition['sha256']}.jpg" if rendition else "",
            alt=_("Photo: %(what)s") % {"what": text},
            caption=item.get("note") or text,
            taken=reader.moment(item.get("taken_at")) or _("time of capture not stated"),
            sha256=item["sha256"],
            missing="" if rendition else _("no picture could be made of this original"),
        )


def photos(snapshot: Snapshot) -> dict[str, bytes | Path]:
    """The pinned renditions by the name under which the paper asks for them."""
    pinned = {
        item["rendition"]["sha256"]
        for task in snapshot["tasks"]
        for requirement in task["requirements"]
        for item in requirement["evidence"]
        if item.get("rendition")
    }
    blobs = Blob.objects.filter(supplier=snapshot["project"]["supplier"], sha256__in=pinned)
    return {f"photo/{blob.sha256}.jpg": path_of(blob) for blob in blobs}
