"""Finishing work: done by one touch, or offered on where somebody must answer."""

from datetime import datetime
from uuid import UUID

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import Scope, require
from coordination.access.refusals import NotVisible
from coordination.access.visitors import Visitor
from coordination.evidence.entering import EnteredFor, Entry, entry_by
from coordination.gates.answer_times import about_to_be_covered, due_by, hours_for
from coordination.gates.calendars import working_hours
from coordination.gates.models import Offer, SentFinish
from coordination.gates.refusals import NotReadyToOffer
from coordination.gates.scene import Scene, look_at
from coordination.projects.models import Link, Requirement, Task
from coordination.readiness import is_satisfied
from coordination.record.models import Event


def offer_task(
    project: Project,
    visitor: Visitor,
    at: datetime,
    task_uid: UUID,
    *,
    note: str = "",
    crew_waiting: bool = False,
    for_other: EnteredFor | None = None,
    sender_key: UUID | None = None,
    sent_at: datetime | None = None,
) -> Offer | None:
    """Finish a task. Gives the offer where a reviewer or receiver must answer, None where it is simply done.

    ``sender_key`` is made by the sender's device: the same key again is the same finish, also when the work has come
    back meanwhile. ``sent_at`` is when the device says it was pressed.
    Raises NotReadyToOffer with every missing thing, NotAllowed, SayForWhom, NotVisible, LeftThePlan,
    NotAPieceOfWork. Offering twice is harmless.
    """
    with deciding(project, visitor, at, claimed_at=sent_at) as pen:
        scene = look_at(project, at)
        task = scene.work(task_uid)
        require(visitor, "offer a task", Scope(trade=task.trade))
        if sender_key and (sent := _sent_before(sender_key, task)):
            pen.leave_as_it_is()
            return Offer.objects.filter(task=task, event=sent.event).first()
        if task.finished_on is not None and not _needs_an_offer(task, scene):
            pen.leave_as_it_is()
            return _standing_offer(task, scene)
        entry = entry_by(visitor, project, task.trade, for_other)
        if missing := scene.ready(task).offer_missing:
            raise NotReadyToOffer(*missing)
        day = max(scene.holding.today, task.begun_on or scene.holding.today)
        Task.objects.filter(pk=task.pk, finished_on__isnull=True).update(finished_on=day)
        offer = _offer(task, scene, visitor, at, entry) if _somebody_answers(task, scene) else None
        body = {"task": str(task.uid), "on": day.isoformat(), "note": note.strip(), **entry.as_body()}
        if offer is None:
            _remember(sender_key, task, pen.write("work done", subject=task.key, body=body))
            return None
        offer.note, offer.crew_waiting = note.strip()[:500], crew_waiting
        event = pen.write("work offered", subject=task.key, body={**body, **_of(offer, scene)})
        _remember(sender_key, task, event)
        return _saved(offer, event)


def _sent_before(sender_key: UUID, task: Task) -> SentFinish | None:
    """The same finish, if it came before. A key that was used for anything else is nobody's business here."""
    sent = SentFinish.objects.filter(sender_key=sender_key).first()
    if sent is not None and sent.task_id != task.pk:
        raise NotVisible
    return sent


def _remember(sender_key: UUID | None, task: Task, event: Event) -> None:
    if sender_key is not None:
        SentFinish.objects.create(sender_key=sender_key, task=task, event=event)


def _needs_an_offer(task: Task, scene: Scene) -> bool:
    """Finished work on which a new handoff was put afterwards, by a change of plan."""
    return bool(_handoffs(task, scene)) and _standing_offer(task, scene) is None


def _standing_offer(task: Task, scene: Scene) -> Offer | None:
    offer = scene.holding.newest_offer.get(task.pk)
    return offer if offer and offer.ended_at is None else None


def _somebody_answers(task: Task, scene: Scene) -> bool:
    return bool(_handoffs(task, scene)) or any(
        need.accepts and not is_satisfied(need)
        for row in scene.holding.requirements_of[task.pk]
        if (need := scene.reading.needs[scene.holding.key_of(row)])
    )


def _handoffs(task: Task, scene: Scene) -> list[Link]:
    return [
        link
        for link in scene.holding.links_out_of[task.pk]
        if link.handoff and scene.holding.task[link.after_id].retired_in is None
    ]


def _offer(task: Task, scene: Scene, visitor: Visitor, at: datetime, entry: Entry) -> Offer:
    newest = scene.holding.newest_offer.get(task.pk)
    return Offer(
        task=task,
        round=newest.round + 1 if newest else 1,
        offered_at=at,
        answer_by=due_by(scene, task, _reviewed(task, scene), at, working_hours(scene.holding)),
        sender=visitor.identity,
        sender_name=visitor.name,
        entered_for=entry.entered_for,
        entry_source=entry.entry_source,
    )


def _reviewed(task: Task, scene: Scene) -> list[Requirement]:
    return [row for row in scene.holding.requirements_of[task.pk] if row.accepts]


def _of(offer: Offer, scene: Scene) -> dict[str, object]:
    return {
        "offer": str(offer.uid),
        "round": offer.round,
        "answer_by": offer.answer_by.isoformat() if offer.answer_by else None,
        "hours": hours_for(scene, offer.task, _reviewed(offer.task, scene)),
        "about_to_be_covered": about_to_be_covered(scene, offer.task),
        "crew_waiting": offer.crew_waiting,
        "to": sorted({scene.holding.task[link.after_id].key for link in _handoffs(offer.task, scene)}),
    }


def _saved(offer: Offer, event: Event) -> Offer:
    offer.event = event
    offer.save(force_insert=True)
    return offer
