"""The dated plan of a project, reckoned once per state of its record and day."""

from collections import OrderedDict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from threading import Lock

from django.db import connection

from coordination.access.models import Project
from coordination.dates.networks import STAGE, Rows, network_of, rows_of
from coordination.projects.models import Task
from coordination.record.models import Chain
from coordination.scheduling.critical_path import Dates, Schedule, schedule
from coordination.scheduling.estimates import Estimate

MOST_KEPT = 256


@dataclass(frozen=True)
class DatedPlan:
    """When each task can be, by key. ``end`` is the last day of work, None where there is no task.

    ``gates`` tells by gate key the day on whose evening everything before the gate is done, or on which it was
    cleared; ``milestones`` its task's key. ``start_is_assumed`` says that nobody has stated the first day, so
    that today stands for it. ``estimates`` are what a forecast draws from; ``under_a_roof`` says that the building
    stood before, so that no weather reaches its work.
    """

    tasks: Mapping[str, Dates]
    start: date
    start_is_assumed: bool
    end: date | None
    critical_chain: tuple[str, ...]
    gates: Mapping[str, date]
    milestones: Mapping[str, str]
    schedule: Schedule
    estimates: Mapping[str, Estimate] = field(default_factory=dict)
    under_a_roof: bool = False


_kept: OrderedDict[tuple[str, str, date], DatedPlan] = OrderedDict()
_lock = Lock()


def reckon(rows: Rows, today: date) -> DatedPlan:
    """The dated plan of ``rows``. Raises NetworkError, OutOfHorizon."""
    dated = schedule(network_of(rows, today))
    milestones = {task.derived["milestone_of"]: task.key for task in rows.tasks if task.is_gate}
    return DatedPlan(
        tasks=dated.tasks,
        start=dated.network.start,
        start_is_assumed=rows.start is None,
        end=dated.last_day if rows.tasks else None,
        critical_chain=dated.critical_chain,
        gates={gate: dated.tasks[key].early_last_day for gate, key in milestones.items()},
        milestones=milestones,
        schedule=dated,
        estimates={task.key: estimate_of(task) for task in rows.tasks if not task.is_gate},
        under_a_roof=rows.facts.get(STAGE) == "existing",
    )


def estimate_of(task: Task) -> Estimate:
    """P10, most likely and P90 of a task; where people gave it a duration, its spread in the same proportion."""
    derived = task.derived["duration"]
    low, likely, high = derived["low"], derived["likely"], derived["high"]
    if task.own_duration is None:
        return Estimate(low, likely, high)
    scale = task.own_duration / likely if likely else 1.0
    shortest, longest = round(low * scale), round(high * scale)
    return Estimate(min(shortest, task.own_duration), task.own_duration, max(longest, task.own_duration))


def dated_plans(projects: Iterable[Project], today: date) -> dict[int, DatedPlan]:
    """The dated plan of each project, by its own key.

    Kept by the head of the project's chain: whatever alters dates writes an event. Inside a deciding block rows
    and head may be out of step, so nothing is looked up or kept there.
    """
    listed = {project.pk: project for project in projects}
    if connection.in_atomic_block:
        return {key: reckon(rows, today) for key, rows in rows_of(listed.values()).items()}
    heads = _heads(listed.values())
    keys = {pk: (project.stream, heads.get(project.stream, ""), today) for pk, project in listed.items()}
    with _lock:
        found = {pk: _kept[key] for pk, key in keys.items() if key in _kept}
    missing = [project for pk, project in listed.items() if pk not in found]
    for pk, rows in rows_of(missing).items() if missing else ():
        found[pk] = reckon(rows, today)
    _keep({keys[pk]: dated for pk, dated in found.items()})
    return {pk: found[pk] for pk in listed}


def day_before(dated: DatedPlan, day: date) -> date:
    """The last working day of the site before ``day``."""
    return dated.schedule.network.calendars["site"].add(day, -1)


def _heads(projects: Iterable[Project]) -> dict[str, str]:
    streams = [project.stream for project in projects]
    return dict(Chain.objects.filter(stream__in=streams).values_list("stream", "head"))


def _keep(dated: Mapping[tuple[str, str, date], DatedPlan]) -> None:
    with _lock:
        for key, plan in dated.items():
            _kept[key] = plan
            _kept.move_to_end(key)
        while len(_kept) > MOST_KEPT:
            _kept.popitem(last=False)
