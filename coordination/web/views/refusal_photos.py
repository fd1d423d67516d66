"""Photos with which a receiver refused work: copies for whoever may see that work, originals for few."""

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from coordination.access.permissions import may
from coordination.gates.actions import make_reason, put_answer_mark, take_answer_mark_back
from coordination.gates.models import AnswerPhoto, AnswerPhotoCopy
from coordination.gates.refusal_photos import marks_on
from coordination.web.guards import guard
from coordination.web.shapes.photos import SIZES, SMALL
from coordination.web.shapes.refusal_marks import refusal_photo_page
from coordination.web.shapes.rounds import refusal_figure
from coordination.web.shapes.scopes import scope_of
from coordination.web.views.marks import mark_pressed, marks_page
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


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def show(request: HttpRequest, photo: UUID) -> HttpResponse:
    """The photo, large, with its marks. POST puts one more."""
    row, visitor = _seen(request, photo), request.visitor  # type: ignore[attr-defined]
    return marks_page(
        request,
        lambda: refusal_photo_page(row, visitor),
        lambda given: put_answer_mark(visitor.project, visitor, timezone.now(), row.uid, given),
    )


@require_POST
def take_back(request: HttpRequest, photo: UUID, mark: UUID) -> HttpResponse:
    """Draw one's own mark no more."""
    row, visitor = _seen(request, photo), request.visitor  # type: ignore[attr-defined]
    return mark_pressed(
        request,
        lambda: refusal_photo_page(row, visitor),
        lambda: take_answer_mark_back(visitor.project, visitor, timezone.now(), mark),
        _("Mark %(number)s is taken back."),
    )


@require_POST
def to_reasons(request: HttpRequest, photo: UUID, mark: UUID) -> HttpResponse:
    """Make one's own mark a reason of the refusal."""
    row, visitor = _seen(request, photo), request.visitor  # type: ignore[attr-defined]
    return mark_pressed(
        request,
        lambda: refusal_photo_page(row, visitor),
        lambda: make_reason(visitor.project, visitor, timezone.now(), mark),
        _("Mark %(number)s is one of the reasons now."),
    )


@require_safe
def figure(request: HttpRequest, photo: UUID) -> HttpResponse:
    """The figure, for a page that waits for its small copy."""
    row = _seen(request, photo)
    small = AnswerPhotoCopy.objects.filter(photo=row, size=SMALL).first()
    marks = marks_on([row])[row.pk]
    shown = refusal_figure(row, small, row.answer.answered_name, turn=turn_of(request), marks=marks)
    return figure_answer(request, shown)


def _seen(request: HttpRequest, uid: UUID) -> AnswerPhoto:
    """The photo, for whoever may see the work that was refused. Http404 for everybody else."""
    rows = AnswerPhoto.objects.select_related("blob", "answer__offer__task__project", "answer__link__after")
    row = rows.filter(uid=uid).first()
    if row is None:
        raise Http404
    task = row.answer.offer.task
    visitor = guard(request, task.project.uid)
    if not may(visitor, "see a task", scope_of(task)):
        raise Http404
    return row
