"""What was let go on a site, on whose word and how far; and what nobody may let go."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from coordination.gates.queries import look_at
from coordination.web.guards import guard
from coordination.web.shapes.concessions import concession_lines, none_lines
from coordination.web.unchanged import unchanged


@unchanged
@require_safe
def index(request: HttpRequest, project: UUID) -> HttpResponse:
    """Every concession and deviation permit, with what did not conform."""
    visitor = guard(request, project, "see the project")
    scene = look_at(visitor.project, timezone.now())
    context = {"lines": concession_lines(scene, visitor), "none": none_lines(scene)}
    return render(request, "gates/concessions.html", context)
