"""What waits for a reviewer's word: the soonest due first, what a crew waits for before everything."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.urls import reverse
from django.utils.translation import gettext as _

from coordination.access.permissions import Scope, may
from coordination.access.visitors import Visitor
from coordination.evidence import readings
from coordination.evidence.models import Evidence
from coordination.gates.answer_times import due_by
from coordination.gates.calendars import working_hours
from coordination.gates.models import Offer
from coordination.gates.queries import Scene
from coordination.gates.refusal_words import reason_words
from coordination.gates.sentences import of_requirement, of_task
from coordination.projects.models import Requirement
from coordination.readiness import WorkingHours
from coordination.siteprep.facts import Facts
from coordination.siteprep.plan import Plan
from coordination.web.shapes.enlarged import Enlarged, enlarged
from coordination.web.shapes.handoffs import company_or_trade
from coordination.web.shapes.needs import Need, need_of, system_of
from coordination.web.shapes.photos import Figure, figures
from coordination.web.shapes.refusal_reasons import reasons_of
from coordination.web.shapes.task_sheets import place_words
from coordination.web.texts import said


@dataclass(frozen=True)
class Waiting:
    """One requirement that waits for the visitor's word, as a line."""

    uid: UUID
    name: str
    task: str
    place: str
    company: str
    state: str
    since: datetime
    answer_by: datetime
    late: bool
    crew_waiting: bool
    deputy: bool
    own_entry: bool
    href: str

    @property
    def note(self) -> str:
        return ", ".join(part for part in (self.task, self.place, self.company) if part)


@dataclass(frozen=True)
class Before:
    """What was handed in for the same view and refused last: by whom, when, why."""

    by: str
    at: datetime
    reasons: tuple[str, ...]
    figures: tuple[Figure, ...]
    values: tuple[str, ...]


@dataclass(frozen=True)
class UnderReview:
    """The one that is being looked at: what was asked beside what came, and what had come before it."""

    line: Waiting
    need: Need
    before: Before | None
    picture: Enlarged | None
    first_line: str
    phone: str
    action: str
    task_href: str
    reasons: tuple[tuple[str, str], ...]
    may_accept: bool
    why_not: str


def waiting_for(visitor: Visitor, scene: Scene, plan: Plan, at: datetime) -> list[Waiting]:
    """Everything the visitor may review that nobody has, what they entered themselves last."""
    holding, hours = scene.holding, working_hours(scene.holding)
    found = [
        _line(row, visitor, scene, plan=plan, at=at, hours=hours)
        for row in holding.requirements
        if holding.shown[row.pk].reviewable
        and holding.task[row.task_id].retired_in is None
        and may(visitor, "review evidence", Scope(accepts=row.accepts, deputy=row.deputy))
    ]
    return sorted(found, key=lambda line: (line.own_entry, not line.crew_waiting, line.answer_by, line.since))


def under_review(line: Waiting, visitor: Visitor, scene: Scene, plan: Plan, facts: Facts) -> UnderReview:
    """One of them, with the pictures in full and its place drawn to scale."""
    row = scene.requirement(line.uid)
    task, project = scene.holding.task[row.task_id], scene.holding.project.uid
    need = need_of(row, scene, visitor)
    outside = need.inside is False
    return UnderReview(
        line=line,
        need=need,
        before=_before(row, scene),
        picture=enlarged(task, scene, facts, plan, scene.ready(task).state),
        first_line=said(task.derived.get("first_line", {})),
        phone=scene.holding.company_of(task.trade)[1] if may(visitor, "see phone numbers") else "",
        action=reverse("review", args=[project, row.uid]),
        task_href=f"{reverse('task', args=[project, task.uid])}#need-{row.uid}",
        reasons=reasons_of(row, scene),
        may_accept=not outside,
        why_not=_("It is outside the tolerance: refuse it, or let those named grant a concession.")
        if outside
        else "",
    )


def _before(row: Requirement, scene: Scene) -> Before | None:
    """What the newest refusal was about; None where nothing was refused."""
    refused = [
        (item, item.review)
        for item in scene.holding.shown[row.pk].items
        if item.review is not None and item.review.outcome == "refused" and item.evidence.withdrawn_at is None
    ]
    if not refused:
        return None
    newest = max((review for _item, review in refused), key=lambda review: review.pk)
    items = [item for item, review in refused if review.event_id == newest.event_id]
    return Before(
        newest.reviewer_name,
        newest.at,
        tuple(reason_words(newest.reasons)),
        tuple(figures(items, of_requirement(row))),
        tuple(_value(item.evidence, row, scene) for item in items if item.evidence.blob is None),
    )


def _value(evidence: Evidence, row: Requirement, scene: Scene) -> str:
    """A single reading in the job's units; a series or a signature as it was typed."""
    if isinstance(evidence.value, dict | list):
        return evidence.typed
    return readings.shown(evidence.value, row.terms.get("unit") or "count", system_of(scene))


def answer_by(row: Requirement, scene: Scene, hours: WorkingHours) -> datetime:
    """When the word is due: with the offer, or the asked working hours after it came in."""
    offer, since = _standing(row, scene), scene.holding.shown[row.pk].since
    if offer is not None and offer.answer_by is not None:
        return offer.answer_by
    came = since or scene.holding.shown[row.pk].reviewable[-1].evidence.received_at
    return due_by(scene, scene.holding.task[row.task_id], [row], came, hours)


def _line(
    row: Requirement, visitor: Visitor, scene: Scene, *, plan: Plan, at: datetime, hours: WorkingHours
) -> Waiting:
    task, shown = scene.holding.task[row.task_id], scene.holding.shown[row.pk]
    due, offer = answer_by(row, scene, hours), _standing(row, scene)
    own = row.lift_critical and any(item.evidence.sender == visitor.identity for item in shown.reviewable)
    return Waiting(
        uid=row.uid,
        name=of_requirement(row),
        task=of_task(task),
        place=place_words(task, plan),
        company=company_or_trade(task.trade, scene),
        state="handed in",
        since=shown.reviewable[-1].evidence.received_at,
        answer_by=due,
        late=due < at,
        crew_waiting=bool(offer and offer.crew_waiting),
        deputy=row.accepts not in visitor.roles,
        own_entry=own,
        href=f"{reverse('reviews', args=[scene.holding.project.uid])}?look={row.uid}",
    )


def _standing(row: Requirement, scene: Scene) -> Offer | None:
    offer = scene.holding.newest_offer.get(row.task_id)
    return offer if offer and offer.ended_at is None else None


def next_after(lines: Sequence[Waiting], line: Waiting) -> Waiting | None:
    """The one to look at when this one is put off: the following, at the end the first again."""
    others = [*lines[lines.index(line) + 1 :], *lines[: lines.index(line)]]
    return others[0] if others else None
