"""The receiving trade's word on what it is to build on."""

from collections.abc import Sequence
from datetime import datetime
from uuid import UUID

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import Scope, require
from coordination.access.refusals import NotVisible, Reason
from coordination.access.visitors import Visitor
from coordination.evidence.entering import EnteredFor, Entry, entry_by
from coordination.gates.bringing_back import bring_back
from coordination.gates.models import Answer, Offer
from coordination.gates.refusals import AnsweredAlready, OwnWork, SayWhy
from coordination.gates.reopening import Saying, carry_out
from coordination.gates.scene import Scene, look_at
from coordination.projects.models import Link, Task
from coordination.record.models import Event

VERBS = {"accepted": "handoff accepted", "refused": "handoff refused"}


def answer_handoff(
    project: Project,
    visitor: Visitor,
    at: datetime,
    offer_uid: UUID,
    receiver_uid: UUID,
    *,
    outcome: str,
    reasons: Sequence[str] = (),
    for_other: EnteredFor | None = None,
) -> list[Answer]:
    """Accept or refuse offered work for the task ``receiver_uid`` that builds on it.

    A refusal ends the offer and brings the work back with the reasons. Answering the same twice is harmless.
    Raises AnsweredAlready, SayWhy, OwnWork, NotAllowed, SayForWhom, NotVisible.
    """
    why = [reason.strip() for reason in reasons if reason.strip()]
    if outcome not in VERBS:
        raise ValueError(f"A handoff is accepted or refused, not {outcome!r}.")
    if outcome == "refused" and not why:
        raise SayWhy(Reason("say why refused"))
    with deciding(project, visitor, at) as pen:
        scene = look_at(project, at)
        offer, links = _offered(scene, offer_uid, receiver_uid)
        giver, taker = scene.holding.task[offer.task_id], scene.holding.task[links[0].after_id]
        require(visitor, "answer a handoff", Scope(receivers=frozenset({taker.trade})))
        if given := _given(scene, offer, links, outcome):
            pen.leave_as_it_is()
            return given
        entry = entry_by(visitor, project, taker.trade, for_other)
        _refuse_own_work(scene, giver, offer, visitor)
        rows: list[Answer] = []

        def change(event: Event) -> None:
            rows[:] = [_row(offer, link, visitor, at, entry) for link in links]
            for row in rows:
                row.outcome, row.reasons, row.event = outcome, why if outcome == "refused" else [], event
                row.save(force_insert=True)
            if outcome == "refused":
                bring_back(giver, at)

        body = {"offer": str(offer.uid), "round": offer.round, "to": taker.key, "reasons": why}
        saying = Saying(VERBS[outcome], giver.key, {**body, **entry.as_body()}, why)
        carry_out(pen, project, saying, change)
        return rows


def _offered(scene: Scene, offer_uid: UUID, receiver_uid: UUID) -> tuple[Offer, list[Link]]:
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


def _given(scene: Scene, offer: Offer, links: Sequence[Link], outcome: str) -> list[Answer]:
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


def _refuse_own_work(scene: Scene, giver: Task, offer: Offer, visitor: Visitor) -> None:
    critical = any(row.lift_critical for row in scene.holding.requirements_of[giver.pk])
    if critical and offer.sender == visitor.identity:
        raise OwnWork(Reason("own work", {"subject": giver.key, "name": visitor.name}))


def _row(offer: Offer, link: Link, visitor: Visitor, at: datetime, entry: Entry) -> Answer:
    return Answer(
        offer=offer,
        link=link,
        answered_by=visitor.identity,
        answered_name=visitor.name,
        entered_for=entry.entered_for,
        entry_source=entry.entry_source,
        at=at,
    )
