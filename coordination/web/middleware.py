"""Headers that every answer carries, the clock of the site that the page is about, refusals in plain words."""

from collections.abc import Callable
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from coordination.access.permissions import NotAllowed
from coordination.access.refusals import NotVisible, Refusal
from coordination.projects.trade_words import speaking
from coordination.web.refused import refusal_context

Answer = Callable[[HttpRequest], HttpResponse]


def security_headers(get_response: Answer) -> Answer:
    """Add the content security policy unless a view has set a stricter one."""

    def answer(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response.headers.setdefault("Content-Security-Policy", settings.CONTENT_SECURITY_POLICY)
        response.headers.setdefault("Permissions-Policy", "camera=(self), geolocation=(self), microphone=()")
        return response

    return answer


def own_time_zone(get_response: Answer) -> Answer:
    """Leave zone and words of one request behind when it ends; screens take those of their project."""

    def answer(request: HttpRequest) -> HttpResponse:
        timezone.deactivate()
        try:
            with speaking("us"):
                return get_response(request)
        finally:
            timezone.deactivate()

    return answer


def use_zone(name: str) -> None:
    """Show times of this request in the project's zone; an unknown name leaves UTC."""
    try:
        timezone.activate(ZoneInfo(name))
    except (ZoneInfoNotFoundError, ValueError):
        timezone.deactivate()


def plain_refusals(get_response: Answer) -> Answer:
    """Answer what the floors below refuse, where a view has not done so in its own place.

    Not visible is 404, not allowed is 403, refused is 422 with every reason as a sentence. A part of a page
    gets the reasons for the place that base.html keeps for them.
    """

    def answer(request: HttpRequest) -> HttpResponse:
        return get_response(request)

    def process_exception(request: HttpRequest, fault: Exception) -> HttpResponse | None:
        if isinstance(fault, NotVisible):
            raise Http404 from fault
        if isinstance(fault, NotAllowed):
            raise PermissionDenied from fault
        return _refused(request, fault) if isinstance(fault, Refusal) else None

    answer.process_exception = process_exception  # type: ignore[attr-defined]
    return answer


def _refused(request: HttpRequest, refusal: Refusal) -> HttpResponse:
    context = refusal_context(refusal, getattr(request, "visitor", None), timezone.now())
    if not getattr(request, "htmx", False):
        return render(request, "not_done.html", context, status=422)
    part = render(request, "components/errors.html", context, status=422)
    part.headers["HX-Retarget"] = "#refused"
    part.headers["HX-Reswap"] = "innerHTML"
    part.headers["HX-Reselect"] = ".errors"  # the form may pick a part of the page that it expects
    return part
