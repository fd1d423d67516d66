"""How a slip of the end is shared among its causes.

Between two stored updates (a window) progress is applied first and changes of logic afterwards, so that each
has its own gain or loss: a contemporaneous period analysis, split, in the terms of AACE International
29R-03, Forensic Schedule Analysis. Where several causes act in one window each gets its Shapley value: the mean, over
all orders in which the causes could have come, of what the end moved when this one came. The value of a set of
causes is the slip of the end with only those present.

Source: L. S. Shapley, A value for n-person games, Contributions to the Theory of Games II (1953), from memory.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from itertools import pairwise
from math import factorial, sqrt
from typing import Generic, TypeVar

from .calendars import OutOfHorizon
from .critical_path import schedule
from .network import Link, Network, Task
from .passes import Passes

P = TypeVar("P", bound=Hashable)
MOST_EXACT = 16
ORDERS = 4000


@dataclass(frozen=True)
class Share(Generic[P]):
    """What one cause has to answer for, in the unit of the game (calendar days of the end).

    ``alone`` is the slip with this cause only, ``last_in`` what would be gained without it ("but for"): they
    bracket the question but add up to more or less than the slip. ``within`` is the half width of the 95 %
    interval when orders were sampled, 0 when all were counted.
    """

    cause: P
    share: Fraction
    alone: int
    last_in: int
    within: float = 0.0


def shares(
    causes: Sequence[P],
    value: Callable[[frozenset[P]], int],
    *,
    orders: int = ORDERS,
    seed: int = 1,
    most_exact: int = MOST_EXACT,
) -> tuple[Share[P], ...]:
    """The Shapley shares of ``causes``, in their order; ``value`` is called once for each set it needs.

    They add up to value(all) - value(none). Up to ``most_exact`` causes every set is counted, beyond that ``orders``
    random orders are drawn. Raises ValueError when a cause is listed twice.
    """
    if len(set(causes)) < len(causes):
        raise ValueError("cause listed twice")
    known = _Known(value)
    exact = len(causes) <= most_exact
    found = _counted(causes, known) if exact else _sampled(causes, known, orders, random.Random(seed))  # noqa: S311
    everything, none = known(frozenset(causes)), known(frozenset())
    return tuple(
        Share(
            cause,
            found[cause][0],
            known(frozenset([cause])) - none,
            everything - known(frozenset(causes) - {cause}),
            found[cause][1],
        )
        for cause in causes
    )


class _Known(Generic[P]):
    """A value function that remembers its answers."""

    def __init__(self, value: Callable[[frozenset[P]], int]) -> None:
        self._value, self._answers = value, dict[frozenset[P], int]()

    def __call__(self, causes: frozenset[P]) -> int:
        if causes not in self._answers:
            self._answers[causes] = self._value(causes)
        return self._answers[causes]


def _counted(causes: Sequence[P], value: Callable[[frozenset[P]], int]) -> dict[P, tuple[Fraction, float]]:
    count = len(causes)
    sets = [
        frozenset(cause for bit, cause in enumerate(causes) if mask >> bit & 1) for mask in range(1 << count)
    ]
    values = [value(chosen) for chosen in sets]
    weights = [factorial(size) * factorial(count - size - 1) for size in range(count)]
    found = {}
    for bit, cause in enumerate(causes):
        own = 1 << bit
        total = sum(
            weights[len(sets[mask])] * (values[mask | own] - values[mask])
            for mask in range(1 << count)
            if not mask & own
        )
        found[cause] = (Fraction(total, factorial(count)), 0.0)
    return found


def _sampled(
    causes: Sequence[P], value: Callable[[frozenset[P]], int], orders: int, chance: random.Random
) -> dict[P, tuple[Fraction, float]]:
    sums, squares = dict.fromkeys(causes, 0), dict.fromkeys(causes, 0)
    for _ in range(orders):
        present: frozenset[P] = frozenset()
        before = value(present)
        for cause in chance.sample(causes, len(causes)):
            present |= {cause}
            after = value(present)
            sums[cause] += after - before
            squares[cause] += (after - before) ** 2
            before = after
    found = {}
    for cause in causes:
        mean = Fraction(sums[cause], orders)
        variance = max(0.0, squares[cause] / orders - float(mean) ** 2)
        found[cause] = (mean, 1.96 * sqrt(variance / orders))
    return found


@dataclass(frozen=True)
class DelayEvent:
    """Something that happened to one task: ``longer`` working days more, or a date it had to wait for, or a link.

    ``party`` is who answers for it. Raises ValueError when it says nothing.
    """

    key: str
    party: str
    task: str
    longer: int = 0
    not_before: date | None = None
    link: Link | None = None

    def __post_init__(self) -> None:
        if not self.longer and self.not_before is None and self.link is None:
            raise ValueError(f"{self.key}: longer, not_before or link")


class DelayGame:
    """The slip of the end of ``network`` under any set of events: events that touch one task add up.

    Raises KeyError when an event names an unknown task, ValueError when it lengthens work that has no length
    left; OutOfHorizon, NetworkError.
    """

    def __init__(self, network: Network, events: Iterable[DelayEvent]) -> None:
        self.network, self.events = network, tuple(events)
        self._prepared: dict[frozenset[Link], Passes] = {}
        plain = self._passes(frozenset())
        for event in self.events:
            if not plain.lengths[plain.rank[event.task]] and event.longer:
                raise ValueError(f"{event.key}: {event.task} has no work to lengthen")
        self._before = self._end(frozenset())

    def slip(self, events: frozenset[DelayEvent]) -> int:
        """Calendar days by which the end is later with ``events`` than without any."""
        return self._end(events) - self._before

    def by_event(self) -> tuple[Share[DelayEvent], ...]:
        """Shares of the slip by event."""
        return shares(self.events, self.slip)

    def by_party(self) -> tuple[Share[str], ...]:
        """Shares of the slip by party: a game of its own, in which all events of a party come together.

        It is not the sum of the shares of the events.
        """
        parties = tuple(dict.fromkeys(event.party for event in self.events))
        return shares(
            parties, lambda chosen: self.slip(frozenset(e for e in self.events if e.party in chosen))
        )

    def _end(self, events: frozenset[DelayEvent]) -> int:
        passes = self._passes(frozenset(event.link for event in events if event.link))
        lengths, floors = passes.lengths[:], passes.floors[:]
        for event in events:
            rank = passes.rank[event.task]
            if event.longer:
                lengths[rank] = max(1, lengths[rank] + event.longer)
            if event.not_before and not passes.tasks[rank].started:
                held = passes.tables[rank].index[passes.number(event.not_before)]
                floors[rank] = max(floors[rank], held)
        try:
            return passes.forward(lengths, floors).end
        except IndexError:
            raise OutOfHorizon(self.network.first, self.network.last) from None

    def _passes(self, links: frozenset[Link]) -> Passes:
        if links not in self._prepared:
            in_order = (event.link for event in self.events if event.link in links)
            added = tuple(dict.fromkeys(link for link in in_order if link))
            self._prepared[links] = Passes(replace(self.network, links=self.network.links + added))
        return self._prepared[links]


@dataclass(frozen=True)
class Window:
    """One period between two updates: calendar days by which progress and changed logic moved the end.

    ``critical_chain`` is the chain that drove the end when the window closed, before the logic changed.
    """

    begin: date
    end: date
    progress: int
    logic: int
    critical_chain: tuple[str, ...]

    @property
    def slip(self) -> int:
        """Calendar days by which the end moved in all; negative when time was gained."""
        return self.progress + self.logic


def windows(updates: Sequence[Network]) -> tuple[Window, ...]:
    """The slip of each window between consecutive ``updates``; raises ValueError unless their data dates rise."""
    dates = [update.data_date or update.start for update in updates]
    if any(later <= earlier for earlier, later in pairwise(dates)):
        raise ValueError("updates: each data date after the one before")
    return tuple(_window(earlier, later) for earlier, later in pairwise(updates))


def _window(earlier: Network, later: Network) -> Window:
    before, after = schedule(earlier), schedule(later)
    between = schedule(with_progress_of(earlier, later))
    return Window(
        begin=earlier.data_date or earlier.start,
        end=later.data_date or later.start,
        progress=(between.end - before.end).days,
        logic=(after.end - between.end).days,
        critical_chain=between.critical_chain,
    )


def with_progress_of(earlier: Network, later: Network) -> Network:
    """The earlier network with what had happened by the later data date, its own plan for the rest."""
    happened: Mapping[str, Task] = {task.key: task for task in later.tasks}
    tasks = tuple(
        replace(task, started=seen.started, remaining=seen.remaining, finished=seen.finished)
        if (seen := happened.get(task.key))
        else task
        for task in earlier.tasks
    )
    return replace(earlier, tasks=tasks, data_date=later.data_date)
