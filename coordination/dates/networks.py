"""From rows to the network that scheduling reckons with.

A covers-link counts as finish to start from acceptance: the covered work's finish and the time its reviewer has
to answer. Eight working hours of answer time are one working day; a part of a day is a whole one.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from math import ceil
from typing import Any

from django.db.models import OuterRef, QuerySet, Subquery

from coordination.access.models import Project
from coordination.dates.models import OrderOfWork, OwnLink, PackageDay
from coordination.dates.working_days import CalendarFacts, calendars_of
from coordination.projects.models import Calendar, FactEntry, Link, Requirement, Task
from coordination.scheduling import network as scheduling
from coordination.scheduling.network import Network, Order

HOURS_A_DAY = 8
START, WEEKDAYS, HOLIDAYS = "calendar.start", "calendar.working_days", "calendar.holidays"
STAGE = "building.stage"
FACTS = (START, WEEKDAYS, HOLIDAYS, STAGE)


@dataclass
class Rows:
    """What one project's dates depend on."""

    tasks: list[Task] = field(default_factory=list)
    links: list[Link] = field(default_factory=list)
    calendars: dict[str, Calendar] = field(default_factory=dict)
    facts: dict[str, Any] = field(default_factory=dict)
    answer_hours: dict[int, int] = field(default_factory=dict)
    own_links: list[OwnLink] = field(default_factory=list)
    package_days: dict[str, date] = field(default_factory=dict)
    order: Order = "retained"

    def due(self, task: Task) -> date | None:
        """The last day that people want of a task: its own, else that of its package. A gate has its own only."""
        return task.done_by or (None if task.is_gate else self.package_days.get(task.package))

    @property
    def start(self) -> date | None:
        """The first day of the job, None while nobody has said."""
        return date.fromisoformat(self.facts[START]) if self.facts.get(START) else None


def rows_of(projects: Iterable[Project]) -> dict[int, Rows]:
    """The rows of each project, by its own key: six queries however many projects."""
    found = {project.pk: Rows() for project in projects}
    for entry in FactEntry.objects.filter(project__in=found, key__in=FACTS).order_by("seq"):
        found[entry.project_id].facts[entry.key] = entry.value
    standing = Task.objects.filter(project__in=found, retired_in__isnull=True)
    for task in with_days_of_the_project(standing).order_by("pk"):
        own = found[task.project_id]
        own.tasks.append(task)
        own.order = task.order_of_work or own.order
        if task.package_done_by:
            own.package_days[task.package] = task.package_done_by
    for link in _standing_links(found):
        found[link.project_id].links.append(link)
    for calendar in Calendar.objects.filter(project__in=found):
        found[calendar.project_id].calendars[calendar.key] = calendar
    for project, task, hours in _answer_hours(found):
        longest = found[project].answer_hours
        longest[task] = max(longest.get(task, 0), hours)
    for own in OwnLink.objects.filter(project__in=found, ended_at__isnull=True).order_by("pk"):
        found[own.project_id].own_links.append(own)
    return found


def network_of(rows: Rows, today: date) -> Network:
    """The network as it stands on ``today``: what was done is done, the rest lies today or later.

    Without a first day of the job it begins today. Raises NetworkError, OutOfHorizon.
    """
    keys = {task.pk: task.key for task in rows.tasks}
    start = rows.start or today
    progress = [day for task in rows.tasks for day in (task.begun_on, task.finished_on) if day]
    wishes = [day for task in rows.tasks for day in (task.not_before, rows.due(task)) if day]
    data_date = max([today, *progress]) if progress or today >= start else None
    tasks = tuple(_task(task, rows) for task in rows.tasks)
    links = tuple(_link(link, keys, rows.answer_hours) for link in rows.links if not link.own)
    pairs = [(link.before, link.after) for link in links]
    wanted = [*_of_what_was_added(rows.links, keys), *rows.own_links]
    links += tuple(map(_own, counting(wanted, pairs, (task.key for task in rows.tasks))))
    return Network(
        tasks=tasks,
        links=links,
        calendars=calendars_of(
            _calendar_facts(rows),
            rows.calendars,
            {"site", *(task.calendar for task in tasks)},
            [start, today, *progress, *wishes],
            sum(task.duration for task in tasks) + sum(abs(link.lag) for link in links),
        ),
        start=start,
        data_date=data_date,
        order=rows.order,
    )


