"""One place of the building."""

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from coordination.dates.queries import schedule_of
from coordination.gates.calendars import local_day
from coordination.gates.queries import look_at
from coordination.projects.queries import standing_facts, standing_plan
from coordination.web.guards import guard
from coordination.web.shapes.place import place_sheet
from coordination.web.unchanged import unchanged


@unchanged
@require_safe
def show(request: HttpRequest, project: UUID, place: str) -> HttpResponse:
    """The place drawn large, its dimensions, its work."""
    site, now = guard(request, project, "see the project").project, timezone.now()
    sheet = place_sheet(
        place,
        look_at(site, now),
        standing_plan(site),
        standing_facts(site),
        schedule_of(site, local_day(site, now)),
    )
    if sheet is None:
        raise Http404
    return render(request, "places/show.html", {"sheet": sheet, "cautions": sheet.cautions})
