"""Marks over the photos of a refused handoff: put, taken back, and made a reason of that refusal."""

from datetime import datetime
from typing import Any
from uuid import UUID

from django.db.models import Max

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import Scope, require
from coordination.access.refusals import NotVisible, Reason
from coordination.access.visitors import Visitor
from coordination.evidence.mark_words import frozen, reason_of
from coordination.evidence.marking import MOST, MarkInput, columns_of, faults_of, refuse_another_s, told_of
from coordination.evidence.refusals import NotMarked
from coordination.gates.models import AnswerMark, AnswerMarkReason, AnswerMarkTakenBack, AnswerPhoto
from coordination.record.actions import Pen


def put_answer_mark(
    project: Project, visitor: Visitor, at: datetime, photo_uid: UUID, given: MarkInput
) -> AnswerMark:
    """Put a mark over a photo of a refusal. The same key again is the same mark.

    Raises NotVisible, NotAllowed, NotMarked with every reason, NotAReading for a length that cannot be read.
    """
    with deciding(project, visitor, at) as pen:
        photo = _photo(project, photo_uid)
        require(visitor, "mark a photo", scope_of_refusal(photo))
        known = AnswerMark.objects.filter(sender_key=given.sender_key).first()
        if known is not None:
            if known.photo_id != photo.pk:
                raise NotMarked(Reason("put before elsewhere"))
            pen.leave_as_it_is()
            return known
        if reasons := [*_faults_of_photo(photo), *faults_of(given)]:
            raise NotMarked(*reasons)
        highest = AnswerMark.objects.filter(photo=photo).aggregate(highest=Max("number"))["highest"]
        row = AnswerMark(photo=photo, number=(highest or 0) + 1, **columns_of(given, visitor, at))
        row.event = pen.write("photo marked", subject=_subject(photo), body=answer_mark_body(row))
        row.save(force_insert=True)
        return row


def take_answer_mark_back(project: Project, visitor: Visitor, at: datetime, mark_uid: UUID) -> AnswerMark:
    """Draw a mark no more. Only whoever put it does so, and not where it is a reason; twice is harmless.

    Raises NotVisible, NotAllowed, NotMarked.
    """
    with deciding(project, visitor, at) as pen:
        mark = _mark(project, mark_uid)
        require(visitor, "mark a photo", scope_of_refusal(mark.photo))
        if AnswerMarkTakenBack.objects.filter(mark=mark).exists():
            pen.leave_as_it_is()
            return mark
        refuse_another_s(mark, visitor)
        if AnswerMarkReason.objects.filter(mark=mark).exists():
            raise NotMarked(Reason("mark is a reason"))
        event = pen.write("mark taken back", subject=_subject(mark.photo), body=_body(mark))
        AnswerMarkTakenBack.objects.create(mark=mark, event=event, **_whose(visitor, pen))
        return mark


def make_reason(project: Project, visitor: Visitor, at: datetime, mark_uid: UUID) -> AnswerMark:
    """Add one's own mark to the reasons of the refusal, for the receiver that refused; twice is harmless.

    Raises NotVisible, NotAllowed, NotMarked.
    """
    with deciding(project, visitor, at) as pen:
        mark = _mark(project, mark_uid)
        require(visitor, "answer a handoff", Scope(receivers=_refusing(mark.photo)))
        if AnswerMarkReason.objects.filter(mark=mark).exists():
            pen.leave_as_it_is()
            return mark
        if AnswerMarkTakenBack.objects.filter(mark=mark).exists():
            raise NotMarked(Reason("no such mark"))
        refuse_another_s(mark, visitor)
        body = {**_body(mark), "reason": reason_of(frozen(mark))}
        event = pen.write("mark made a reason", subject=_subject(mark.photo), body=body)
        AnswerMarkReason.objects.create(mark=mark, event=event, **_whose(visitor, pen))
        return mark


def scope_of_refusal(photo: AnswerPhoto) -> Scope:
    """Whose photo it is: of the trade whose work was refused, and of the one that refused it."""
    return Scope(trade=photo.answer.offer.task.trade, receivers=_refusing(photo))


def answer_mark_body(row: AnswerMark) -> dict[str, object]:
    """What the record says of a mark over a photo of a refusal."""
    return {"photo": str(row.photo.uid), **told_of(row)}


def _refusing(photo: AnswerPhoto) -> frozenset[str]:
    return frozenset({photo.answer.link.after.trade})


def _subject(photo: AnswerPhoto) -> str:
    return str(photo.answer.offer.task.key)


def _body(mark: AnswerMark) -> dict[str, object]:
    return {"photo": str(mark.photo.uid), "mark": str(mark.uid), "number": mark.number}


def _whose(visitor: Visitor, pen: Pen) -> dict[str, Any]:
    return {"by": visitor.identity, "by_name": visitor.name, "at": pen.at}


def _faults_of_photo(photo: AnswerPhoto) -> list[Reason]:
    ended = AnswerMarkTakenBack.objects.filter(mark__photo=photo).values("mark")
    many = AnswerMark.objects.filter(photo=photo).exclude(pk__in=ended).count() >= MOST
    return [Reason("too many marks", {"most": MOST})] if many else []


def _photo(project: Project, uid: UUID) -> AnswerPhoto:
    rows = AnswerPhoto.objects.select_related("answer__offer__task", "answer__link__after")
    row = rows.filter(uid=uid, answer__offer__task__project=project).first()
    if row is None:
        raise NotVisible
    return row


def _mark(project: Project, uid: UUID) -> AnswerMark:
    rows = AnswerMark.objects.select_related("photo__answer__offer__task", "photo__answer__link__after")
    row = rows.filter(uid=uid, photo__answer__offer__task__project=project).first()
    if row is None:
        raise NotVisible
    return row
