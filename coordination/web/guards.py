"""Who is asking: the first line of every view about a project."""

from uuid import UUID

from django.http import Http404, HttpRequest
from django.utils import timezone

from coordination.access.models import Person, ShareLink
from coordination.access.permissions import may
from coordination.access.queries import visitor_for
from coordination.access.refusals import NotVisible
from coordination.access.visitors import Visitor
from coordination.projects.trade_words import speak
from coordination.web.middleware import use_zone

LINKS = "links"


def guard(request: HttpRequest, project_uid: UUID, *verbs: str) -> Visitor:
    """The visitor of the project, in whose zone and words everything is shown from here on.

    With ``verbs``, the visitor must have one of these rights somewhere on the project. Whoever has no standing
    or no such right gets the same 404 as for a project that does not exist.
    """
    visitor = _seen_already(request, project_uid) or _looked_up(request, project_uid)
    if verbs and not any(may(visitor, verb) for verb in verbs):
        raise Http404
    use_zone(visitor.project.zone)
    speak(visitor.project.code_set)
    request.visitor = visitor  # type: ignore[attr-defined]
    return visitor


def _seen_already(request: HttpRequest, project_uid: UUID) -> Visitor | None:
    """The visitor that an earlier guard of this very request has found."""
    visitor: Visitor | None = getattr(request, "visitor", None)
    return visitor if visitor is not None and visitor.project.uid == project_uid else None


def _looked_up(request: HttpRequest, project_uid: UUID) -> Visitor:
    try:
        return visitor_for(
            person=person_of(request),
            link_uids=opened_links(request),
            project_uid=project_uid,
            at=timezone.now(),
        )
    except NotVisible:
        raise Http404 from None


def person_of(request: HttpRequest) -> Person | None:
    """Whoever is signed in."""
    return request.user if isinstance(request.user, Person) else None


def opened_links(request: HttpRequest) -> list[UUID]:
    """The links that this browser has opened, the last one last."""
    return [UUID(text) for text in request.session.get(LINKS, [])]


def remember_link(request: HttpRequest, link: ShareLink) -> None:
    """Let this browser in through ``link`` from now on, until it expires or is revoked."""
    before = [text for text in request.session.get(LINKS, []) if text != str(link.uid)]
    request.session.cycle_key()
    request.session[LINKS] = [*before, str(link.uid)][-20:]
