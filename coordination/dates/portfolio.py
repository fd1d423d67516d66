"""All running sites of a supplier as one problem for its crews.

Every site brings its open work with its links and calendars. A visit may begin no earlier than the site is ready for
it with a certainty of 80 %, by its forecast. What counts as late is measured at the end of a site: against the day it
is wanted, or else the day on which it could be done if it had the crews for itself.
"""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta

from coordination.access.models import Project, Supplier
from coordination.access.queries import assignments_of
from coordination.access.refusals import Reason
from coordination.dates.forecasting import outlooks
from coordination.dates.models import Crew, SiteAsks, Visit
from coordination.dates.portfolio_format import Portfolio, SiteInput
from coordination.dates.portfolio_roads import travel
from coordination.dates.portfolio_site import SiteWork
from coordination.dates.refusals import LevellingRefused
from coordination.projects.models import Task as TaskRow
from coordination.scheduling.calendars import WorkCalendar
from coordination.scheduling.levelling.route_problem import RoadCrew, RouteProblem
from coordination.scheduling.network import Network
from coordination.scheduling.passes import Passes

# What one more change of a crew to another site counts like, in days late at weight 1 (common practice, no source).
COMING = 2


def portfolio_of(supplier: Supplier, today: date) -> Portfolio:
    """The running sites of ``supplier`` with work to come for one of its crews.

    Raises LevellingRefused where there is no crew or no such work; NetworkError, OutOfHorizon.
    """
    crews = list(
        Crew.objects.filter(supplier=supplier, ended_at__isnull=True).select_related("company").order_by("pk")
    )
    if not crews:
        raise LevellingRefused(Reason("no crew entered"))
    projects = list(Project.objects.filter(supplier=supplier, stage="running").order_by("pk"))
    rows = _rows_of(projects)
    asks = {row.project_id: row for row in SiteAsks.objects.filter(project__in=projects)}
    booked = _booked(projects, today)
    seen, companies = outlooks(projects, today), assignments_of(projects)
    found = [
        SiteWork(
            project, seen[project.pk], companies[project.pk], rows[project.pk],
            asks.get(project.pk) or SiteAsks(project=project), booked[project.pk], crews,
        )
        for project in projects
    ]  # fmt: skip
    with_work = [site for site in found if site.calls]
    if not with_work:
        raise LevellingRefused(Reason("no site needs a crew"))
    return _joined(with_work, crews, today)


def _joined(sites: list[SiteWork], crews: list[Crew], today: date) -> Portfolio:
    calendars = _Calendars(sites, crews)
    tasks = [task for site in sites for task in site.tasks(calendars.of_site[site.uid])]
    links = [link for site in sites for link in site.links(calendars.of_site[site.uid])]
    data_date = max([today, *(task.started for task in tasks if task.started)])
    network = Network(tuple(tasks), tuple(links), calendars.all, data_date, data_date, "override")
    soonest = _soonest(network, [site.end() for site in sites])
    dues = {site.end(): site.asks.wanted_by or soonest[site.end()] for site in sites}
    network = replace(
        network, tasks=tuple(replace(t, due=dues[t.key]) if t.key in dues else t for t in network.tasks)
    )
    weights = {site.end(): site.asks.weight for site in sites}
    promised = {task.key for task in network.tasks if task.due and task.key not in dues}
    weights |= {key: next(s.asks.weight for s in sites if key.startswith(s.uid)) for key in promised}
    kinds: dict[str, tuple[str, ...]] = {}
    for crew in crews:
        kind = f"{crew.company.uid}/{crew.trade}"
        kinds[kind] = (*kinds.get(kind, ()), str(crew.uid))
    called = {kind for site in sites for each in site.calls.values() for kind in each}
    problem = RouteProblem(
        network,
        {
            str(crew.uid): RoadCrew(
                calendars.of_crew[crew.pk], frozenset(map(date.fromisoformat, crew.away)), f"home {crew.uid}"
            )
            for crew in crews
        },
        {kind: names for kind, names in kinds.items() if kind in called},
        {key: kinds for site in sites for key, kinds in site.calls.items()},
        {task.key: task.key.partition("/")[0] for task in network.tasks},
        travel({site.project: site.asks for site in sites}, crews),
        {key: trip for site in sites for key, trip in site.trips().items()},
        weights,
        coming=COMING,
    )
    return Portfolio(
        problem,
        tuple(
            SiteInput(
                site.uid, site.project.name, site.asks.weight, site.end(), dues[site.end()],
                site.asks.wanted_by is not None, site.wish(), site.booked,
            )
            for site in sites
        ),
        {str(crew.uid): (crew.name, crew.company.name, crew.people) for crew in crews},
        {key: text for site in sites for key, text in site.words().items()},
    )  # fmt: skip


class _Calendars:
    """Equal calendars of all sites and crews once, over the same days."""

    def __init__(self, sites: list[SiteWork], crews: list[Crew]) -> None:
        self.all: dict[str, WorkCalendar] = {}
        self.first = max(site.network.first for site in sites)
        self.days = (min(site.network.last for site in sites) - self.first).days + 1
        self.of_site = {
            site.uid: {key: self._named(calendar) for key, calendar in site.network.calendars.items()}
            for site in sites
        }
        holidays = frozenset.intersection(*(self._holidays(site) for site in sites))
        self.of_crew = {
            crew.pk: self._named(WorkCalendar(self.first, self.days, frozenset(crew.weekdays), holidays))
            for crew in crews
        }

    def _holidays(self, site: SiteWork) -> frozenset[date]:
        """What closes a lift crew on one site; what closes it on every site is a holiday of the crew's own."""
        calendar = site.network.calendars.get("lift") or site.network.calendars["site"]
        return calendar.closed

    def _named(self, calendar: WorkCalendar) -> str:
        last = self.first + timedelta(days=self.days - 1)
        closed = frozenset(day for day in calendar.closed if self.first <= day <= last)
        opened = frozenset(day for day in calendar.opened if self.first <= day <= last)
        same = WorkCalendar(self.first, self.days, calendar.weekdays, closed, opened)
        known = next((name for name, each in self.all.items() if each == same), None)
        name = known or f"days {len(self.all) + 1}"
        self.all[name] = same
        return name


def _soonest(network: Network, ends: Iterable[str]) -> dict[str, date]:
    passes = Passes(network)
    early = passes.forward()
    ranks = {end: passes.rank[end] for end in ends}
    return {end: passes.date(max(passes.base, early.at[passes.count + i]) - 1) for end, i in ranks.items()}


def _rows_of(projects: Iterable[Project]) -> dict[int, dict[str, TaskRow]]:
    found: dict[int, dict[str, TaskRow]] = {project.pk: {} for project in projects}
    for row in TaskRow.objects.filter(project__in=found, retired_in__isnull=True):
        found[row.project_id][row.key] = row
    return found


def _booked(projects: Iterable[Project], today: date) -> dict[int, dict[str, date]]:
    found: dict[int, dict[str, date]] = {project.pk: {} for project in projects}
    for visit in Visit.objects.filter(project__in=found, moved_at__isnull=True, day__gte=today):
        found[visit.project_id][visit.key] = visit.day
    return found
