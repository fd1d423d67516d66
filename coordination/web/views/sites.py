"""All sites of somebody with an account: what comes next on each, and who is to be called."""

from dataclasses import dataclass

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from coordination.access.models import Project
from coordination.access.queries import Site, sites_of
from coordination.dates.queries import SiteDates, portfolio
from coordination.gates.calendars import local_day
from coordination.gates.queries import Scene, scenes
from coordination.projects.trade_words import speaking
from coordination.web.addresses import address_of
from coordination.web.guards import person_of
from coordination.web.standing_cells import Cell, gate_cell, visit_cell
from coordination.web.ways import page

WHOLE_SITE = frozenset({"coordinator", "contractor", "lift crew"})


@dataclass(frozen=True)
class SiteLine:
    """A site and its next gate and visit; a role that does not see the whole site gets the name only."""

    name: str
    place: str
    href: str
    cells: tuple[Cell, ...]
    refused: int
    questions: int


@require_GET
@login_required
def index(request: HttpRequest) -> HttpResponse:
    """Every site the person stands on."""
    person, now = person_of(request), timezone.now()
    assert person is not None  # noqa: S101 - login_required
    sites = sites_of(person)
    whole = [site.uid for site in sites if WHOLE_SITE & set(site.roles)]
    projects = list(Project.objects.filter(uid__in=whole).select_related("supplier"))
    days = {project.uid: local_day(project, now) for project in projects}
    seen = scenes(projects, now)
    dated = {
        dates.project.uid: dates
        for day in set(days.values())
        for dates in portfolio([project for project in projects if days[project.uid] == day], day)
    }
    scene_of = {project.uid: seen[project.pk] for project in projects}
    lines = [_line(site, scene_of.get(site.uid), dated.get(site.uid)) for site in sites]
    coordinated = {site.uid for site in sites if "coordinator" in site.roles}
    suppliers = sorted(
        {project.supplier for project in projects if project.uid in coordinated},
        key=lambda supplier: supplier.name,
    )
    new_site = address_of("new-site") if suppliers else ""  # only a coordinator sets one up
    context = {"lines": lines, "new_site": new_site, "suppliers": suppliers}
    return render(request, "sites/index.html", context)


def _line(site: Site, scene: Scene | None, dates: SiteDates | None) -> SiteLine:
    href = page(site.roles[0], site.uid)
    if scene is None or dates is None:
        return SiteLine(site.name, site.place, href, (), 0, 0)
    states = [ready.state for ready in scene.assessment.tasks.values()]
    with speaking(site.code_set):
        cells = (gate_cell(scene, dates), visit_cell(dates))
    return SiteLine(
        site.name,
        site.place,
        href,
        cells,
        states.count("refused"),
        len(dates.needed_by),
    )
