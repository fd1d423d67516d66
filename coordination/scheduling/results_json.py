"""Schedules as plain values for JSON."""

from __future__ import annotations

from datetime import date
from typing import Any

from .critical_path import Dates, Schedule
from .network import Link


def schedule_as_json(schedule: Schedule) -> dict[str, Any]:
    """A schedule as plain values for ``json.dumps``.

    Dates are days; ``early`` and ``late`` besides count start and boundary in days from the project's start.
    """
    start = schedule.network.start
    return {
        "start": start.isoformat(),
        "end": schedule.end.isoformat(),
        "last_day": schedule.last_day.isoformat(),
        "length": (schedule.end - start).days,
        "critical_chain": list(schedule.critical_chain),
        "open_ends": [{"key": found.key, "end": found.end} for found in schedule.open_ends],
        "out_of_order": [_link_as_json(link) for link in schedule.out_of_order],
        "tasks": {key: _dates_as_json(dates, start) for key, dates in schedule.tasks.items()},
    }


def _dates_as_json(dates: Dates, start: date) -> dict[str, Any]:
    spans = {
        "early": (dates.early_start, dates.early_boundary),
        "late": (dates.late_start, dates.late_boundary),
    }
    return {
        **{name: [(day - start).days for day in span] for name, span in spans.items()},
        "early_start": dates.early_start.isoformat(),
        "early_last_day": dates.early_last_day.isoformat(),
        "early_boundary": dates.early_boundary.isoformat(),
        "late_start": dates.late_start.isoformat(),
        "late_last_day": dates.late_last_day.isoformat(),
        "late_boundary": dates.late_boundary.isoformat(),
        "resumes": dates.resumes.isoformat() if dates.resumes else None,
        "total_float": dates.total_float,
        "free_float": dates.free_float,
        "critical": dates.critical,
        "because": dates.because,
        "driver": _link_as_json(dates.driver) if dates.driver else None,
        "due_of": dates.due_of,
    }


def _link_as_json(link: Link) -> dict[str, Any]:
    return dict(vars(link))
