"""Networks as JSON that ``network_json`` reads again."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any

from .calendars import WorkCalendar
from .network import Link, Network, Task
from .network_json import WEEKDAYS

ONE = timedelta(days=1)


def network_as_json(network: Network) -> dict[str, Any]:
    """The object that ``read_network`` takes; calendars keep the exceptions that lie within their days."""
    told: dict[str, Any] = {
        "start": network.start.isoformat(),
        "order": network.order,
        "calendars": {name: calendar_as_json(each) for name, each in network.calendars.items()},
        "tasks": [_task(task) for task in network.tasks],
        "links": [_link(link) for link in network.links],
    }
    if network.data_date:
        told["data_date"] = network.data_date.isoformat()
    return told


def calendar_as_json(calendar: WorkCalendar) -> dict[str, Any]:
    """Weekdays by name, and exceptions as days or intervals."""
    return {
        "weekdays": [WEEKDAYS[n] for n in sorted(calendar.weekdays)],
        "closed": intervals(day for day in calendar.closed if calendar.start <= day <= calendar.last),
        "opened": intervals(day for day in calendar.opened if calendar.start <= day <= calendar.last),
    }


def intervals(days: Iterable[date]) -> list[str]:
    """Days as ISO 8601 days and intervals, in order."""
    spans: list[tuple[date, date]] = []
    for day in sorted(days):
        if spans and spans[-1][1] + ONE == day:
            spans[-1] = spans[-1][0], day
        else:
            spans.append((day, day))
    return [a.isoformat() if a == b else f"{a.isoformat()}/{b.isoformat()}" for a, b in spans]


def _task(task: Task) -> dict[str, Any]:
    told = {
        "key": task.key,
        "duration": task.duration,
        "calendar": task.calendar,
        "not_before": _day(task.not_before),
        "due": _day(task.due),
        "started": _day(task.started),
        "remaining": task.remaining,
        "finished": _day(task.finished),
        "milestone": task.milestone or None,
    }
    return {name: value for name, value in told.items() if value is not None}


def _link(link: Link) -> dict[str, Any]:
    told = vars(link)
    usual = {"kind": "FS", "lag": 0, "unit": "working", "calendar": None}
    return {name: value for name, value in told.items() if name not in usual or value != usual[name]}


def _day(day: date | None) -> str | None:
    return day.isoformat() if day else None
