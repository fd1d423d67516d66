"""What every template may use."""

from django.conf import settings
from django.http import HttpRequest


def house(request: HttpRequest) -> dict[str, object]:
    return {"debug": settings.DEBUG, "is_part": bool(getattr(request, "htmx", False))}
