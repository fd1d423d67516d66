"""Accepting in the place of a receiver who let the answer time pass: never by silence, only by a named person."""

from datetime import datetime
from uuid import UUID

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import require
from coordination.access.refusals import Reason
from coordination.access.visitors import Visitor
from coordination.gates.actions.answering import VERBS, answer, given_already, offered_to, saved
from coordination.gates.models import FOR_THE_SILENT, Answer, Offer
from coordination.gates.refusals import NotInTheirPlace, SayWhy
from coordination.gates.reopening import Saying, carry_out
from coordination.gates.scene import Scene, look_at
from coordination.gates.silence import why_only_the_receiver
from coordination.projects.models import Task
from coordination.record.models import Event

MOST_REASON = 300


def accept_for_the_silent(
    project: Project, visitor: Visitor, at: datetime, offer_uid: UUID, receiver_uid: UUID, *, reason: str
) -> list[Answer]:
    """Accept offered work for the receiving task ``receiver_uid``, whose people have not answered in time.

    Raises SayWhy; NotInTheirPlace while the answer time runs, for lift-critical work, for what has no concession, for
    one's own offer or one's own receiving; AnsweredAlready, NotAllowed, NotVisible. Twice is harmless.
    """
    if not reason.strip():
        raise SayWhy(Reason("say why in their place"))
    with deciding(project, visitor, at) as pen:
        scene = look_at(project, at)
        offer, links = offered_to(scene, offer_uid, receiver_uid)
        require(visitor, "accept for a silent receiver")
        if given := given_already(scene, offer, links, "accepted"):
            pen.leave_as_it_is()
            return given
        giver, taker = scene.holding.task[offer.task_id], scene.holding.task[links[0].after_id]
        silent = scene.holding.company_of(taker.trade)[0] or taker.trade
        _refuse_wrongly(scene, offer, visitor, giver=giver, taker=taker, at=at)
        told = {"way": FOR_THE_SILENT, "instead_of": silent, "reasons": [reason.strip()[:MOST_REASON]]}
        rows: list[Answer] = []

        def change(event: Event) -> None:
            rows[:] = saved([answer(offer, link, visitor, at, **told) for link in links], event)

        body = {
            "offer": str(offer.uid),
            "round": offer.round,
            "to": taker.key,
            "answer_by": offer.answer_by.isoformat() if offer.answer_by else None,
            **told,
        }
        carry_out(pen, project, Saying(VERBS["accepted"], giver.key, body, told["reasons"]), change)
        return rows


def _refuse_wrongly(
    scene: Scene, offer: Offer, visitor: Visitor, *, giver: Task, taker: Task, at: datetime
) -> None:
    """Raise NotInTheirPlace with every reason why nobody may answer for the receiver."""
    told = {"subject": giver.key, "trade": taker.trade, "name": visitor.name}
    why = list(why_only_the_receiver(scene.holding, offer, at))
    if offer.sender == visitor.identity:
        why.append("own offer")
    if taker.trade in visitor.trades:
        why.append("answer it yourself")
    if why:
        raise NotInTheirPlace(*(Reason(key, told) for key in why))
