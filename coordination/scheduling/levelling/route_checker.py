"""Checks a route against its problem, day by day, sharing nothing with the search that made it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from ..calendars import EVERY_DAY, WorkCalendar
from ..network import Task
from . import checker
from .problem import Cost, CrewProblem
from .route_problem import RouteProblem

ONE = timedelta(days=1)


@dataclass(frozen=True)
class RouteFault:
    """One thing that a route does wrong; ``subject`` holds task keys, crews or days."""

    kind: str
    subject: tuple[str, ...]


def route_faults(
    problem: RouteProblem, starts: Mapping[str, date], crews: Mapping[str, tuple[str, ...]]
) -> tuple[RouteFault, ...]:
    """Everything that is wrong with a route; empty when it can be worked.

    Links, calendars and standing days by ``checker``, with each task in the days that all of its crews work.
    """
    found = [*_crew_faults(problem, crews)]
    if found:
        return tuple(found)
    plain = as_worked(problem, crews)
    faults = [RouteFault(fault.kind, fault.subject) for fault in checker.faults(plain, starts)]
    return tuple(faults) if faults else (*_road_faults(problem, plain, starts, crews),)


def route_cost(
    problem: RouteProblem, starts: Mapping[str, date], crews: Mapping[str, tuple[str, ...]]
) -> Cost:
    """The cost of a route, worked out from its dates alone."""
    late, length = checker.cost_of(as_worked(problem, crews), starts)
    return Cost(late + problem.coming * _comings(problem, starts, crews), length)


def _comings(problem: RouteProblem, starts: Mapping[str, date], crews: Mapping[str, tuple[str, ...]]) -> int:
    """How often a crew comes to a site from another one, or from home."""
    count = 0
    for name in problem.crews:
        where = ""
        for _, key in sorted((starts[key], key) for key, sent in crews.items() if name in sent):
            count += problem.sites.get(key, "") != where
            where = problem.sites.get(key, "")
    return count


def as_worked(problem: RouteProblem, crews: Mapping[str, tuple[str, ...]]) -> CrewProblem:
    """The problem with each task in a calendar of the days that it and its crews have in common."""
    network, calendars = problem.network, dict(problem.network.calendars)
    tasks = []
    for planned in network.tasks:
        task = planned
        if crews.get(task.key):
            name = "\n".join([task.calendar, *(problem.crews[crew].calendar for crew in crews[task.key])])
            if name not in calendars:
                calendars[name] = _in_common(
                    [network.calendars[part] for part in name.split("\n")], network.first, network.last
                )
            task = replace(task, calendar=name)
        tasks.append(task)
    own = {task.key: task.calendar for task in network.tasks}
    links = tuple(
        link if link.unit == "calendar" or link.calendar else replace(link, calendar=own[link.after])
        for link in network.links
    )
    worked = replace(network, tasks=tuple(tasks), links=links, calendars=calendars)
    return CrewProblem(worked, {}, {}, problem.weights, problem.fixed)


def _in_common(calendars: list[WorkCalendar], first: date, last: date) -> WorkCalendar:
    days = [first + timedelta(days=n) for n in range((last - first).days + 1)]
    closed = frozenset(day for day in days if not all(each.is_rule_worked(day) for each in calendars))
    return WorkCalendar(first, len(days), EVERY_DAY, closed)


def _crew_faults(problem: RouteProblem, crews: Mapping[str, tuple[str, ...]]) -> list[RouteFault]:
    found, on_trip = [], dict[tuple[str, str], str]()
    for task in problem.network.tasks:
        kinds = problem.calls.get(task.key, ())
        if task.finished or not kinds or not _has_work(task):
            continue
        sent = crews.get(task.key, ())
        if len(sent) != len(kinds) or any(
            name not in problem.kinds[kind] for name, kind in zip(sent, kinds, strict=False)
        ):
            found.append(RouteFault("wrong crews", (task.key, *sent)))
            continue
        if problem.assigned.get(task.key, sent) != sent:
            found.append(RouteFault("another crew than assigned", (task.key, *sent)))
        for kind, name in zip(kinds, sent, strict=True):
            trip = problem.trips.get(task.key, task.key)
            if on_trip.setdefault((trip, kind), name) != name:
                found.append(RouteFault("another crew on the same trip", (task.key, name)))
    return found


def _has_work(task: Task) -> bool:
    return bool(task.duration if task.remaining is None else task.remaining)


def _road_faults(
    problem: RouteProblem,
    plain: CrewProblem,
    starts: Mapping[str, date],
    crews: Mapping[str, tuple[str, ...]],
) -> list[RouteFault]:
    check = checker._Check(plain, starts)
    stays: dict[str, list[tuple[date, date, str, str]]] = {name: [] for name in problem.crews}
    for task in check.open_tasks:
        for name in crews.get(task.key, ()):
            stays[name].append(
                (starts[task.key], check.finish(task), problem.sites.get(task.key, ""), task.key)
            )
    begin = max(problem.network.start, problem.network.data_date or problem.network.start)
    found = []
    for name, crew in problem.crews.items():
        where, free = crew.home, begin
        for number, (first, boundary, site, key) in enumerate(sorted(stays[name])):
            if not number and check.tasks[key].started:
                where = site
            if first < _arrival(problem, name, free, where, site):
                found.append(RouteFault("crew cannot be there", (name, key, first.isoformat())))
            day = first
            while day < boundary:
                if day in crew.away:
                    found.append(RouteFault("crew away", (name, key, day.isoformat())))
                day += ONE
            where, free = site, max(free, boundary)
    return found


def _arrival(problem: RouteProblem, name: str, instant: date, one: str, other: str) -> date:
    """The day on which the crew is there after its days on the road, which are working days of its own."""
    calendar = problem.network.calendars[problem.crews[name].calendar]
    for _ in range(problem.way(one, other)):
        while not calendar.is_rule_worked(instant):
            instant += ONE
        instant += ONE
    return instant
