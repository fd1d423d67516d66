"""What every template may use."""

from django.conf import settings
from django.http import HttpRequest
from django.urls import reverse
from django.utils import timezone

from coordination.access.permissions import may
from coordination.web.guards import LINKS
from coordination.web.languages import offered_languages
from coordination.web.senders import holder_of, sender_of
from coordination.web.shapes.phone_files import has_queue
from coordination.web.sheets import index_for


def house(request: HttpRequest) -> dict[str, object]:
    """Names for base.html: whoever looks, at which project, with which other sheets, in which language."""
    visitor = getattr(request, "visitor", None)
    match = request.resolver_match
    return {
        "debug": settings.DEBUG,
        "is_part": bool(getattr(request, "htmx", False)),
        "signed_in": _came_in(request),
        "visitor": visitor,
        "project": visitor.project if visitor else None,
        "sheets": index_for(visitor, (match and match.url_name) or "") if visitor else [],
        "languages": offered_languages(),
        "has_queue": has_queue(),
        "worker": reverse("worker") if visitor and may(visitor, "see own tasks") else "",
        "made_at": timezone.now(),
        "holder": holder_of(request),
        "sender": sender_of(visitor) if visitor else "",
    }


def _came_in(request: HttpRequest) -> bool:
    """Whether there is an account or a link to sign out of."""
    return request.user.is_authenticated or LINKS in request.session
