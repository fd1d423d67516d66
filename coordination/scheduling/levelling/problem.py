"""What is to be levelled: a network, the crews, and what each task needs of them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

from ..network import Network, NetworkError, Problem


@dataclass(frozen=True)
class Crew:
    """``count`` interchangeable crews of one kind; ``away`` says how many of them are missing on a day."""

    count: int
    away: Mapping[date, int] = field(default_factory=dict)


class Cost(NamedTuple):
    """What is to be small, in this order: weighted days late against due dates, then the end of everything.

    ``late`` sums weight times calendar days late; ``length`` counts days from the start of the network to its end.
    """

    late: int
    length: int


@dataclass(frozen=True)
class Levelling:
    """One feasible answer. ``starts`` are first open days; ``bound`` is a proven least length, or least late.

    ``bound`` speaks of ``late`` where any task has a weight, else of ``length``; None where nothing is proven.
    ``tried`` counts the schedules made on the way.
    """

    starts: Mapping[str, date]
    cost: Cost
    bound: int | None = None
    optimal: bool = False
    tried: int = 0


@dataclass(frozen=True)
class CrewProblem:
    """A network whose tasks share crews. Raises NetworkError naming what is wrong.

    ``needs`` says how many crews of which kind a task holds from its first day to its boundary, the days between that
    its calendar does not work included. ``weights`` price a calendar day late against the task's due date. ``fixed``
    are first days that stand already (begun, confirmed or near enough to be frozen); work under way stands
    where the data date puts it. ``groups`` name what is moved together in the search, such as the site.
    """

    network: Network
    crews: Mapping[str, Crew]
    needs: Mapping[str, Mapping[str, int]]
    weights: Mapping[str, int] = field(default_factory=dict)
    fixed: Mapping[str, date] = field(default_factory=dict)
    groups: Mapping[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if problems := [*self._problems()]:
            raise NetworkError(problems)

    def _problems(self) -> Iterator[Problem]:
        known = self.network.position
        for about in (self.needs, self.weights, self.fixed, self.groups):
            yield from (Problem("unknown task", (key,)) for key in about if key not in known)
        for name, crew in self.crews.items():
            if crew.count < 0 or any(not 0 <= away <= crew.count for away in crew.away.values()):
                yield Problem(
                    "crew count out of range", (name,), "0 or more, and no more away than there are"
                )
        for key, needs in self.needs.items():
            for name, count in needs.items():
                if name not in self.crews:
                    yield Problem("unknown crew", (key, name), ", ".join(self.crews))
                elif not 0 <= count <= self.crews[name].count:
                    yield Problem(
                        "needs more crews than there are", (key, name), f"at most {self.crews[name].count}"
                    )
        for key, weight in self.weights.items():
            if weight < 0:
                yield Problem("negative weight", (key,), "0 or more")
