"""Whose pages and whose unsent things lie on a phone: keys that say nothing to anybody else."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.utils.crypto import salted_hmac
from django.utils.translation import get_language

from coordination.access.visitors import Visitor
from coordination.web.guards import opened_links, person_of

View = Callable[..., HttpResponse]
NOBODY = "nobody"


def holder_of(request: HttpRequest) -> str:
    """The key of whoever may read the pages of this browser, in their language; ``nobody`` where none came in."""
    person, links = person_of(request), opened_links(request)
    if person is None and not links:
        return NOBODY
    ways = [str(person.uid) if person else "", *sorted(str(uid) for uid in links), get_language() or ""]
    return _key("holder", *ways)


def sender_of(visitor: Visitor) -> str:
    """The key of whoever sends on one project.

    Somebody with a link is who the link says they are: a link that was sent anew to the same name goes on with what
    they had not sent yet.
    """
    if not visitor.by_link:
        return _key("sender", str(visitor.project.uid), visitor.identity)
    return _key(
        "sender",
        str(visitor.project.uid),
        "link",
        visitor.role,
        str(visitor.company),
        visitor.name,
        visitor.phone,
    )


def kept_on_the_phone(view: View) -> View:
    """A page that the phone may keep for its holder, to be read without signal."""

    @wraps(view)
    def answer(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        response = view(request, *args, **kwargs)
        if response.status_code == 200:
            response.headers["Sheet-Keep"] = settings.STATIC_VERSION
        return response

    return answer


def whose_sheet(get_response: View) -> View:
    """Middleware: say on each page whose it is, so that a phone shows nobody the pages it keeps for another."""

    def answer(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        is_page = response.headers.get("Content-Type", "").startswith("text/html")
        if is_page and not getattr(request, "htmx", False):
            response.headers["Sheet-Holder"] = holder_of(request)
        return response

    return answer


def _key(purpose: str, *parts: str) -> str:
    return salted_hmac(f"sill.{purpose}", "\n".join(parts), algorithm="sha256").hexdigest()[:32]
