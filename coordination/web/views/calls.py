"""Today's calls: over all sites that somebody coordinates, what blocks a visit in the next three weeks."""

from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from coordination.access.models import Person, Project
from coordination.access.queries import sites_of
from coordination.dates.calls import Calling, last_calls, log_call
from coordination.dates.forecasting import Outlook, outlooks
from coordination.dates.models import Visit
from coordination.dates.refusals import CallRefused
from coordination.gates.calendars import local_day
from coordination.gates.queries import scenes
from coordination.notices.unheard import unheard
from coordination.web.guards import guard, person_of
from coordination.web.refused import in_words
from coordination.web.shapes.call_lines import Sites, visit_calls
from coordination.web.shapes.unheard_lines import unheard_lines


@require_safe
@login_required
def index(request: HttpRequest) -> HttpResponse:
    """The calls to make; there for coordinators only."""
    person = person_of(request)
    assert person is not None  # noqa: S101 - login_required
    if not coordinated(person):
        raise Http404
    return _page(request, person)


@require_POST
def log(request: HttpRequest, project: UUID) -> HttpResponse:
    """Log one call under the key that the page gave it."""
    visitor = guard(request, project, "log a call")
    told = request.POST
    try:
        key = UUID(told.get("key", ""))
    except ValueError:
        raise Http404 from None
    calling = Calling(*(told.get(name, "") for name in ("visit", "owner", "phone", "outcome")))
    try:
        log_call(visitor.project, visitor, timezone.now(), key, calling)
    except CallRefused as refusal:
        person = person_of(request)
        if person is None:
            raise
        return _page(request, person, in_words(refusal))
    messages.success(request, _("The call to %(owner)s is in the record.") % {"owner": calling.owner})
    return redirect(_back(project, told.get("gate", "")))


def _back(project: UUID, gate: str) -> str:
    """The page that the call was logged on."""
    try:
        return reverse("gate", args=[project, UUID(gate)])
    except ValueError:
        return f"{reverse('calls')}#{project}"


def coordinated(person: Person) -> list[UUID]:
    """The sites that somebody coordinates."""
    return [site.uid for site in sites_of(person) if "coordinator" in site.roles]


def _page(request: HttpRequest, person: Person, reasons: list[str] | None = None) -> HttpResponse:
    now = timezone.now()
    projects = tuple(Project.objects.filter(uid__in=coordinated(person)).order_by("name", "pk"))
    today = {project.pk: local_day(project, now) for project in projects}
    outlook: dict[int, Outlook] = {}
    for day in set(today.values()):
        outlook |= outlooks([project for project in projects if today[project.pk] == day], day)
    visits = Visit.objects.filter(project__in=projects, moved_at__isnull=True)
    seen, last = scenes(projects, now), last_calls(projects)
    blocked = visit_calls(Sites(projects, seen, outlook, visits, today, last))
    found = unheard(seen, now)
    told = [(project, unheard_lines(project, found[project.pk], last)) for project in projects]
    context = {
        "blocked": blocked,
        "unheard": [each for each in told if each[1]],
        "sites": len(projects),
        "reasons": reasons,
    }
    return render(request, "calls/index.html", context, status=422 if reasons else 200)
