"""Finished work that is held out to somebody: what they will build on, by whom, until when they answer."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.conf import settings
from django.forms import BoundField
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from coordination.access.permissions import Scope, may
from coordination.access.refusals import Reason, Refusal
from coordination.access.visitors import Visitor
from coordination.gates.models import Offer
from coordination.gates.queries import Scene
from coordination.gates.sentences import names_of, trade_words
from coordination.gates.silence import why_only_the_receiver
from coordination.projects.models import Link, Task
from coordination.projects.trade_words import spoken
from coordination.web.forms.evidence import RefusalPhotosForm
from coordination.web.refused import in_words
from coordination.web.shapes.matters import Matters, matters_of
from coordination.web.shapes.photos import Figure
from coordination.web.shapes.refusal_reasons import Reasons, reasons_of_handoff
from coordination.web.shapes.scopes import may_see
from coordination.web.texts import said

GONE = frozenset({"withdrawn", "superseded"})
CRITICAL = spoken(_("{lift}-critical"))


@dataclass(frozen=True)
class HandoffLine:
    """One offer to one receiving task, for components/handoff.html. ``for_whom`` is set where another answers.

    ``first`` is what matters to the receiver, ``rest`` what else the work shows. ``in_their_place`` is where somebody
    accepts for a receiver who let the answer time pass; where that may not be, ``only_they`` says why.
    """

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
    late: bool
    round: int
    crew_waiting: bool
    receiver_note: str
    note: str
    critical: str
    first: Matters
    rest: Matters
    whole: str
    for_whom: str | None
    receiver_phone: str
    action: str
    reasons: Reasons
    photos: BoundField
    marked: tuple[Figure, ...]
    limit: int
    in_their_place: str
    only_they: tuple[str, ...]


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
    address = [holding.project.uid, offer.uid, after.uid]
    own, calls = after.trade in visitor.trades, may(visitor, "see phone numbers")
    (first, rest), now = matters_of(link, scene, visitor), timezone.now()
    late = offer.answer_by is not None and offer.answer_by < now
    only = _only_they(visitor, scene, offer, now) if late and not own else None
    key = f"{offer.uid}-{after.uid}"
    return HandoffLine(
        key=key,
        offer=offer.uid,
        receiver=after.uid,
        what=names_of(scene).task(before.key),
        first_line=said(before.derived.get("first_line", {})),
        onto=names_of(scene).task(after.key),
        from_whom=offer.entered_for or company_or_trade(before.trade, scene),
        phone=holding.company_of(before.trade)[1] if calls else "",
        offered_at=offer.offered_at,
        answer_by=offer.answer_by,
        late=late,
        round=offer.round,
        crew_waiting=offer.crew_waiting,
        receiver_note=said(link.receiver_note),
        note=offer.note,
        critical=str(CRITICAL),
        first=first,
        rest=rest,
        whole=_whole(visitor, before, scene),
        for_whom=None if own else company_or_trade(after.trade, scene),
        receiver_phone=holding.company_of(after.trade)[1] if calls and not own else "",
        action=reverse("handoff-answer", args=address),
        reasons=reasons_of_handoff(before, scene),
        photos=RefusalPhotosForm(auto_id=f"refusal-{key}-%s")["photos"],
        marked=tuple(_marked(first, rest)),
        limit=settings.UPLOAD_LIMIT,
        in_their_place=reverse("handoff-in-their-place", args=address) if only == () else "",
        only_they=only or (),
    )


def _marked(*shown: Matters) -> Iterator[Figure]:
    """The photos of the offered work over which marks stand: each of them can be a reason to refuse it."""
    for need in (need for matters in shown for need in matters.shown):
        yield from (photo for photo in need.figures if photo.marks and photo.state not in GONE)


def _only_they(visitor: Visitor, scene: Scene, offer: Offer, now: datetime) -> tuple[str, ...] | None:
    """Why the visitor may not accept in the receiver's place; empty where they may, None where it is not theirs."""
    if not may(visitor, "accept for a silent receiver"):
        return None
    keys = list(why_only_the_receiver(scene.holding, offer, now))
    if offer.sender == visitor.identity:
        keys.append("own offer")
    return tuple(in_words(Refusal(*(Reason(key, {"name": visitor.name}) for key in keys))))


def _whole(visitor: Visitor, task: Task, scene: Scene) -> str:
    """The page on which the visitor sees everything of the work that is held out."""
    if not may_see(visitor, task, scene.holding):
        return ""
    name = "task" if may(visitor, "see the project") else "my-task"
    return reverse(name, args=[scene.holding.project.uid, task.uid])
