"""Finished work that is held out to somebody: what they will build on, by whom, until when they answer."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.urls import reverse

from coordination.access.permissions import Scope, may
from coordination.access.visitors import Visitor
from coordination.gates.models import Offer
from coordination.gates.queries import Scene
from coordination.gates.sentences import of_task, trade_words
from coordination.projects.models import Link, Task
from coordination.web.forms.evidence import REASONS_OF_HANDOFF
from coordination.web.shapes.needs import Need, needs_of
from coordination.web.texts import said


@dataclass(frozen=True)
class HandoffLine:
    """One offer to one receiving task, for components/handoff.html. ``for_whom`` is set where another answers."""

    key: str
    offer: UUID
    receiver: UUID
    what: str
    first_line: str
    onto: str
    from_whom: str
    phone: str
    offered_at: datetime
    answer_by: datetime | None
    crew_waiting: bool
    receiver_note: str
    note: str
    shown: tuple[Need, ...]
    for_whom: str | None
    action: str
    reasons: tuple[tuple[str, str], ...]


def handoffs_to(visitor: Visitor, scene: Scene) -> list[HandoffLine]:
    """Every offer that waits for the visitor's own word, the soonest due first."""
    return [line for line in _lines(visitor, scene, scene.holding.links) if line.for_whom is None]


def handoffs_between(visitor: Visitor, scene: Scene, task: Task) -> list[HandoffLine]:
    """Offers from or to one task that the visitor may answer, also for a company that does not sign in."""
    links = [link for link in scene.holding.links if task.pk in {link.before_id, link.after_id}]
    return _lines(visitor, scene, links)


def handoff_of(visitor: Visitor, scene: Scene, offer: UUID, receiver: UUID) -> HandoffLine | None:
    """One offer as its receiver sees it; None where there is none that waits."""
    lines = _lines(visitor, scene, scene.holding.links)
    return next((line for line in lines if (line.offer, line.receiver) == (offer, receiver)), None)


def company_or_trade(trade: str, scene: Scene) -> str:
    return scene.holding.company_of(trade)[0] or trade_words(trade)


def _lines(visitor: Visitor, scene: Scene, links: Iterable[Link]) -> list[HandoffLine]:
    holding, found = scene.holding, dict[tuple[int, int], HandoffLine]()
    for link in links:
        offer, after = holding.newest_offer.get(link.before_id), holding.task[link.after_id]
        if not link.handoff or offer is None or offer.ended_at is not None or after.retired_in is not None:
            continue
        if (offer.pk, link.pk) in holding.answer_to:
            continue
        if may(visitor, "answer a handoff", Scope(receivers=frozenset({after.trade}))):
            found.setdefault((offer.pk, after.pk), _line(visitor, scene, offer, link))
    return sorted(found.values(), key=lambda line: (line.answer_by or line.offered_at, line.key))


def _line(visitor: Visitor, scene: Scene, offer: Offer, link: Link) -> HandoffLine:
    holding = scene.holding
    before, after = holding.task[link.before_id], holding.task[link.after_id]
    address = reverse("handoff-answer", args=[holding.project.uid, offer.uid, after.uid])
    own = after.trade in visitor.trades
    return HandoffLine(
        key=f"{offer.uid}-{after.uid}",
        offer=offer.uid,
        receiver=after.uid,
        what=of_task(before),
        first_line=said(before.derived.get("first_line", {})),
        onto=of_task(after),
        from_whom=offer.entered_for or company_or_trade(before.trade, scene),
        phone=holding.company_of(before.trade)[1] if may(visitor, "see phone numbers") else "",
        offered_at=offer.offered_at,
        answer_by=offer.answer_by,
        crew_waiting=offer.crew_waiting,
        receiver_note=said(link.receiver_note),
        note=offer.note,
        shown=tuple(needs_of(before, scene, visitor)),
        for_whom=None if own else company_or_trade(after.trade, scene),
        action=address,
        reasons=tuple((value, str(words)) for value, words in REASONS_OF_HANDOFF),
    )
