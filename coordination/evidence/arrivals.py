"""Files on their way in: kept under their SHA-256 and looked at before anything is decided."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timezone
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings

from coordination.access.models import Project
from coordination.access.refusals import Reason
from coordination.evidence.refusals import FileRefused
from coordination.files.documents import DocumentRefused, inspect_document
from coordination.files.images import ImageFacts, ImageRefused, inspect_image
from coordination.files.keeping import Content, NoRoom, NotReadBack, TooLarge, arriving
from coordination.files.models import Blob


@dataclass(frozen=True)
class Arrived:
    """A file that lies in its place. ``image`` and ``taken_at`` are what a picture claims of itself."""

    blob: Blob
    image: Mapping[str, Any]
    taken_at: datetime | None


def take_in(project: Project, content: Content, *, kind: str, file_name: str = "") -> Arrived:
    """Keep a ``photo`` or a ``document`` for a project. Call it outside the deciding block: it waits for the disk.

    Raises FileRefused and leaves nothing behind when the file is not what it should be.
    """
    named = {"file": file_name}
    try:
        with arriving(project.supplier.uid, content, limit=settings.UPLOAD_LIMIT) as arrival:
            if kind == "photo":
                image, media_type = _of_picture(inspect_image(arrival.path), project)
            else:
                facts = inspect_document(arrival.path)
                image = _of_picture(facts.image, project)[0] if facts.image else {"pages": facts.pages}
                media_type = facts.media_type
            blob = arrival.keep(media_type)
    except ImageRefused as refused:
        raise FileRefused(Reason(refused.reason, {**named, **refused.details})) from refused
    except DocumentRefused as refused:
        raise FileRefused(Reason(refused.reason, named)) from refused
    except TooLarge as refused:
        raise FileRefused(Reason("too many bytes", {**named, "limit": refused.limit})) from refused
    except (NoRoom, NotReadBack) as refused:
        raise FileRefused(Reason("not stored", named)) from refused
    taken = image.get("taken_at")
    return Arrived(blob, image, datetime.fromisoformat(taken) if taken else None)


def _of_picture(facts: ImageFacts, project: Project) -> tuple[dict[str, Any], str]:
    """What is kept of the picture's own words. Where it was taken is not: only that it says so."""
    kept: dict[str, Any] = {
        "format": facts.format,
        "width": facts.width,
        "height": facts.height,
        "orientation": facts.orientation,
        "device": facts.device,
        "has_position": facts.has_gps,
        "tail": facts.tail,
    }
    if taken := _moment(facts, project):
        kept["taken_at"] = taken.isoformat()
        kept["zone_from"] = "camera" if facts.offset is not None else "project"
    return kept, facts.media_type


def _moment(facts: ImageFacts, project: Project) -> datetime | None:
    """The camera's clock as a moment: with its own offset, else in the project's zone."""
    if facts.taken_at is None:
        return None
    zone = ZoneInfo(project.zone) if facts.offset is None else timezone(facts.offset)
    return facts.taken_at.replace(tzinfo=zone)
