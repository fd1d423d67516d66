"""The receiving trade's word on what it is to build on."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import UUID

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import Scope, require
from coordination.access.refusals import NotVisible, Reason
from coordination.access.visitors import Visitor
from coordination.evidence.entering import OWN, EnteredFor, Entry, entry_by
from coordination.evidence.mark_words import frozen, reason_of
from coordination.evidence.models import Mark, MarkNamed
from coordination.files.models import Blob
from coordination.gates.bringing_back import bring_back
from coordination.gates.models import ANSWERED, Answer, AnswerPhoto, Offer
from coordination.gates.refusals import AnsweredAlready, OwnWork, SayWhy
from coordination.gates.reopening import Saying, carry_out
from coordination.gates.scene import Scene, look_at
from coordination.projects.models import Link, Task
from coordination.record.models import Event

VERBS = {"accepted": "handoff accepted", "refused": "handoff refused"}


@dataclass(frozen=True)
class Seen:
    """A photo of what is wrong, kept already (see ``evidence.arrivals.take_in``)."""

    blob: Blob
    file_name: str = ""
    image: Mapping[str, Any] = field(default_factory=dict)
    taken_at: datetime | None = None


def answer_handoff(
    project: Project,
    visitor: Visitor,
    at: datetime,
    offer_uid: UUID,
    receiver_uid: UUID,
    *,
    outcome: str,
    reasons: Sequence[str] = (),
    photos: Sequence[Seen] = (),
    marks: Sequence[UUID] = (),
    for_other: EnteredFor | None = None,
) -> list[Answer]:
    """Accept or refuse offered work for the task ``receiver_uid`` that builds on it.

    A refusal ends the offer and brings the work back with the reasons and ``photos``; each of ``marks`` on the photos
    of the offered work is one of the reasons. Answering the same twice is harmless.
    Raises AnsweredAlready, SayWhy, OwnWork, NotAllowed, SayForWhom, NotVisible.
    """
    why = [reason.strip() for reason in reasons if reason.strip()]
    if outcome not in VERBS:
        raise ValueError(f"A handoff is accepted or refused, not {outcome!r}.")
    if outcome == "refused" and not why and not marks:
        raise SayWhy(Reason("say why refused"))
    with deciding(project, visitor, at) as pen:
        scene = look_at(project, at)
        offer, links = offered_to(scene, offer_uid, receiver_uid)
        giver, taker = scene.holding.task[offer.task_id], scene.holding.task[links[0].after_id]
        require(visitor, "answer a handoff", Scope(receivers=frozenset({taker.trade})))
        if given := given_already(scene, offer, links, outcome):
            pen.leave_as_it_is()
            return given
        entry = entry_by(visitor, project, taker.trade, for_other)
        refuse_own_work(scene, giver, offer, visitor)
        refused = outcome == "refused"
        shown = _each_once(photos) if refused else []
        named = _named(scene, giver, marks) if refused else []
        why = [*(reason_of(frozen(mark)) for mark in named), *why]
        rows: list[Answer] = []

        def change(event: Event) -> None:
            told = {"outcome": outcome, "reasons": why if refused else []}
            rows[:] = saved([answer(offer, link, visitor, at, entry=entry, **told) for link in links], event)
            for photo in shown:
                AnswerPhoto.objects.create(answer=rows[0], **vars(photo))
            MarkNamed.objects.bulk_create(MarkNamed(mark=mark, event=event) for mark in named)
            if refused:
                bring_back(giver, at)

        body: dict[str, Any] = {
            "offer": str(offer.uid),
            "round": offer.round,
            "to": taker.key,
            "reasons": why,
        }
        if shown:
            body["photos"] = [photo.blob.sha256 for photo in shown]
        if named:
            body["marks"] = [str(mark.uid) for mark in named]
        saying = Saying(VERBS[outcome], giver.key, {**body, **entry.as_body()}, why)
        carry_out(pen, project, saying, change)
        return rows


def offered_to(scene: Scene, offer_uid: UUID, receiver_uid: UUID) -> tuple[Offer, list[Link]]:
    """The offer and its handoff links to the receiver. Raises NotVisible where there is no such handoff."""
    holding = scene.holding
    offer = next((row for row in holding.offers if row.uid == offer_uid), None)
    if offer is None:
        raise NotVisible
    links = [
        link
        for link in holding.links_out_of[offer.task_id]
        if link.handoff
        and holding.task[link.after_id].uid == receiver_uid
        and holding.task[link.after_id].retired_in is None
    ]
    if not links:
        raise NotVisible
    return offer, links


def given_already(scene: Scene, offer: Offer, links: Sequence[Link], outcome: str) -> list[Answer]:
    """Answers that say the same already. Raises AnsweredAlready for another answer, or when the offer has ended."""
    found = [scene.holding.answer_to.get((offer.pk, link.pk)) for link in links]
    given = [answer for answer in found if answer]
    if given and given[0].outcome != outcome:
        about = {"name": given[0].answered_name, "outcome": given[0].outcome}
        raise AnsweredAlready(Reason("answered already", about))
    if given and len(given) == len(links):
        return given
    if offer.ended_at is not None:
        raise AnsweredAlready(Reason("offer ended", {"round": offer.round}))
    return []


def refuse_own_work(scene: Scene, giver: Task, offer: Offer, visitor: Visitor) -> None:
    """Raise OwnWork where lift-critical work would be taken over by whoever offered it."""
    critical = any(row.lift_critical for row in scene.holding.requirements_of[giver.pk])
    if critical and offer.sender == visitor.identity:
        raise OwnWork(Reason("own work", {"subject": giver.key, "name": visitor.name}))


def answer(
    offer: Offer,
    link: Link,
    visitor: Visitor,
    at: datetime,
    *,
    entry: Entry = OWN,
    way: str = ANSWERED,
    **told: Any,
) -> Answer:
    """An answer that is not kept yet; accepted unless ``told`` otherwise."""
    return Answer(
        offer=offer,
        link=link,
        answered_by=visitor.identity,
        answered_name=visitor.name,
        entered_for=entry.entered_for,
        entry_source=entry.entry_source,
        way=way,
        at=at,
        **{"outcome": "accepted", **told},
    )


def saved(rows: Sequence[Answer], event: Event) -> list[Answer]:
    """Keep answers with the event that they were given in."""
    for row in rows:
        row.event = event
        row.save(force_insert=True)
    return list(rows)


def _named(scene: Scene, giver: Task, uids: Sequence[UUID]) -> list[Mark]:
    """The marks that stand on photos of the offered work. Raises SayWhy for one that does not."""
    if not uids:
        return []
    shown = [scene.holding.shown[row.pk] for row in scene.holding.requirements_of[giver.pk]]
    items = [item for each in shown for item in each.standing]
    standing = {mark.row.uid: mark.row for item in items for mark in item.marks}
    if not set(uids) <= set(standing):
        raise SayWhy(Reason("no such mark"))
    return [row for uid, row in standing.items() if uid in set(uids)]  # type: ignore[misc]


def _each_once(photos: Sequence[Seen]) -> list[Seen]:
    return list({photo.blob.pk: photo for photo in photos}.values())
