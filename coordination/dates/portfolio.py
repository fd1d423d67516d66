"""All running sites of a supplier as one problem for its crews.

Every site brings its open work with its links and calendars. A visit may begin no earlier than the site is ready for
it with a certainty of 80 %, by its forecast. What counts as late is measured at the end of a site: against the day it
is wanted, or else the day on which it could be done if it had the crews for itself.
"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from hashlib import sha256
from math import asin, ceil, cos, radians, sin, sqrt
from typing import Any, Final

from coordination.access.models import Project, Supplier
from coordination.access.queries import CompanyView, assignments_of
from coordination.access.refusals import Reason
from coordination.dates.forecasting import Outlook, outlooks
from coordination.dates.models import Crew, SiteAsks, Visit, Way
from coordination.dates.refusals import LevellingRefused
from coordination.dates.visiting import WORK, work_of
from coordination.projects.models import Task as TaskRow
from coordination.record.chaining import canonical
from coordination.scheduling.calendars import WorkCalendar
from coordination.scheduling.levelling.routes import RoadCrew, RouteProblem
from coordination.scheduling.network import Link, Network, Task
from coordination.scheduling.network_json import read_network
from coordination.scheduling.network_writing import network_as_json
from coordination.scheduling.passes import Passes

CERTAINTY = 0.8
# Who has to be there on the same day besides the trade itself (common practice, no source).
TOGETHER: Final[Mapping[str, tuple[str, ...]]] = {
    "joint-pretest": ("electrical", "fire alarm", "general contractor"),
    "acceptance": ("lift", "fire alarm", "general contractor"),
}
# Work of the lift crew that belongs to no visit's list is done on the visit that it leads to or follows.
ON_THE_VISIT: Final[Mapping[str, str]] = {"door-space": "return", "handover": "inspection"}
# What one more change of a crew to another site counts like, in days late at weight 1 (common practice, no source).
COMING = 2
PAPER = "paper"
NOT_ON_SITE = frozenset({"authority", "maker"})
# A day's drive (common practice, no source): roads are longer than the straight line, short ones cost no day.
ROAD_FACTOR, FREE_KM, KM_A_DAY, EARTH_KM = 1.3, 200.0, 500.0, 6371.0


@dataclass(frozen=True)
class SiteInput:
    """One site as the levelling knew it. ``end`` is the key of the task at which being late is measured."""

    uid: str
    name: str
    weight: int
    end: str
    due: date
    own_wish: bool
    wish: Mapping[str, date] = field(default_factory=dict)
    booked: Mapping[str, date] = field(default_factory=dict)


@dataclass(frozen=True)
class Portfolio:
    """A problem with the names that its answer is told in. Tasks are called ``site uid/task key``."""

    problem: RouteProblem
    sites: tuple[SiteInput, ...]
    crews: Mapping[str, tuple[str, str, int]]
    words: Mapping[str, Any]


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
        _Site(
            project, seen[project.pk], companies[project.pk], rows[project.pk],
            asks.get(project.pk) or SiteAsks(project=project), booked[project.pk], crews,
        )
        for project in projects
    ]  # fmt: skip
    with_work = [site for site in found if site.calls]
    if not with_work:
        raise LevellingRefused(Reason("no site needs a crew"))
    return _joined(with_work, crews, today)


def as_json(portfolio: Portfolio) -> str:
    """Everything of a portfolio, canonical."""
    problem = portfolio.problem
    return canonical(
        {
            "network": network_as_json(problem.network),
            "crews": {
                key: [crew.calendar, sorted(day.isoformat() for day in crew.away), crew.home, *portfolio.crews[key]]
                for key, crew in problem.crews.items()
            },
            "kinds": {kind: list(names) for kind, names in problem.kinds.items()},
            "calls": {key: list(kinds) for key, kinds in problem.calls.items()},
            "travel": [[one, other, days] for (one, other), days in sorted(problem.travel.items())],
            "trips": dict(problem.trips),
            "weights": dict(problem.weights),
            "coming": problem.coming,
            "sites": [
                {**vars(site), "due": site.due.isoformat(), "wish": _iso(site.wish), "booked": _iso(site.booked)}
                for site in portfolio.sites
            ],
            "words": portfolio.words,
        }
    )  # fmt: skip


def from_json(text: str) -> Portfolio:
    """What ``as_json`` wrote."""
    told = json.loads(text)
    network = read_network(json.dumps(told["network"])).network
    crews = told["crews"]
    problem = RouteProblem(
        network,
        {key: RoadCrew(c[0], frozenset(map(date.fromisoformat, c[1])), c[2]) for key, c in crews.items()},
        {kind: tuple(names) for kind, names in told["kinds"].items()},
        {key: tuple(kinds) for key, kinds in told["calls"].items()},
        {task.key: task.key.partition("/")[0] for task in network.tasks},
        {(one, other): days for one, other, days in told["travel"]},
        told["trips"],
        told["weights"],
        coming=told["coming"],
    )
    sites = tuple(
        SiteInput(
            **{
                **site,
                "due": date.fromisoformat(site["due"]),
                "wish": _days(site["wish"]),
                "booked": _days(site["booked"]),
            }
        )
        for site in told["sites"]
    )
    return Portfolio(problem, sites, {key: (c[3], c[4], c[5]) for key, c in crews.items()}, told["words"])


def digest_of(text: str) -> str:
    """The digest of a portfolio's JSON."""
    return sha256(text.encode()).hexdigest()


