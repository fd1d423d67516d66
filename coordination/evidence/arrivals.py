"""Files on their way in: kept under their SHA-256 and looked at before anything is decided."""

import threading
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timezone
from typing import Any
from zoneinfo import ZoneInfo

from django.conf import settings

from coordination.access.models import Project
from coordination.access.refusals import Reason
from coordination.evidence.refusals import FileRefused
from coordination.evidence.whereabouts import how_far
from coordination.files.documents import DocumentRefused, inspect_document
from coordination.files.images import (
    ImageFacts,
    ImageRefused,
    Measures,
    inspect_image,
    measure,
    measured_lightly,
)
from coordination.files.keeping import Content, NoRoom, NotReadBack, TooLarge, arriving
from coordination.files.measuring import keep_measures
from coordination.files.models import Blob

# A decoded picture takes tens of megabytes; several senders at once must not take several times that.
_ONE_AT_A_TIME = threading.Lock()


@dataclass(frozen=True)
class Arrived:
    """A file that lies in its place. ``image`` and ``taken_at`` are what a picture claims of itself."""

    blob: Blob
    image: Mapping[str, Any]
    taken_at: datetime | None


def take_in(
    project: Project,
    content: Content,
    *,
    kind: str,
    file_name: str = "",
    site: tuple[float, float] | None = None,
) -> Arrived:
    """Keep a ``photo`` or a ``document`` for a project. Call it outside the deciding block: it waits for the disk.

    ``site`` is where the project is, in degrees, where the sender allows the picture's own position to be compared
    with it. Raises FileRefused and leaves nothing behind when the file is not what it should be.
    """
    named = {"file": file_name}
    try:
        with arriving(project.supplier.uid, content, limit=settings.UPLOAD_LIMIT) as arrival:
            data = arrival.path.read_bytes()
            if kind == "photo":
                facts = inspect_image(data)
                media_type, image = facts.media_type, _of_picture(facts, project, site)
            else:
                paper = inspect_document(data)
                media_type = paper.media_type
                image = _of_picture(paper.image, project, site) if paper.image else {"pages": paper.pages}
            measures = _measured(data) if media_type.startswith("image/") else None
            del data  # up to 50 MB, for as long as the disk takes
            blob = arrival.keep(media_type)
            if measures:
                keep_measures(blob, measures)
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


def _measured(data: bytes) -> Measures | None:
    """The picture's measures, where they cost little; else the background measures it. Raises ImageRefused.

    Known bytes are measured again like new ones: how long the answer takes must not tell that they were known.
    """
    if not measured_lightly(data):
        return None
    with _ONE_AT_A_TIME:
        return measure(data)


def _of_picture(facts: ImageFacts, project: Project, site: tuple[float, float] | None) -> dict[str, Any]:
    """What is kept of the picture's own words. Where it was taken is not: only that it says so, and how far off."""
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
    if site and facts.gps:
        kept["where"] = how_far(facts.gps, site)
    return kept


def _moment(facts: ImageFacts, project: Project) -> datetime | None:
    """The camera's clock as a moment: with its own offset, else in the project's zone."""
    if facts.taken_at is None:
        return None
    zone = ZoneInfo(project.zone) if facts.offset is None else timezone(facts.offset)
    return facts.taken_at.replace(tzinfo=zone)
