"""From rows to the network that scheduling reckons with.

A covers-link counts as finish to start from acceptance: the covered work's finish and the time its reviewer has
to answer. Eight working hours of answer time are one working day; a part of a day is a whole one.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from math import ceil
from typing import Any

from coordination.access.models import Project
from coordination.dates.working_days import CalendarFacts, calendars_of
from coordination.projects.models import Calendar, FactEntry, Link, Requirement, Task
from coordination.scheduling import network as scheduling
from coordination.scheduling.network import Network

HOURS_A_DAY = 8
START, WEEKDAYS, HOLIDAYS = "calendar.start", "calendar.working_days", "calendar.holidays"


@dataclass
class Rows:
    """What one project's dates depend on."""

    tasks: list[Task] = field(default_factory=list)
    links: list[Link] = field(default_factory=list)
    calendars: dict[str, Calendar] = field(default_factory=dict)
    facts: dict[str, Any] = field(default_factory=dict)
    answer_hours: dict[int, int] = field(default_factory=dict)

    @property
    def start(self) -> date | None:
        """The first day of the job, None while nobody has said."""
        return date.fromisoformat(self.facts[START]) if self.facts.get(START) else None


def rows_of(projects: Iterable[Project]) -> dict[int, Rows]:
    """The rows of each project, by its own key: five queries however many projects."""
    found = {project.pk: Rows() for project in projects}
    for entry in FactEntry.objects.filter(project__in=found, key__in=(START, WEEKDAYS, HOLIDAYS)).order_by(
        "seq"
    ):
        found[entry.project_id].facts[entry.key] = entry.value
    for task in Task.objects.filter(project__in=found, retired_in__isnull=True).order_by("pk"):
        found[task.project_id].tasks.append(task)
    for link in _standing_links(found):
        found[link.project_id].links.append(link)
    for calendar in Calendar.objects.filter(project__in=found):
        found[calendar.project_id].calendars[calendar.key] = calendar
    for project, task, hours in _answer_hours(found):
        longest = found[project].answer_hours
        longest[task] = max(longest.get(task, 0), hours)
    return found


def network_of(rows: Rows, today: date) -> Network:
    """The network as it stands on ``today``: what was done is done, the rest lies today or later.

    Without a first day of the job it begins today. Raises NetworkError, OutOfHorizon.
    """
    keys = {task.pk: task.key for task in rows.tasks}
    start = rows.start or today
    progress = [day for task in rows.tasks for day in (task.begun_on, task.finished_on) if day]
    wishes = [day for task in rows.tasks for day in (task.not_before, task.done_by) if day]
    data_date = max([today, *progress]) if progress or today >= start else None
    tasks = tuple(map(_task, rows.tasks))
    links = tuple(_link(link, keys, rows.answer_hours) for link in rows.links)
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
    )


def _task(task: Task) -> scheduling.Task:
    derived = 0 if task.is_gate else task.derived["duration"]["likely"]
    done, begun = task.finished_on is not None, task.begun_on is not None
    return scheduling.Task(
        key=task.key,
        duration=derived if task.own_duration is None else task.own_duration,
        calendar=task.derived["calendar"],
        not_before=task.not_before,
        due=task.done_by,
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
