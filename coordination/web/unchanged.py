"""Pages that have not changed are not made again: the browser's copy is confirmed by its tag.

The tag names everything a page of a project can depend on: the chain's head (every decision moves it), what the
background has made since, who came in by a link, the site's own date and hour, the visitor's standing, the language,
and the code.
"""

import hashlib
from collections.abc import Callable
from datetime import datetime
from functools import lru_cache, wraps
from typing import Any
from uuid import UUID

from django.conf import settings
from django.contrib.messages import get_messages
from django.db.models import Count, OuterRef, Subquery
from django.http import HttpRequest, HttpResponse, HttpResponseNotModified
from django.utils import timezone
from django.utils.cache import patch_cache_control
from django.utils.translation import get_language

from coordination.access.models import Project, ShareLink
from coordination.access.visitors import Visitor
from coordination.evidence.models import Rendition
from coordination.gates.calendars import local_moment
from coordination.record.queries import length_and_head
from coordination.web.guards import guard

View = Callable[..., HttpResponse]


def unchanged(view: View) -> View:
    """Answer 304 where the browser's copy of a project's page still holds. Parts and told messages are always made."""

    @wraps(view)
    def answer(request: HttpRequest, project: UUID, *args: Any, **kwargs: Any) -> HttpResponse:
        if (
            request.method not in {"GET", "HEAD"}
            or getattr(request, "htmx", False)
            or len(get_messages(request))
        ):
            return view(request, project, *args, **kwargs)
        tag = tag_of(request, guard(request, project))
        if request.headers.get("If-None-Match", "").removeprefix("W/") == tag:
            return _marked(HttpResponseNotModified(), tag)
        response = view(request, project, *args, **kwargs)
        return _marked(response, tag) if response.status_code == 200 else response

    return answer


def tag_of(request: HttpRequest, visitor: Visitor) -> str:
    """The tag of ``request`` for ``visitor``, as it stands in the header."""
    site = visitor.project
    told = (
        *length_and_head(site.stream),
        *_beside_the_record(site),
        f"{local_moment(site, timezone.now()):%Y-%m-%d %H}",
        visitor.identity,
        *sorted(visitor.roles),
        *sorted(visitor.trades),
        get_language() or "",
        request.get_full_path(),
        code_version(),
    )
    return f'"{hashlib.sha256(repr(told).encode()).hexdigest()[:32]}"'


def _beside_the_record(site: Project) -> tuple[int | None, datetime | None]:
    """Pictures made for the site, and when somebody last came in by a link: what moves without a decision."""
    made = Rendition.objects.filter(evidence__requirement__task__project=OuterRef("pk")).order_by()
    counted = made.values("evidence__requirement__task__project").annotate(number=Count("pk"))
    opened = ShareLink.objects.filter(project=OuterRef("pk"), last_opened_at__isnull=False)
    found = Project.objects.filter(pk=site.pk).values_list(
        Subquery(counted.values("number")),
        Subquery(opened.order_by("-last_opened_at").values("last_opened_at")[:1]),
    )
    return found.get()


@lru_cache(maxsize=1)
def code_version() -> str:
    """A digest over the names, sizes and times of everything that makes a page."""
    sha = hashlib.sha256()
    for folder in ("coordination", "templates", "static"):
        for path in sorted((settings.BASE_DIR / folder).rglob("*")):
            if path.is_file() and path.suffix not in {".pyc", ".pyo"}:
                found = path.stat()
                sha.update(f"{path.name} {found.st_size} {found.st_mtime_ns}".encode())
    return sha.hexdigest()[:16]


def _marked(response: HttpResponse, tag: str) -> HttpResponse:
    response.headers["ETag"] = tag
    patch_cache_control(response, private=True, no_cache=True)
    return response
