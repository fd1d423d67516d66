"""A forecast as plain values and as a table: certain days, who drives the end, what moves it most."""

from collections.abc import Iterator
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from coordination.console.lines import Line, as_text, table
from coordination.scheduling.forecast import END, Forecast, Quantile
from coordination.scheduling.network import Network


def forecast_as_json(network: Network, found: Forecast) -> dict[str, Any]:
    """The end of the project, each milestone, and each task; ``length`` counts days from the start.

    ``criticality`` is the share of the samples in which a task lay on a chain that set the date; ``swings`` are
    calendar days by which the date moves when a task goes from its P10 to its P90.
    """
    settings = found.settings
    return {
        "start": network.start.isoformat(),
        "samples": settings.samples,
        "seed": settings.seed,
        "causes": settings.causes,
        "curve": {"shape": settings.curve.shape, "points": settings.curve.points},
        "end": _target(network, found, END),
        "milestones": {
            task.key: _target(network, found, task.key) for task in network.tasks if task.milestone
        },
        "tasks": {
            task.key: {
                **_days(found.quantiles(task.key), network.start),
                "mean_length": found.mean_length(task.key),
                "criticality": found.driving[END][task.key],
            }
            for task in network.tasks
        },
    }


def forecast_text(network: Network, found: Forecast) -> str:
    """Days kept with 10, 50, 80 and 90 % certainty, and the tasks in the order in which they move the end."""
    keys = [END, *(task.key for task in network.tasks if task.milestone)]
    rows = [[key or _("the whole"), *(_shown(each) for each in found.quantiles(key))] for key in keys]
    certain = table(["", *(_percent(each.share) for each in found.quantiles())], rows)
    swings, driving = found.swings(), found.driving[END]
    moving = [
        [task.key, f"{driving[task.key]:.0%}", f"{swings[task.key]:+.1f}" if task.key in swings else ""]
        for task in sorted(network.tasks, key=lambda task: (-swings.get(task.key, 0.0), -driving[task.key]))
    ]
    sensitive = table(
        [_("task"), _("drives the end"), _("days from P10 to P90")], moving, right=frozenset({1, 2})
    )
    return "\n".join([as_text(_heading(found)), "", *certain, "", *sensitive])


def _heading(found: Forecast) -> Iterator[Line]:
    settings = found.settings
    yield (
        0,
        _("%(samples)d samples, seed %(seed)d; correlation of tasks that share a cause %(causes)g")
        % {
            "samples": settings.samples,
            "seed": settings.seed,
            "causes": settings.causes,
        },
    )
    yield (
        0,
        _("Last days of work; in brackets the days between which the true one lies with 95 % confidence."),
    )


def _target(network: Network, found: Forecast, key: str) -> dict[str, Any]:
    return {
        **_days(found.quantiles(key), network.start),
        "mean_length": found.mean_length(key),
        "criticality": found.driving[key],
        "swings": found.swings(key),
    }


def _days(quantiles: tuple[Quantile, ...], start: date) -> dict[str, Any]:
    return {
        _percent(each.share): {
            "last_day": each.last_day.isoformat(),
            "low": each.low.isoformat(),
            "high": each.high.isoformat(),
            "length": (each.last_day - start).days + 1,
        }
        for each in quantiles
    }


def _percent(share: float) -> str:
    return f"P{share * 100:.0f}"


def _shown(quantile: Quantile) -> str:
    low, high = quantile.low.isoformat(), quantile.high.isoformat()
    between = "" if low == high else f" [{low} .. {high}]"
    return f"{quantile.last_day.isoformat()}{between}"
