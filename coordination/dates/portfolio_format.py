"""A portfolio as it is frozen: the problem with the names that its answer is told in, as canonical JSON and back."""

import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from hashlib import sha256
from typing import Any

from coordination.record.chaining import canonical
from coordination.scheduling.levelling.route_problem import RoadCrew, RouteProblem
from coordination.scheduling.network_json import read_network
from coordination.scheduling.network_writing import network_as_json


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


def _iso(days: Mapping[str, date]) -> dict[str, str]:
    return {key: day.isoformat() for key, day in days.items()}


def _days(days: Mapping[str, str]) -> dict[str, date]:
    return {key: date.fromisoformat(day) for key, day in days.items()}
