"""What a person should look at twice in a photo that was handed in. Hints warn; nothing waits for them.

All of it is worked out when it is asked for, from measures and times that are kept: a hint about another photo is gone
when that one is withdrawn.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from coordination.access.models import Project
from coordination.evidence.models import Evidence
from coordination.evidence.whereabouts import FAR
from coordination.files.measuring import alike_to, concerns_of
from coordination.projects.models import Requirement, Task

# Common practice, no source: what was seen today goes out with the next signal, not weeks later.
LONG_AGO = timedelta(days=7)


@dataclass(frozen=True)
class Seen:
    """A piece of evidence with what it was handed in for."""

    evidence: Evidence
    requirement: Requirement
    task: Task


@dataclass(frozen=True)
class Hint:
    """``kind`` is blurred, dark, small, before the work, long ago, far or alike.

    ``taken`` and ``day`` are local days (the photo's, and the one that it is measured against), ``short_side`` in
    pixels; ``others`` are earlier photos that this one looks like, with their tasks and projects, the oldest first:
    who may know of which is for the shell to say.
    """

    kind: str
    taken: date | None = None
    day: date | None = None
    short_side: int = 0
    others: tuple[Evidence, ...] = field(default=())


def hints_on(project: Project, seen: Iterable[Seen]) -> dict[int, tuple[Hint, ...]]:
    """By the evidence's own key, the hints on pictures of one project; at most four queries however many there are.

    What was withdrawn has none. Papers are only looked at for what can be read, not for when and where.
    """
    asked = [one for one in seen if _is_picture(one.evidence) and one.evidence.withdrawn_at is None]
    if not asked:
        return {}
    looks = concerns_of(one.evidence.blob_id for one in asked if one.evidence.blob_id)
    photos = [one for one in asked if one.requirement.kind == "photo"]
    others = _others(project, photos) if photos else {}
    zone = ZoneInfo(project.zone)
    return {
        one.evidence.pk: (
            *_of_looks(one.evidence, looks),
            *(_of_circumstances(one, zone, others.get(one.evidence.pk, ())) if one in photos else ()),
        )
        for one in asked
    }


def _is_picture(row: Evidence) -> bool:
    return row.blob is not None and row.blob.media_type.startswith("image/")


def _of_looks(row: Evidence, looks: dict[int, tuple[str, ...]]) -> list[Hint]:
    sides = [row.image.get("width", 0), row.image.get("height", 0)]
    found = looks.get(row.blob_id or 0, ())
    return [Hint(kind, short_side=min(sides) if kind == "small" else 0) for kind in found]


def _of_circumstances(one: Seen, zone: ZoneInfo, others: Sequence[Evidence]) -> list[Hint]:
    row, begun, found = one.evidence, one.task.begun_on, []
    taken = row.taken_at.astimezone(zone).date() if row.taken_at else None
    if row.taken_at and taken:
        if begun and taken < begun:
            found.append(Hint("before the work", taken, begun))
        elif row.received_at - row.taken_at > LONG_AGO:
            found.append(Hint("long ago", taken, row.received_at.astimezone(zone).date()))
    if row.image.get("where") == FAR:
        found.append(Hint("far"))
    if others:
        found.append(Hint("alike", others=tuple(others)))
    return found


def _others(project: Project, photos: Sequence[Seen]) -> dict[int, list[Evidence]]:
    """Earlier photos of the supplier's that look like one of ``photos`` and were handed in for another task.

    What one sending brought for several tasks was meant for all of them.
    """
    supplier = project.supplier.uid
    alike = alike_to(supplier, {one.evidence.blob_id for one in photos if one.evidence.blob_id})
    near = {blob for found in alike.values() for blob in found}
    rows = (
        Evidence.objects.filter(blob__in=near, requirement__kind="photo", withdrawn_at=None)
        .select_related("requirement__task__project")
        .order_by("pk")
    )
    known = list(rows) if near else []
    return {
        one.evidence.pk: [
            row
            for row in known
            if row.blob_id in alike.get(one.evidence.blob_id or 0, {})
            and row.pk < one.evidence.pk
            and row.requirement.task_id != one.task.pk
            and row.event_id != one.evidence.event_id
        ]
        for one in photos
    }
