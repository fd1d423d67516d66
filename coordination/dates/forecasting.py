"""How sure the days of gates and visits are, for one site or many.

Made from the dated plan alone, with one fixed seed: each task draws from a stream of its own, so that two forecasts
of the same site differ by what was altered and by nothing else.
"""

import hashlib
from collections import OrderedDict
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from datetime import date, timedelta
from functools import cached_property
from threading import Lock
from typing import Any, Final

from coordination.access.models import Project
from coordination.dates.dating import DatedPlan, dated_plans
from coordination.dates.keeping_forecasts import keep, kept
from coordination.dates.visiting import BEFORE, milestone_of, with_visits
from coordination.record.chaining import canonical
from coordination.scheduling.calendars import WorkCalendar
from coordination.scheduling.critical_path import schedule
from coordination.scheduling.forecast import END, Quantile, Settings, forecast
from coordination.scheduling.network import Network

MOST_KEPT = 128
LEAST_SHARE = 0.01
WEATHER = "weather"
# Work that lies open to the weather while a new building goes up (common practice, no source).
OUTDOORS: Final = frozenset(
    {
        *("locate", "open-floors", "dig", "early-sleeves", "form-pit", "sump-recess", "pour"),
        *("walls", "masonry-walls", "rail-anchors", "frame-opening", "lifting-point", "receive"),
    }
)


@dataclass(frozen=True)
class Sureness:
    """How sure one day is. ``counts`` says how often each day was the first on which everything is done.

    ``driving`` is the share of the samples in which a task set this day, the largest first; ``swings`` the calendar
    days by which it moves when the task goes from its P10 to its P90, the widest first.
    """

    quantiles: tuple[Quantile, ...]
    counts: Mapping[date, int]
    driving: tuple[tuple[str, float], ...] = ()
    swings: tuple[tuple[str, float], ...] = ()

    def at(self, share: float) -> Quantile:
        """The quantile of ``share``. Raises StopIteration for one that was not asked for."""
        return next(each for each in self.quantiles if each.share == share)

    def chance_by(self, last_day: date) -> float:
        """Share of the samples that are done by the evening of ``last_day``."""
        done = sum(count for day, count in self.counts.items() if day <= last_day + timedelta(days=1))
        return done / sum(self.counts.values())


@dataclass(frozen=True)
class Outlook:
    """The days of gates and visits with their forecast.

    ``sure`` is by gate's milestone, by visit's milestone (see visiting) and END; what is over is left out.
    ``ready`` is the first day of the crew's calendar by the plan on which a visit finds everything ready.
    """

    dated: DatedPlan
    sure: Mapping[str, Sureness]
    ready: Mapping[str, date]
    samples: int
    causes: float

    def of_gate(self, gate: str) -> Sureness | None:
        return self.sure.get(self.dated.milestones.get(gate, ""))

    def of_visit(self, visit: str) -> Sureness | None:
        return self.sure.get(milestone_of(visit))

    def first_crew_day(self, evening: date) -> date:
        """The first day on which the crew works after everything was done on ``evening``."""
        return self.crew.roll_forward(evening + timedelta(days=1))

    @cached_property
    def crew(self) -> WorkCalendar:
        """The crew's own calendar, the site's where the plan has no work of theirs."""
        calendars = self.dated.schedule.network.calendars
        return calendars.get("lift") or calendars["site"]


def outlook_of(project: Project, today: date) -> Outlook:
    """The outlook of one site, as ``outlooks``. Raises NetworkError, OutOfHorizon."""
    return outlooks([project], today)[project.pk]


def outlooks(projects: Iterable[Project], today: date) -> dict[int, Outlook]:
    """The outlook of each site by its own key: at most one query more than its dates, however many sites.

    What was made for the same network is not made again: it is looked for in this process, then among the kept ones.
    """
    listed = {project.pk: project for project in projects}
    plans = dated_plans(listed.values(), today)
    digests = {pk: digest_of(plan) for pk, plan in plans.items()}
    found = {pk: sure for pk, digest in digests.items() if (sure := _remembered(digest)) is not None}
    missing = {pk: digests[pk] for pk in listed if pk not in found}
    for pk, content in kept(missing).items():
        found[pk] = _from_json(content)
    for pk in missing.keys() - found.keys():
        found[pk] = reckon_sureness(plans[pk])
        keep(listed[pk], digests[pk], _as_json(found[pk]))
    for pk, digest in missing.items():
        _remember(digest, found[pk])
    return {pk: _outlook(plans[pk], found[pk]) for pk in listed}