def counting(
    own_links: Iterable[OwnLink], pairs: Iterable[tuple[str, str]], keys: Iterable[str]
) -> list[OwnLink]:
    """People's own links that can count: both tasks stand, and no ring closes with the plan's and earlier ones.

    ``pairs`` are (before, after) of the plan's links.
    """
    known, found = set(keys), []
    after: dict[str, set[str]] = {}
    for before, behind in pairs:
        after.setdefault(before, set()).add(behind)
    for own in own_links:
        if {own.before, own.after} <= known and not _leads(after, own.after, own.before):
            after.setdefault(own.before, set()).add(own.after)
            found.append(own)
    return found


def _of_what_was_added(links: Iterable[Link], keys: Mapping[int, str]) -> list[OwnLink]:
    """The links of gates and work that people added: a later plan may close a ring with them, as with wished ones."""
    return [
        OwnLink(
            before=keys[link.before_id],
            after=keys[link.after_id],
            kind=link.kind,
            lag=link.lag,
            unit=link.unit,
        )
        for link in links
        if link.own
    ]


def _leads(after: Mapping[str, set[str]], start: str, end: str) -> bool:
    """Whether ``end`` is ``start`` or hangs on it."""
    seen, to_follow = {start}, [start]
    while to_follow:
        new = after.get(to_follow.pop(), set()) - seen
        seen |= new
        to_follow += new
    return end in seen


def _own(own: OwnLink) -> scheduling.Link:
    return scheduling.Link(own.before, own.after, own.kind, own.lag, own.unit)


def with_days_of_the_project(tasks: QuerySet[Task]) -> QuerySet[Task]:
    """The tasks, each with ``package_done_by``, the day by which its package is to be done, and ``order_of_work``."""
    days = PackageDay.objects.filter(project=OuterRef("project"), package=OuterRef("package"))
    order = OrderOfWork.objects.filter(project=OuterRef("project"))
    return tasks.annotate(
        package_done_by=Subquery(days.values("done_by")), order_of_work=Subquery(order.values("order"))
    )


def _task(task: Task, rows: Rows) -> scheduling.Task:
    derived = 0 if task.is_gate else task.derived["duration"]["likely"]
    done, begun = task.finished_on is not None, task.begun_on is not None
    return scheduling.Task(
        key=task.key,
        duration=derived if task.own_duration is None else task.own_duration,
        calendar=task.derived["calendar"],
        not_before=task.not_before,
        due=rows.due(task),
        started=task.begun_on,
        remaining=task.remaining if begun and not done else None,
        finished=task.finished_on,
        milestone=task.is_gate,
    )


def _link(link: Link, keys: Mapping[int, str], answer_hours: Mapping[int, int]) -> scheduling.Link:
    covers = link.kind == "covers"
    review = ceil(answer_hours.get(link.before_id, 0) / HOURS_A_DAY) if covers else 0
    return scheduling.Link(
        before=keys[link.before_id],
        after=keys[link.after_id],
        kind="FS" if covers else link.kind,
        lag=link.lag + review,
        unit=link.unit,
    )


def _standing_links(projects: Iterable[int]) -> Iterable[Link]:
    return Link.objects.filter(
        project__in=list(projects),
        retired_in__isnull=True,
        before__retired_in__isnull=True,
        after__retired_in__isnull=True,
    ).order_by("pk")


def _answer_hours(projects: Iterable[int]) -> Iterable[tuple[int, int, int]]:
    """(project, task, hours) for each reviewed requirement of covered work."""
    covered = Link.objects.filter(project__in=list(projects), kind="covers", retired_in__isnull=True)
    reviewed = Requirement.objects.filter(task__in=covered.values("before"), retired_in__isnull=True).exclude(
        accepts=""
    )
    return reviewed.values_list("task__project", "task", "terms__answer_hours")


def _calendar_facts(rows: Rows) -> CalendarFacts:
    weekdays = rows.facts.get(WEEKDAYS)
    holidays = rows.facts.get(HOLIDAYS) or ""
    return CalendarFacts(frozenset(weekdays), holidays) if weekdays else CalendarFacts(holidays=holidays)