def days_on_the_road(one: tuple[float | None, float | None], other: tuple[float | None, float | None]) -> int:
    """Working days on the road between two points in degrees; 0 where one is not known.

    Up to 200 km of road cost no day, each 500 km more, or part of them, one; a road is 1.3 times the straight line.
    """
    if None in one or None in other:
        return 0
    lat1, lon1, lat2, lon2 = (radians(value or 0.0) for value in (*one, *other))
    half = sin((lat2 - lat1) / 2) ** 2 + cos(lat1) * cos(lat2) * sin((lon2 - lon1) / 2) ** 2
    road = ROAD_FACTOR * 2 * EARTH_KM * asin(min(1.0, sqrt(half)))
    return max(0, ceil((road - FREE_KM) / KM_A_DAY))


@dataclass
class _Site:
    """One project's open work, called by the site's name, with what it asks of the crews."""

    project: Project
    outlook: Outlook
    companies: Mapping[str, CompanyView]
    rows: Mapping[str, TaskRow]
    asks: SiteAsks
    days: Mapping[str, date]
    crews: Iterable[Crew]

    def __post_init__(self) -> None:
        self.uid, self.network = str(self.project.uid), self.outlook.dated.schedule.network
        self.kinds = {(str(crew.company.uid), crew.trade) for crew in self.crews}
        self.open = [task for task in self.network.tasks if task.finished is None]
        self.calls = {self.name(task.key): kinds for task in self.open if (kinds := self._calls(task))}
        self.booked = {key: day for visit, day in self.days.items() if (key := self._first_of(visit))}

    def name(self, key: str) -> str:
        return f"{self.uid}/{key}"

    def tasks(self, calendars: Mapping[str, str]) -> list[Task]:
        return [self._task(task, calendars[task.calendar]) for task in self.open]

    def links(self, calendars: Mapping[str, str]) -> list[Link]:
        """Links among work to come: what finished or begun work asks is in the earliest days already."""
        begun = {task.key for task in self.network.tasks if task.started is not None}
        return [
            replace(
                link,
                before=self.name(link.before),
                after=self.name(link.after),
                calendar=calendars[link.calendar] if link.calendar else None,
            )
            for link in self.network.links
            if link.after not in begun and (link.before not in begun or self._is_open_end(link))
        ]

    def trips(self) -> dict[str, str]:
        listed = {entry: visit for visit, entries in WORK.items() for entry in entries}
        visit_of = {**listed, **ON_THE_VISIT}
        return {
            key: f"{self.uid}/{visit}"
            for key in self.calls
            if (visit := visit_of.get(key.partition("/")[2].partition("@")[0]))
        }

    def wish(self) -> dict[str, date]:
        """The day on which the site would have the crew come next, as the day of the first task of that visit."""
        if self.asks.wish is None:
            return {}
        coming = [key for visit in WORK if (key := self._first_of(visit))]
        return {coming[0]: self.asks.wish} if coming else {}

    def words(self) -> dict[str, Any]:
        keys = {*self.calls, self.end()}
        return {key: self.rows[key.partition("/")[2]].derived["text"] for key in sorted(keys)}

    def end(self) -> str:
        """The gate of the handover, else the task that is done last."""
        dates = self.outlook.dated.tasks
        last = max(self.open, key=lambda task: (dates[task.key].early_boundary, task.milestone, task.key))
        return self.name(last.key)

    def _is_open_end(self, link: Link) -> bool:
        """Does the link wait for the end of begun work that is still going on?"""
        before = self.network.tasks[self.network.position[link.before]]
        return before.finished is None and link.kind in ("FS", "FF")

    def _calls(self, task: Task) -> tuple[str, ...]:
        row = self.rows.get(task.key)
        if row is None or task.milestone or row.package == PAPER:
            return ()
        own = () if task.calendar in NOT_ON_SITE else (row.trade,)
        trades = dict.fromkeys((*own, *TOGETHER.get(row.entry, ())))
        wanted = [(self._company(trade), trade) for trade in trades]
        return tuple(f"{company}/{trade}" for company, trade in wanted if (company, trade) in self.kinds)

    def _company(self, trade: str) -> str:
        company = self.companies.get(trade)
        return str(company.uid) if company else ""

    def _task(self, task: Task, calendar: str) -> Task:
        dates = self.outlook.dated.tasks[task.key]
        crewed = self.name(task.key) in self.calls
        if task.started is not None:
            goes_on = dates.resumes or dates.early_start
            days = self.network.calendars[task.calendar].count(goes_on, dates.early_boundary)
            if crewed and days:
                return replace(task, key=self.name(task.key), calendar=calendar, remaining=days, due=None)
            return Task(self.name(task.key), max(0, days), calendar, not_before=goes_on)
        release = self._release(task) if crewed else None
        return replace(
            task,
            key=self.name(task.key),
            calendar=calendar,
            not_before=max(filter(None, (dates.early_start, release))),
            due=task.due if crewed else None,
        )

    def _release(self, task: Task) -> date | None:
        """The first day of the crew on which the site is ready for the visit with the certainty we plan with."""
        for visit in WORK:
            sure = self.outlook.of_visit(visit)
            if sure is not None and any(each.key == task.key for each in work_of([task], visit)):
                return self.outlook.first_crew_day(sure.at(CERTAINTY).last_day)
        return None

    def _first_of(self, visit: str) -> str | None:
        """The task with which a visit that has not begun begins."""
        work = [task for task in work_of(self.network.tasks, visit) if task.finished is None]
        if not work or any(task.started for task in work_of(self.network.tasks, visit)):
            return None
        dates = self.outlook.dated.tasks
        first = self.name(min(work, key=lambda task: (dates[task.key].early_start, task.key)).key)
        return first if first in self.calls else None


