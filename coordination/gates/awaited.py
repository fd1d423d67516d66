"""Answers that offers, and evidence before them, wait for: whose, and how far the time has run."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Literal
from zoneinfo import ZoneInfo

from django.db.models import Exists, F, OuterRef, Q, QuerySet

from coordination.evidence.models import Evidence, Review
from coordination.gates.answer_times import due_by
from coordination.gates.calendars import working_hours
from coordination.gates.models import Answer, Offer
from coordination.gates.scene import Scene
from coordination.projects.models import Link, Requirement, Task
from coordination.readiness import halfway

Stage = Literal["reminded", "late"]


@dataclass(frozen=True)
class Awaited:
    """What nobody has answered on one task: requirements to review, tasks that receive it.

    ``offer`` is the standing offer; None where evidence waits for its reviewer before anything is offered. ``event`` is
    the own key of the event that asked, at ``asked``; the answer is due at ``due``.
    """

    offer: Offer | None
    reviews: tuple[Requirement, ...]
    receivers: tuple[Task, ...]
    event: int
    asked: datetime
    due: datetime | None

    @property
    def anything(self) -> bool:
        return bool(self.reviews or self.receivers)


def awaited(scene: Scene, offer: Offer) -> Awaited:
    """What ``offer`` still waits for; nothing once it has ended."""
    holding = scene.holding
    task = holding.task[offer.task_id]
    asked = (offer.event_id, offer.offered_at, offer.answer_by)
    if offer.ended_at is not None or task.retired_in is not None:
        return Awaited(offer, (), (), *asked)
    return Awaited(
        offer,
        tuple(row for row in holding.requirements_of[task.pk] if holding.shown[row.pk].reviewable),
        tuple(
            holding.task[link.after_id]
            for link in holding.links_out_of[task.pk]
            if link.handoff
            and holding.task[link.after_id].retired_in is None
            and (offer.pk, link.pk) not in holding.answer_to
        ),
        *asked,
    )


def before_an_offer(scene: Scene) -> Iterator[Awaited]:
    """Evidence that waits for its reviewer while nothing is offered, by task: the oldest of it runs the time.

    What was handed in before an offer was refused belongs to that round: it came back with it.
    """
    holding = scene.holding
    for task in holding.tasks:
        offer = holding.newest_offer.get(task.pk)
        if task.retired_in is not None or (offer is not None and offer.ended_at is None):
            continue
        since = offer.ended_at if offer else None
        waiting = {
            row: [
                item.evidence
                for item in holding.shown[row.pk].reviewable
                if since is None or item.evidence.received_at > since
            ]
            for row in holding.requirements_of[task.pk]
        }
        reviews = tuple(row for row, items in waiting.items() if items)
        if reviews:
            first = min((each for items in waiting.values() for each in items), key=lambda each: each.pk)
            due = due_by(scene, task, reviews, first.received_at, working_hours(holding))
            yield Awaited(None, reviews, (), first.event_id, first.received_at, due)


def stages(scene: Scene, at: datetime) -> Iterator[tuple[Awaited, Stage]]:
    """What is open and whose answer time is half over (``reminded``) or has passed (``late``)."""
    offered = (awaited(scene, offer) for offer in scene.holding.newest_offer.values())
    for waits in (*offered, *before_an_offer(scene)):
        stage = stage_of(scene, waits, at)
        if stage is not None and waits.anything:
            yield waits, stage


def stage_of(scene: Scene, waits: Awaited, at: datetime) -> Stage | None:
    """How far the answer time has run; None in its first half."""
    if waits.due is None:
        return None
    if at > waits.due:
        return "late"
    return "reminded" if at >= _half_time(scene, waits.asked, waits.due) else None


def stage_began(scene: Scene, waits: Awaited, stage: Stage) -> datetime:
    """When ``waits`` came to the stage it is in: at half time, or when the answer was due."""
    assert waits.due is not None  # noqa: S101 - there is no stage without
    return waits.due if stage == "late" else _half_time(scene, waits.asked, waits.due)


def _half_time(scene: Scene, asked: datetime, due: datetime) -> datetime:
    zone = ZoneInfo(scene.holding.project.zone)
    return halfway(asked.astimezone(zone), due.astimezone(zone), working_hours(scene.holding))


def unreviewed() -> QuerySet[Evidence]:
    """Evidence on which a reviewer's word is open, as far as the database alone can say: none is missing here."""
    return Evidence.objects.filter(
        ~Exists(Review.objects.filter(evidence=OuterRef("pk"))),
        requirement__retired_in__isnull=True,
        requirement__task__retired_in__isnull=True,
        terms_sha=F("requirement__terms_sha"),
        withdrawn_at__isnull=True,
    ).exclude(requirement__accepts="")


def unanswered() -> QuerySet[Offer]:
    """Standing offers on which somebody's word is open, as far as the database alone can say: none is missing here."""
    said = Answer.objects.filter(offer=OuterRef(OuterRef("pk")), link=OuterRef("pk"))
    links = Link.objects.filter(before=OuterRef("task"), handoff=True, retired_in__isnull=True).filter(
        ~Exists(said)
    )
    reviewed = Review.objects.filter(evidence=OuterRef("pk"))
    shown = Evidence.objects.filter(
        requirement__task=OuterRef("task"),
        requirement__retired_in__isnull=True,
        terms_sha=F("requirement__terms_sha"),
        withdrawn_at__isnull=True,
    ).exclude(requirement__accepts="")
    open_somewhere = Q(Exists(links)) | Q(Exists(shown.filter(~Exists(reviewed))))
    standing = Offer.objects.filter(ended_at__isnull=True, answer_by__isnull=False)
    return standing.filter(open_somewhere).order_by("pk")
