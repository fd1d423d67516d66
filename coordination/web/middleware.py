"""Headers that every answer carries, and the clock of the site that the page is about."""

from collections.abc import Callable
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

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
    """Leave the zone of one request behind when it ends; screens activate the zone of their project."""

    def answer(request: HttpRequest) -> HttpResponse:
        timezone.deactivate()
        try:
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