def _joined(sites: list[_Site], crews: list[Crew], today: date) -> Portfolio:
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
        _travel(sites, crews),
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

    def __init__(self, sites: list[_Site], crews: list[Crew]) -> None:
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

    def _holidays(self, site: _Site) -> frozenset[date]:
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


def _travel(sites: list[_Site], crews: list[Crew]) -> dict[tuple[str, str], int]:
    entered = {
        (way.one_id, way.other_id): way.days
        for way in Way.objects.filter(one__in=[s.project.pk for s in sites])
    }
    points = {site.uid: (site.asks.latitude, site.asks.longitude) for site in sites}
    found = {}
    for n, one in enumerate(sites):
        for other in sites[n + 1 :]:
            days = entered.get((one.project.pk, other.project.pk))
            found[one.uid, other.uid] = (
                days_on_the_road(points[one.uid], points[other.uid]) if days is None else days
            )
    for crew in crews:
        for uid, point in points.items():
            found[f"home {crew.uid}", uid] = days_on_the_road((crew.latitude, crew.longitude), point)
    return {pair: days for pair, days in found.items() if days}


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


def _iso(days: Mapping[str, date]) -> dict[str, str]:
    return {key: day.isoformat() for key, day in days.items()}


def _days(days: Mapping[str, str]) -> dict[str, date]:
    return {key: date.fromisoformat(day) for key, day in days.items()}
