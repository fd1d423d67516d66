"""Answers that offers still wait for: whose, and how far the answer time has run. Nothing follows from it by itself."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Literal
from zoneinfo import ZoneInfo

from django.db.models import Exists, F, OuterRef, Q, QuerySet

from coordination.evidence.models import Evidence, Review
from coordination.gates.calendars import working_hours
from coordination.gates.models import Answer, Offer
from coordination.gates.scene import Scene
from coordination.projects.models import Link, Requirement, Task
from coordination.readiness import halfway

Stage = Literal["reminded", "late"]


@dataclass(frozen=True)
class Awaited:
    """One standing offer with what nobody has answered: requirements to review, tasks that receive it."""

    offer: Offer
    reviews: tuple[Requirement, ...]
    receivers: tuple[Task, ...]

    @property
    def anything(self) -> bool:
        return bool(self.reviews or self.receivers)


def awaited(scene: Scene, offer: Offer) -> Awaited:
    """What ``offer`` still waits for; nothing once it has ended."""
    holding = scene.holding
    task = holding.task[offer.task_id]
    if offer.ended_at is not None or task.retired_in is not None:
        return Awaited(offer, (), ())
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
    )


def stages(scene: Scene, at: datetime) -> Iterator[tuple[Awaited, Stage]]:
    """Standing offers with something open whose answer time is half over (``reminded``) or has passed (``late``)."""
    for offer in scene.holding.newest_offer.values():
        waits = awaited(scene, offer)
        stage = stage_of(scene, offer, at)
        if stage is not None and waits.anything:
            yield waits, stage


def stage_of(scene: Scene, offer: Offer, at: datetime) -> Stage | None:
    """How far the answer time of ``offer`` has run; None in its first half."""
    if offer.answer_by is None:
        return None
    if at > offer.answer_by:
        return "late"
    zone = ZoneInfo(scene.holding.project.zone)
    asked, due = offer.offered_at.astimezone(zone), offer.answer_by.astimezone(zone)
    return "reminded" if at >= halfway(asked, due, working_hours(scene.holding)) else None


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
