"""One photo by itself, with the marks over it: numbered arrows, rings and dimensions."""

from collections.abc import Callable
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
from coordination.evidence.marking import MarkInput, put_mark, take_mark_back
from coordination.evidence.models import Evidence, MarkOverPhoto
from coordination.web.forms.marks import MarkForm
from coordination.web.refused import in_words
from coordination.web.shapes.marks import PhotoPage, photo_page
from coordination.web.shapes.photos import is_picture
from coordination.web.views.media import seen_evidence


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def show(request: HttpRequest, evidence: UUID) -> HttpResponse:
    """The photo, large. POST puts one more mark."""
    row, visitor = _photo(request, evidence), request.visitor  # type: ignore[attr-defined]
    return marks_page(
        request,
        lambda: photo_page(row, visitor),
        lambda given: put_mark(visitor.project, visitor, timezone.now(), row.uid, given),
    )


@require_POST
def take_back(request: HttpRequest, evidence: UUID, mark: UUID) -> HttpResponse:
    """Draw one's own mark no more."""
    row, visitor = _photo(request, evidence), request.visitor  # type: ignore[attr-defined]
    return mark_pressed(
        request,
        lambda: photo_page(row, visitor),
        lambda: take_mark_back(visitor.project, visitor, timezone.now(), mark),
        _("Mark %(number)s is taken back."),
    )


def marks_page(
    request: HttpRequest, page: Callable[[], PhotoPage], put: Callable[[MarkInput], MarkOverPhoto]
) -> HttpResponse:
    """The page of any photo that is marked; a POST puts one more mark, by whoever may."""
    if request.method != "POST":
        return _shown(request, page(), MarkForm())
    form = MarkForm(request.POST)
    if not page().may_mark:
        raise Http404
    if not form.is_valid():
        return _shown(request, page(), form, HTTPStatus.UNPROCESSABLE_ENTITY)
    try:
        mark = put(form.given())
    except Refusal as refusal:
        return _shown(request, page(), form, HTTPStatus.UNPROCESSABLE_ENTITY, in_words(refusal))
    messages.success(request, _("Mark %(number)s is put.") % {"number": mark.number})
    return redirect(page().action)


def mark_pressed(
    request: HttpRequest, page: Callable[[], PhotoPage], act: Callable[[], MarkOverPhoto], told: str
) -> HttpResponse:
    """One press beside a mark in the list, and ``told`` about it."""
    try:
        mark = act()
    except NotAllowed:
        raise Http404 from None
    except Refusal as refusal:
        return _shown(request, page(), MarkForm(), HTTPStatus.UNPROCESSABLE_ENTITY, in_words(refusal))
    messages.success(request, told % {"number": mark.number})
    return redirect(page().action)


def _photo(request: HttpRequest, uid: UUID) -> Evidence:
    """A picture, for whoever may see its task. Http404 for everybody else, and for papers that are no pictures."""
    row = seen_evidence(request, uid)
    if not is_picture(row):
        raise Http404
    return row


def _shown(
    request: HttpRequest,
    page: PhotoPage,
    form: MarkForm,
    status: int = HTTPStatus.OK,
    reasons: list[str] | None = None,
) -> HttpResponse:
    context = {"page": page, "form": form, "reasons": reasons}
    return render(request, "photos/show.html", context, status=status)