def supposed_outlook(dated: DatedPlan, *, weather: bool = True) -> Outlook:
    """The outlook of a plan that does not stand; it is remembered in this process and kept nowhere."""
    digest = digest_of(dated, weather=weather)
    sure = _remembered(digest)
    if sure is None:
        sure = reckon_sureness(dated, weather=weather)
        _remember(digest, sure)
    return _outlook(dated, sure)


def reckon_sureness(dated: DatedPlan, *, weather: bool = True) -> dict[str, Sureness]:
    """Ten thousand runs of the network behind ``dated``. Raises OutOfHorizon."""
    network = with_visits(dated.schedule.network)
    targets = [task.key for task in network.tasks if task.milestone and task.finished is None]
    if not network.tasks:
        return {}
    made = forecast(network, dated.estimates, causes_of(dated) if weather else {}, Settings(), targets)
    swings = made.swings_towards([END, *targets])
    return {
        key: Sureness(
            made.quantiles(key),
            made.ready_days(key),
            tuple(_driving(made.driving[key], network)),
            tuple((task, round(days, 1)) for task, days in swings[key].items() if days >= 0.5),
        )
        for key in (END, *targets)
    }


def causes_of(dated: DatedPlan) -> dict[str, str]:
    """The one cause that work out in the open shares: a wet season hits all of it, or none."""
    if dated.under_a_roof:
        return {}
    return {key: WEATHER for key in dated.estimates if key.partition("@")[0] in OUTDOORS}


def digest_of(dated: DatedPlan, *, weather: bool = True) -> str:
    """The digest of everything that a forecast of ``dated`` is made from."""
    network = dated.schedule.network
    told = {
        "tasks": [_values(vars(task)) for task in network.tasks],
        "links": [_values(vars(link)) for link in network.links],
        "calendars": {
            key: [each.start.isoformat(), each.horizon_days, sorted(each.weekdays)]
            + [sorted(day.isoformat() for day in days) for days in (each.closed, each.opened)]
            for key, each in network.calendars.items()
        },
        "days": _values({"start": network.start, "data_date": network.data_date, "order": network.order}),
        "estimates": {key: list(vars(each).values()) for key, each in dated.estimates.items()},
        "causes": causes_of(dated) if weather else {},
        "settings": repr(Settings()),
        "visits": BEFORE,
    }
    return hashlib.sha256(canonical(told).encode()).hexdigest()


def _values(told: Mapping[str, Any]) -> list[Any]:
    return [value.isoformat() if isinstance(value, date) else value for value in told.values()]


def _driving(shares: Mapping[str, float], network: Network) -> list[tuple[str, float]]:
    works = {task.key for task in network.tasks if not task.milestone and task.finished is None}
    found = [(key, share) for key, share in shares.items() if share >= LEAST_SHARE and key in works]
    return sorted(found, key=lambda item: (-item[1], item[0]))


def _outlook(dated: DatedPlan, sure: Mapping[str, Sureness]) -> Outlook:
    network = with_visits(dated.schedule.network)
    days = schedule(network).tasks
    visits = [task.key for task in network.tasks if task.key.startswith(BEFORE)]
    ready = {key.removeprefix(BEFORE): days[key].early_start for key in visits}
    usual = Settings()
    return Outlook(dated, sure, ready, usual.samples, usual.causes)


def _as_json(sure: Mapping[str, Sureness]) -> str:
    return canonical(
        {
            key: {
                "quantiles": [_values(asdict(each)) for each in one.quantiles],
                "counts": {day.isoformat(): count for day, count in one.counts.items()},
                "driving": one.driving,
                "swings": one.swings,
            }
            for key, one in sure.items()
        }
    )


def _from_json(content: Mapping[str, Any]) -> dict[str, Sureness]:
    return {
        key: Sureness(
            tuple(Quantile(share, *map(date.fromisoformat, days)) for share, *days in one["quantiles"]),
            {date.fromisoformat(day): count for day, count in one["counts"].items()},
            tuple((task, share) for task, share in one["driving"]),
            tuple((task, days) for task, days in one["swings"]),
        )
        for key, one in content.items()
    }


_made: OrderedDict[str, dict[str, Sureness]] = OrderedDict()
_lock = Lock()


def _remembered(digest: str) -> dict[str, Sureness] | None:
    with _lock:
        return _made.get(digest)


def _remember(digest: str, sure: dict[str, Sureness]) -> None:
    with _lock:
        _made[digest] = sure
        _made.move_to_end(digest)
        while len(_made) > MOST_KEPT:
            _made.popitem(last=False)
