"""Crews that go from site to site, as a problem: each crew is one of its own.

Where ``problem`` knows so many interchangeable crews of a kind, here each crew has its working days, days on which it
is not to be had, a home, and a way from one site to the next that takes days.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import cached_property
from itertools import product

from ..network import Network, NetworkError, Problem
from .problem import Crew, CrewProblem


@dataclass(frozen=True)
class RoadCrew:
    """One crew. It works the days of ``calendar``, and holds over the others inside a task; ``away`` it is on no site.

    ``home`` is where it starts from, a place that ``travel`` may know.
    """

    calendar: str
    away: frozenset[date] = frozenset()
    home: str = ""


@dataclass(frozen=True)
class RouteProblem:
    """A network whose tasks are worked by crews that travel. Raises NetworkError naming what is wrong.

    ``kinds`` lists the crews of each kind; ``calls`` says of which kinds a task needs one crew each, all of them on
    the same days: several for a joint test. ``sites`` is where a task is; ``travel`` the working days of a crew on
    the road between two places, the same both ways, 0 where nothing is said. Tasks of one of the ``trips`` have the
    same crew of each kind. ``weights`` price a calendar day late against a task's due date, ``coming`` each time that
    a crew comes to a site from another one, in the same unit; ``fixed`` are first days that stand already,
    ``assigned`` the crews that do. Tasks of a site move together in the search.
    """

    network: Network
    crews: Mapping[str, RoadCrew]
    kinds: Mapping[str, tuple[str, ...]]
    calls: Mapping[str, tuple[str, ...]]
    sites: Mapping[str, str]
    travel: Mapping[tuple[str, str], int] = field(default_factory=dict)
    trips: Mapping[str, str] = field(default_factory=dict)
    weights: Mapping[str, int] = field(default_factory=dict)
    fixed: Mapping[str, date] = field(default_factory=dict)
    assigned: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    coming: int = 0

    def __post_init__(self) -> None:
        if problems := [*self._problems()]:
            raise NetworkError(problems)

    @property
    def least_comings(self) -> int:
        """Comings that no route can do without: one for each site and kind of crew with work there."""
        busy = {
            task.key for task in self.network.tasks if not task.finished and (task.remaining or task.duration)
        }
        return len({(self.sites.get(key, ""), kind) for key in busy for kind in self.calls.get(key, ())})

    def way(self, one: str, other: str) -> int:
        """Days on the road between two places."""
        if one == other:
            return 0
        return max(self.travel.get((one, other), 0), self.travel.get((other, one), 0))

    def choices(self, key: str) -> list[tuple[str, ...]]:
        """Every set of crews that can work a task, one of each kind it calls for, in order."""
        sets = [*product(*(self.kinds[kind] for kind in self.calls.get(key, ())))]
        return [chosen for chosen in sets if self.assigned.get(key, chosen) == chosen]

    @cached_property
    def pooled(self) -> CrewProblem:
        """The same with interchangeable crews of each kind and no way between sites: it asks for less."""
        return CrewProblem(
            self.network,
            {kind: Crew(len(crews)) for kind, crews in self.kinds.items()},
            {key: dict.fromkeys(kinds, 1) for key, kinds in self.calls.items()},
            self.weights,
            self.fixed,
            self.sites,
        )

    def _problems(self) -> Iterator[Problem]:
        known = self.network.position
        for about in (self.calls, self.sites, self.trips, self.weights, self.fixed, self.assigned):
            yield from (Problem("unknown task", (key,)) for key in about if key not in known)
        for name, crew in self.crews.items():
            if crew.calendar not in self.network.calendars:
                yield Problem("unknown calendar", (name, crew.calendar), ", ".join(self.network.calendars))
        for kind, crews in self.kinds.items():
            yield from (Problem("unknown crew", (kind, name)) for name in crews if name not in self.crews)
        for key, kinds in self.calls.items():
            yield from (Problem("unknown crew", (key, kind)) for kind in kinds if not self.kinds.get(kind))
        for (one, other), days in self.travel.items():
            if days < 0:
                yield Problem("negative travel", (one, other), "0 or more")
