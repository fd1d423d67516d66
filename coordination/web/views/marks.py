"""One photo by itself, with the marks over it: numbered arrows, rings and dimensions."""

from http import HTTPStatus
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from coordination.access.permissions import NotAllowed
from coordination.access.refusals import Refusal
from coordination.evidence.marking import put_mark, take_mark_back
from coordination.evidence.models import Evidence
from coordination.web.forms.marks import MarkForm
from coordination.web.refused import in_words
from coordination.web.shapes.marks import photo_page
from coordination.web.shapes.photos import is_picture
from coordination.web.views.media import seen_evidence


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def show(request: HttpRequest, evidence: UUID) -> HttpResponse:
    """The photo, large. POST puts one more mark."""
    row = _photo(request, evidence)
    if request.method != "POST":
        return _page(request, row, MarkForm())
    form, visitor = MarkForm(request.POST), request.visitor  # type: ignore[attr-defined]
    if not photo_page(row, visitor).may_mark:
        raise Http404
    if not form.is_valid():
        return _page(request, row, form, HTTPStatus.UNPROCESSABLE_ENTITY)
    try:
        mark = put_mark(visitor.project, visitor, timezone.now(), row.uid, form.given())
    except Refusal as refusal:
        return _page(request, row, form, HTTPStatus.UNPROCESSABLE_ENTITY, in_words(refusal))
    messages.success(request, _("Mark %(number)s is put.") % {"number": mark.number})
    return redirect("photo", row.uid)


@require_POST
def take_back(request: HttpRequest, evidence: UUID, mark: UUID) -> HttpResponse:
    """Draw one's own mark no more."""
    row = _photo(request, evidence)
    visitor = request.visitor  # type: ignore[attr-defined]
    try:
        ended = take_mark_back(visitor.project, visitor, timezone.now(), mark)
    except NotAllowed:
        raise Http404 from None
    except Refusal as refusal:
        return _page(request, row, MarkForm(), HTTPStatus.UNPROCESSABLE_ENTITY, in_words(refusal))
    messages.success(request, _("Mark %(number)s is taken back.") % {"number": ended.number})
    return redirect("photo", row.uid)


def _photo(request: HttpRequest, uid: UUID) -> Evidence:
    """A picture, for whoever may see its task. Http404 for everybody else, and for papers that are no pictures."""
    row = seen_evidence(request, uid)
    if not is_picture(row):
        raise Http404
    return row


def _page(
    request: HttpRequest,
    row: Evidence,
    form: MarkForm,
    status: int = HTTPStatus.OK,
    reasons: list[str] | None = None,
) -> HttpResponse:
    visitor = request.visitor  # type: ignore[attr-defined]
    context = {"page": photo_page(row, visitor), "form": form, "reasons": reasons}
    return render(request, "photos/show.html", context, status=status)
