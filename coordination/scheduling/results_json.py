"""Schedules, forecasts and levellings as plain values for JSON."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

from .critical_path import Dates, Schedule
from .forecast import END, Forecast
from .levelling.problem import Levelling
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


def forecast_as_json(forecast: Forecast, keys: Iterable[str] = ()) -> dict[str, Any]:
    """A forecast of the end, and of the tasks in ``keys`` (its gates), as plain values.

    ``driving`` holds, by task, the share of samples in which it set the end; ``swings`` the calendar days by which the
    end moves when the task goes from its P10 to its P90.
    """
    return {
        "samples": forecast.settings.samples,
        "seed": forecast.settings.seed,
        "end": _quantiles_as_json(forecast, END),
        "tasks": {key: _quantiles_as_json(forecast, key) for key in keys},
        "driving": dict(forecast.driving[END]),
        "swings": forecast.swings(),
    }


def _quantiles_as_json(forecast: Forecast, key: str) -> dict[str, Any]:
    return {
        f"P{quantile.share * 100:.0f}": {
            "last_day": quantile.last_day.isoformat(),
            "low": quantile.low.isoformat(),
            "high": quantile.high.isoformat(),
        }
        for quantile in forecast.quantiles(key)
    }


def levelled_sm_as_json(levelling: Levelling, day_0: date) -> dict[str, Any]:
    """The answer to a .sm instance: its length, the proven bound, and the start of each job in days from 0."""
    return {
        "makespan": levelling.cost.length,
        "bound": levelling.bound,
        "starts": {key: (day - day_0).days for key, day in levelling.starts.items()},
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
