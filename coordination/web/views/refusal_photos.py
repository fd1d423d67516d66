"""Photos with which a receiver refused work: copies for whoever may see that work, originals for few."""

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from coordination.access.permissions import may
from coordination.gates.models import AnswerPhoto, AnswerPhotoCopy
from coordination.web.guards import guard
from coordination.web.shapes.photos import SIZES, SMALL
from coordination.web.shapes.rounds import refusal_figure
from coordination.web.shapes.scopes import scope_of
from coordination.web.views.media import figure_answer, original_of, send_blob, turn_of


@require_safe
def picture(request: HttpRequest, photo: UUID, size: str) -> HttpResponse:
    """A copy (small, large) or the original. A copy that is not made yet is not there."""
    row = _seen(request, photo)
    if size == "original":
        return original_of(request, row.answer.offer.task, row.blob, row.file_name)
    if size not in SIZES:
        raise Http404
    copy = AnswerPhotoCopy.objects.filter(photo=row, size=SIZES[size]).select_related("blob").first()
    if copy is None:
        raise Http404
    return send_blob(request, copy.blob, age=3600)


@require_safe
def figure(request: HttpRequest, photo: UUID) -> HttpResponse:
    """The figure, for a page that waits for its small copy."""
    row = _seen(request, photo)
    small = AnswerPhotoCopy.objects.filter(photo=row, size=SMALL).first()
    shown = refusal_figure(row, small, row.answer.answered_name, turn=turn_of(request))
    return figure_answer(request, shown)


def _seen(request: HttpRequest, uid: UUID) -> AnswerPhoto:
    """The photo, for whoever may see the work that was refused. Http404 for everybody else."""
    rows = AnswerPhoto.objects.select_related("blob", "answer__offer__task__project")
    row = rows.filter(uid=uid).first()
    if row is None:
        raise Http404
    task = row.answer.offer.task
    visitor = guard(request, task.project.uid)
    if not may(visitor, "see a task", scope_of(task)):
        raise Http404
    return row
