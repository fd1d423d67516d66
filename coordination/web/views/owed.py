"""What is owed: every company for those who run the site, and each company's own page."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from coordination.access.permissions import may
from coordination.access.visitors import Visitor
from coordination.dates.queries import schedule_of
from coordination.gates.queries import look_at
from coordination.web.guards import guard
from coordination.web.shapes.owed_lines import owed_lines
from coordination.web.shapes.unheard_lines import unheard_here


@require_safe
@never_cache
def show(request: HttpRequest, project: UUID) -> HttpResponse:
    """Every company: what it owes, to whom, since when, what it holds up."""
    return _page(request, guard(request, project, "see the project"), own=False)


@require_safe
@never_cache
def mine(request: HttpRequest, project: UUID) -> HttpResponse:
    """The same of the visitor's own company, and of nobody else."""
    return _page(request, guard(request, project, "see own tasks"), own=True)


def _page(request: HttpRequest, visitor: Visitor, *, own: bool) -> HttpResponse:
    now = timezone.now()
    scene = look_at(visitor.project, now)
    dated = schedule_of(visitor.project, scene.holding.today)
    companies = owed_lines(visitor, scene, dated, now, own=own)
    context = {"companies": companies, "own": own, "unheard": [], "logs": may(visitor, "log a call")}
    if not own and may(visitor, "see phone numbers"):
        context["unheard"] = unheard_here(scene, now)
    return render(request, "owed/show.html", context)
