"""The history of one task's handoffs: every round, who offered, what each receiver said, and how the round ended."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse
from django.utils.translation import gettext as _

from coordination.evidence.outcomes import StandingMark
from coordination.gates.models import (
    BY_BEGINNING,
    FOR_THE_SILENT,
    Answer,
    AnswerPhoto,
    AnswerPhotoCopy,
    Offer,
)
from coordination.gates.queries import Scene
from coordination.gates.refusal_photos import RefusalPhoto, photos_of, reasons_of
from coordination.gates.refusal_words import reason_words
from coordination.gates.sentences import of_requirement
from coordination.projects.models import Task
from coordination.web.shapes.handoffs import company_or_trade
from coordination.web.shapes.photos import SMALL, Figure, mark_line, overlay_of

Photos = Mapping[int, Sequence[RefusalPhoto]]


@dataclass(frozen=True)
class AnswerLine:
    """One receiver's word in one round, or a reviewer's refusal that ended it. ``state`` is a key of words.LOOKS."""

    state: str
    who: str
    said: str
    at: datetime | None
    due: datetime | None
    late: bool
    reasons: tuple[str, ...]
    figures: tuple[Figure, ...]


@dataclass(frozen=True)
class RoundLine:
    """One round. ``ended`` is when the work came back, None while the offer stands."""

    number: int
    by: str
    at: datetime
    note: str
    crew_waiting: bool
    answer_by: datetime | None
    ended: datetime | None
    answers: tuple[AnswerLine, ...]


def rounds_of(task: Task, scene: Scene, now: datetime) -> list[RoundLine]:
    """Every round of ``task``, the newest first; empty where it was never offered."""
    holding = scene.holding
    offers = [offer for offer in holding.offers if offer.task_id == task.pk]
    own = {offer.pk for offer in offers}
    photos = photos_of(answer for answer in holding.answers if answer.offer_id in own)
    return [_round(offer, task, scene, photos, now) for offer in reversed(offers)]


def _round(offer: Offer, task: Task, scene: Scene, photos: Photos, now: datetime) -> RoundLine:
    by = offer.sender_name
    if offer.entered_for:
        told = {"name": by, "company": offer.entered_for, "source": offer.entry_source}
        by = _("entered by %(name)s for %(company)s (%(source)s)") % told
    answers = [*_answers(offer, task, scene, photos, now), *_reviews(offer, task, scene)]
    return RoundLine(
        offer.round,
        by,
        offer.offered_at,
        offer.note,
        offer.crew_waiting,
        offer.answer_by,
        offer.ended_at,
        tuple(answers),
    )


def _answers(offer: Offer, task: Task, scene: Scene, photos: Photos, now: datetime) -> Iterator[AnswerLine]:
    """One line a receiving task, answered or not."""
    seen: set[int] = set()
    for link in scene.holding.links_out_of[task.pk]:
        after = scene.holding.task[link.after_id]
        if not link.handoff or after.pk in seen:
            continue
        seen.add(after.pk)
        answer = scene.holding.answer_to.get((offer.pk, link.pk))
        who = company_or_trade(after.trade, scene)
        if answer is not None:
            yield _answer(answer, who, offer, photos)
        elif offer.ended_at is None and after.retired_in is None:
            yield _silence(who, offer, now)


def _silence(who: str, offer: Offer, now: datetime) -> AnswerLine:
    late = offer.answer_by is not None and offer.answer_by < now
    said = _("has not answered in time") if late else _("has not answered yet")
    return AnswerLine("offered", who, said, None, offer.answer_by, late, (), ())


def _answer(answer: Answer, who: str, offer: Offer, photos: Photos) -> AnswerLine:
    late = offer.answer_by is not None and answer.at > offer.answer_by
    shown = photos.get(answer.pk, ())
    figures = tuple(
        refusal_figure(photo.row, photo.copies.get(SMALL), answer.answered_name, marks=photo.marks)
        for photo in shown
    )
    reasons = tuple(reason_words(reasons_of(answer, shown)))
    return AnswerLine(answer.outcome, who, _said(answer), answer.at, offer.answer_by, late, reasons, figures)


def _said(answer: Answer) -> str:
    """Whose word it was and how it came about."""
    name = answer.answered_name
    if answer.entered_for:
        told = {"name": name, "company": answer.entered_for, "source": answer.entry_source}
        name = _("entered by %(name)s for %(company)s (%(source)s)") % told
    told = {"name": name, "company": answer.instead_of}
    if answer.way == FOR_THE_SILENT:
        return _("accepted by %(name)s for %(company)s, who had not answered in time") % told
    if answer.way == BY_BEGINNING:
        return _("taken over on beginning to build on it: %(name)s") % told
    words = _("accepted: %(name)s") if answer.outcome == "accepted" else _("refused: %(name)s")
    return words % told


def _reviews(offer: Offer, task: Task, scene: Scene) -> Iterator[AnswerLine]:
    """What a reviewer refused, or its sender withdrew, at the very moment in which the round ended."""
    if offer.ended_at is None:
        return
    for row in scene.holding.requirements_of[task.pk]:
        for item in scene.holding.shown[row.pk].items:
            review = item.review
            if review is not None and review.outcome == "refused" and review.at == offer.ended_at:
                told = {"name": review.reviewer_name, "what": of_requirement(row)}
                said = _("refused “%(what)s”: %(name)s") % told
                reasons = tuple(reason_words(review.reasons))
                yield AnswerLine("refused", "", said, review.at, None, False, reasons, ())
                break
            if item.evidence.withdrawn_at == offer.ended_at:
                said = _("“%(what)s” was withdrawn") % {"what": of_requirement(row)}
                yield AnswerLine("withdrawn", "", said, offer.ended_at, None, False, (), ())
                break


def refusal_figure(
    photo: AnswerPhoto,
    small: AnswerPhotoCopy | None,
    by: str,
    *,
    turn: int = 0,
    marks: Sequence[StandingMark] = (),
) -> Figure:
    """A photo of a refusal for components/photo.html; it asks again by itself until its copy is made."""
    return Figure(
        uid=photo.uid,
        alt=_("Photo of what was refused"),
        caption="",
        src=reverse("refusal-photo", args=[photo.uid, "small"]) if small else "",
        width=small.width if small else None,
        height=small.height if small else None,
        href=reverse("refused-photo", args=[photo.uid]) if small else "",
        taken=photo.taken_at,
        by=by,
        state="",
        poll="" if small else f"{reverse('refusal-figure', args=[photo.uid])}?turn={turn + 1}",
        pause=min(1 + turn, 30),
        large=reverse("refusal-photo", args=[photo.uid, "large"]) if small else "",
        marks=tuple(mark_line(mark) for mark in marks),
        overlay=overlay_of(photo.uid, marks),
    )
