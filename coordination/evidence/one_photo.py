"""One photo for several views of the same visit: stored once, and counted for each requirement that it shows.

A visit is one trade's work at one place: what is asked for there is taken in one round.
"""

import uuid
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Any
from uuid import UUID

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.refusals import Reason, Refusal
from coordination.access.visitors import Visitor
from coordination.evidence.actions import (
    entry_of,
    known_items,
    refuse_untimely,
    require_right,
    requirement_of,
    saved_row,
)
from coordination.evidence.entering import EnteredFor
from coordination.evidence.items import HandIn, claimed_of, row_of
from coordination.evidence.models import Evidence
from coordination.evidence.refusals import NotHandedIn
from coordination.evidence.told import body_of
from coordination.projects.models import Requirement


@dataclass(frozen=True)
class AlsoShown:
    """Another view that the photos show too; ``terms_sha`` is that of the terms the sender saw."""

    requirement: UUID
    terms_sha: str = ""


@dataclass(frozen=True)
class HandedPhotos:
    """``rows`` are for what was asked first, ``others`` for what the photos show besides.

    ``left_out`` says of each other view for which they could not be taken, why.
    """

    rows: list[Evidence]
    others: list[Evidence] = field(default_factory=list)
    left_out: list[Reason] = field(default_factory=list)


def hand_in_photos(
    project: Project,
    visitor: Visitor,
    at: datetime,
    requirement_uid: UUID,
    items: Sequence[HandIn],
    *,
    also: Iterable[AlsoShown] = (),
    for_other: EnteredFor | None = None,
    terms_sha: str = "",
) -> HandedPhotos:
    """Hand in photos for one requirement and for others of the same visit, as one decision.

    What is asked first raises as ``hand_in_many`` does; the others are left out where they cannot be taken. The keys
    of their rows follow from the item's and the requirement's, so that sending twice is harmless.
    """
    if not items:
        raise NotHandedIn(Reason("nothing chosen"))
    with deciding(project, visitor, at, claimed_at=claimed_of(items)) as pen:
        first = requirement_of(project, requirement_uid)
        require_right(visitor, first)
        known, fresh = _sorted_out(first, items)
        entry = entry_of(visitor, project, first, for_other)
        if fresh:
            refuse_untimely(first, terms_sha)
        rows = [row_of(first, item, visitor, entry, at=at) for item in fresh]
        handed = HandedPhotos([known[item.sender_key] for item in items if item.sender_key in known])
        others: list[tuple[Requirement, list[Evidence]]] = []
        for asked, fresh_here in _others(project, first, items, also, handed):
            others.append((asked, [row_of(asked, item, visitor, entry, at=at) for item in fresh_here]))
        if not rows and not others:
            pen.leave_as_it_is()
            return handed
        more = [body_of(asked, made, entry) for asked, made in others]
        body: dict[str, Any] = {**body_of(first, rows, entry), "also": more}
        event = pen.write("evidence handed in", subject=str(first), body=body)
        handed.rows.extend(saved_row(row, event) for row in rows)
        handed.others.extend(saved_row(row, event) for _asked, made in others for row in made)
        return handed


def _sorted_out(
    requirement: Requirement, items: Sequence[HandIn]
) -> tuple[dict[UUID, Evidence], list[HandIn]]:
    """What came before, by the sender's key, and what is new."""
    known = known_items(requirement, items)
    return known, [item for item in items if item.sender_key not in known]


def _others(
    project: Project,
    first: Requirement,
    items: Sequence[HandIn],
    also: Iterable[AlsoShown],
    handed: HandedPhotos,
) -> Iterable[tuple[Requirement, list[HandIn]]]:
    """Each other view with the items that are new for it; why not, where it cannot be."""
    for each in dict.fromkeys(also):
        try:
            asked = requirement_of(project, each.requirement)
            _refuse_elsewhere(asked, first)
            own = [replace(item, sender_key=uuid.uuid5(item.sender_key, str(asked.uid))) for item in items]
            known, fresh = _sorted_out(asked, own)
            handed.others.extend(known.values())
            if fresh:
                refuse_untimely(asked, each.terms_sha)
                yield asked, fresh
        except Refusal as refusal:
            handed.left_out.extend(refusal.reasons)


def _refuse_elsewhere(asked: Requirement, first: Requirement) -> None:
    """Only views of the same trade at the same place are taken in one visit."""
    one, other = asked.task, first.task
    same = (one.trade, one.place) == (other.trade, other.place)
    if not same or asked.pk == first.pk or asked.kind != "photo" or first.kind != "photo":
        raise NotHandedIn(Reason("not of this visit", {"requirement": str(asked)}))
