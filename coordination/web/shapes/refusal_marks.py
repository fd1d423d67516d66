"""The page of one photo of a refused handoff: large, with its marks, and what may be done with them."""

from django.urls import reverse

from coordination.access.permissions import Scope, may
from coordination.access.visitors import Visitor
from coordination.evidence.outcomes import StandingMark
from coordination.gates.actions.marking import scope_of_refusal
from coordination.gates.models import AnswerPhoto, AnswerPhotoCopy
from coordination.gates.refusal_photos import marks_on
from coordination.gates.sentences import of_task
from coordination.web.shapes.marks import PhotoPage, PutMark, task_href
from coordination.web.shapes.photos import SMALL, MarkLine, mark_line
from coordination.web.shapes.rounds import refusal_figure


def refusal_photo_page(photo: AnswerPhoto, visitor: Visitor) -> PhotoPage:
    """The page as ``visitor`` may use it."""
    answer, marks = photo.answer, marks_on([photo])[photo.pk]
    small = AnswerPhotoCopy.objects.filter(photo=photo, size=SMALL).first()
    where = task_href(answer.offer.task, visitor)
    return PhotoPage(
        action=reverse("refused-photo", args=[photo.uid]),
        figure=refusal_figure(photo, small, answer.answered_name, marks=marks),
        task=of_task(answer.offer.task),
        task_href=f"{where}#rounds" if where else "",
        review_href="",
        marks=tuple(_put(photo, mark, visitor) for mark in marks),
        may_mark=may(visitor, "mark a photo", scope_of_refusal(photo)),
    )


def _put(photo: AnswerPhoto, mark: StandingMark, visitor: Visitor) -> PutMark:
    line = mark_line(mark)
    if line.is_reason or mark.row.by != visitor.identity:
        return PutMark(line, "")
    refusing = Scope(receivers=frozenset({photo.answer.link.after.trade}))
    may_give_reasons = may(visitor, "answer a handoff", refusing)
    back = _address("refused-photo-take-back", photo, line)
    return PutMark(line, back, _address("refused-photo-reason", photo, line) if may_give_reasons else "")


def _address(name: str, photo: AnswerPhoto, line: MarkLine) -> str:
    return reverse(name, args=[photo.uid, line.uid])
