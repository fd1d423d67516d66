"""The reviewer's word on what was handed in, and taking it back."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import Scope, require
from coordination.access.refusals import Reason
from coordination.access.visitors import Visitor
from coordination.evidence.mark_words import frozen, reason_of
from coordination.evidence.models import Mark, MarkReason, Review
from coordination.evidence.outcomes import Item, Shown
from coordination.gates.bringing_back import bring_back
from coordination.gates.refusals import NothingToReview, OutOfTolerance, OwnWork, SayWhy
from coordination.gates.reopening import Saying, at_work_over, carry_out
from coordination.gates.scene import Scene, look_at
from coordination.projects.models import Requirement
from coordination.record.actions import Pen
from coordination.record.models import Event

VERBS = {"accepted": "evidence accepted", "refused": "evidence refused"}


@dataclass(frozen=True)
class _Word:
    """What a reviewer says."""

    visitor: Visitor
    outcome: str
    reasons: list[str]
    marks: tuple[Mark, ...] = ()


def review_requirement(
    project: Project,
    visitor: Visitor,
    at: datetime,
    requirement_uid: UUID,
    outcome: str,
    *,
    reasons: Sequence[str] = (),
    marks: Sequence[UUID] = (),
) -> list[Review]:
    """Accept or refuse everything that waits for review under one requirement, as one decision.

    A refusal brings the work back to its trade with the reasons; each of ``marks`` on its photos is one of them.
    Saying the same twice is harmless.
    Raises NothingToReview, SayWhy, OutOfTolerance, OwnWork, NotAllowed, NotVisible, LeftThePlan.
    """
    why = _reasons(outcome, reasons, marks)
    with deciding(project, visitor, at) as pen:
        scene = look_at(project, at)
        requirement = _reviewable(scene, visitor, requirement_uid)
        shown = scene.holding.shown[requirement.pk]
        if not shown.reviewable:
            _refuse_unless_said_already(shown, outcome)
            pen.leave_as_it_is()
            return [item.review for item in shown.counted if item.review]
        _refuse_own_work(requirement, shown.reviewable, visitor)
        if outcome == "accepted" and shown.in_tolerance is False:
            raise OutOfTolerance(Reason("out of tolerance", {"subject": str(requirement)}))
        word = _word(visitor, outcome, why, shown.reviewable, marks)
        return _review(pen, scene, requirement, shown.reviewable, word)


def take_back_acceptance(
    project: Project,
    visitor: Visitor,
    at: datetime,
    requirement_uid: UUID,
    reasons: Sequence[str],
    *,
    marks: Sequence[UUID] = (),
) -> list[Review]:
    """Refuse what was accepted before: the work comes back, and gates that read it reopen.

    Raises as ``review_requirement`` does.
    """
    why = _reasons("refused", reasons, marks)
    with deciding(project, visitor, at) as pen:
        scene = look_at(project, at)
        requirement = _reviewable(scene, visitor, requirement_uid)
        shown = scene.holding.shown[requirement.pk]
        if shown.outcome == "refused":
            pen.leave_as_it_is()
            return [item.review for item in shown.counted if item.review]
        if shown.outcome != "accepted" or not requirement.accepts:
            raise NothingToReview(Reason("not accepted yet", {"subject": str(requirement)}))
        word = _word(visitor, "refused", why, shown.counted, marks)
        return _review(pen, scene, requirement, shown.counted, word)


def _reasons(outcome: str, reasons: Sequence[str], marks: Sequence[UUID]) -> list[str]:
    why = [reason.strip() for reason in reasons if reason.strip()]
    if outcome not in VERBS:
        raise ValueError(f"A review is accepted or refused, not {outcome!r}.")
    if outcome == "refused" and not why and not marks:
        raise SayWhy(Reason("say why refused"))
    return why


def _word(
    visitor: Visitor, outcome: str, why: list[str], items: Sequence[Item], marks: Sequence[UUID]
) -> _Word:
    """The word with the sentences of its marks first. Raises SayWhy for a mark that does not stand on ``items``."""
    if outcome != "refused" or not marks:
        return _Word(visitor, outcome, why)
    standing = {mark.row.uid: mark.row for item in items for mark in item.marks}
    if not set(marks) <= set(standing):
        raise SayWhy(Reason("no such mark"))
    named = tuple(row for uid, row in standing.items() if uid in set(marks))
    return _Word(visitor, outcome, [*(reason_of(frozen(row)) for row in named), *why], named)


def _reviewable(scene: Scene, visitor: Visitor, uid: UUID) -> Requirement:
    requirement = scene.requirement(uid)
    scope = Scope(accepts=requirement.accepts, deputy=requirement.deputy)
    require(visitor, "review evidence", scope)
    return requirement


def _refuse_unless_said_already(shown: Shown, outcome: str) -> None:
    if shown.outcome == outcome and shown.counted:
        return
    newest = max(
        (item.review for item in shown.standing if item.review), key=lambda row: row.pk, default=None
    )
    if newest is None:
        raise NothingToReview(Reason("nothing handed in", {"subject": str(shown.requirement)}))
    said = {"subject": str(shown.requirement), "name": newest.reviewer_name, "outcome": newest.outcome}
    raise NothingToReview(Reason("reviewed already", said))


def _refuse_own_work(requirement: Requirement, items: Sequence[Item], visitor: Visitor) -> None:
    if requirement.lift_critical and any(item.evidence.sender == visitor.identity for item in items):
        raise OwnWork(Reason("own work", {"subject": str(requirement), "name": visitor.name}))


def _review(
    pen: Pen, scene: Scene, requirement: Requirement, items: Sequence[Item], word: _Word
) -> list[Review]:
    """Write the reviews of ``items``; on a refusal bring the work back, and reopen what had read it."""
    task, rows = scene.holding.task[requirement.task_id], list[Review]()

    def change(event: Event) -> None:
        rows[:] = [_row(requirement, item, word, event, pen.at) for item in items]
        for row in rows:
            row.save(force_insert=True)
        MarkReason.objects.bulk_create(_named(rows, word))
        if word.outcome == "refused":
            bring_back(task, pen.at)

    body: dict[str, Any] = {
        "requirement": str(requirement),
        "terms_sha": requirement.terms_sha,
        "evidence": [str(item.evidence.uid) for item in items],
        "reasons": word.reasons,
    }
    if word.marks:
        body["marks"] = [str(mark.uid) for mark in word.marks]
    if word.outcome == "refused":
        body["at_work_over_it"] = [vars(item) for item in at_work_over(task, scene.holding)]
    saying = Saying(VERBS[word.outcome], str(requirement), body, word.reasons)
    carry_out(pen, scene.holding.project, saying, change)
    return rows


def _named(rows: Sequence[Review], word: _Word) -> list[MarkReason]:
    """Each mark with the review of the photo on which it stands."""
    by_photo = {row.evidence_id: row for row in rows}
    return [MarkReason(review=by_photo[mark.evidence_id], mark=mark) for mark in word.marks]


def _row(requirement: Requirement, item: Item, word: _Word, event: Event, at: datetime) -> Review:
    return Review(
        evidence=item.evidence,
        round=item.review.round + 1 if item.review else 1,
        outcome=word.outcome,
        reasons=word.reasons if word.outcome == "refused" else [],
        reviewer=word.visitor.identity,
        reviewer_name=word.visitor.name,
        sender=item.evidence.sender,
        lift_critical=requirement.lift_critical,
        at=at,
        event=event,
    )
