"""As planned against as built: windows between kept baselines, and what each one's slip is made of."""

import hashlib
from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from itertools import pairwise
from threading import Lock

from coordination.access.models import Project
from coordination.dates.baselines import network_of_baseline
from coordination.dates.delay_reading import Behind, Reading
from coordination.dates.models import Baseline
from coordination.dates.queries import schedule_of
from coordination.record.chaining import canonical
from coordination.scheduling.attribution import Account, account, parts_of
from coordination.scheduling.critical_path import schedule
from coordination.scheduling.network import Network
from coordination.scheduling.network_writing import network_as_json

MOST_KEPT = 256


@dataclass(frozen=True)
class WindowAccount:
    """One window with its causes: ``behind`` by key, and what changed the plan itself."""

    account: Account
    behind: tuple[Behind, ...]
    facts: tuple[str, ...]
    plans: int
    baseline: str

    @property
    def slip(self) -> int:
        return self.account.progress + self.account.logic


@dataclass(frozen=True)
class GateDays:
    """A gate's milestone: the day that the first baseline had for it, and the day it was cleared or is expected."""

    key: str
    planned: date
    now: date
    cleared: bool


@dataclass(frozen=True)
class DelayAccount:
    """The whole of a project since its first baseline. ``parties`` adds up the windows' shares by party."""

    windows: tuple[WindowAccount, ...]
    gates: tuple[GateDays, ...]
    planned: date | None
    expected: date | None
    parties: tuple[tuple[str, Fraction], ...]
    baselines: tuple[Baseline, ...]

    @property
    def slip(self) -> int:
        """Calendar days by which the end has moved in all."""
        return (self.expected - self.planned).days if self.planned and self.expected else 0


def delay_account(project: Project, today: date) -> DelayAccount:
    """The account of ``project`` as it stands on ``today``. Raises NetworkError, OutOfHorizon."""
    baselines = tuple(Baseline.objects.filter(project=project).order_by("number"))
    kept = [(row.reason, network_of_baseline(row)) for row in baselines if row.network]
    now = schedule_of(project, today).schedule.network
    updates = _updates(kept, now)
    reading = Reading(project)
    windows = tuple(
        _window(reading, reason, earlier, later) for (reason, earlier), (_, later) in pairwise(updates)
    )
    totals: dict[str, Fraction] = {}
    for window in windows:
        for share in window.account.parties:
            totals[share.cause] = totals.get(share.cause, Fraction(0)) + share.share
    first, last = (updates[0][1], updates[-1][1]) if updates else (None, None)
    return DelayAccount(
        windows,
        _gates(first, last) if first and last else (),
        schedule(first).last_day if first else None,
        schedule(last).last_day if last else None,
        tuple(
            sorted(
                ((party, days) for party, days in totals.items() if days),
                key=lambda each: (-each[1], each[0]),
            )
        ),
        baselines,
    )


def _updates(kept: Sequence[tuple[str, Network]], now: Network) -> list[tuple[str, Network]]:
    """The last update of each day, up to the one on which everything was done."""
    found: list[tuple[str, Network]] = []
    for reason, network in [*kept, ("", now)] if kept else []:
        if found and all(task.finished for task in found[-1][1].tasks):
            break
        if found and _day(network) <= _day(found[-1][1]):
            if reason:
                found[-1] = reason, network
            continue
        found.append((reason, network))
    return found


def _window(reading: Reading, reason: str, earlier: Network, later: Network) -> WindowAccount:
    begin, end = _day(earlier), _day(later)
    behind = tuple(reading.behind(parts_of(earlier, later), earlier, begin, end))
    facts, plans = reading.changes(begin, end)
    return WindowAccount(_accounted(earlier, later, behind), behind, facts, plans, reason)


_accounts: OrderedDict[str, Account] = OrderedDict()
_lock = Lock()


def _accounted(earlier: Network, later: Network, behind: Sequence[Behind]) -> Account:
    """The account of one window, kept in this process: a window that is over does not change any more."""
    told = [network_as_json(earlier), network_as_json(later), repr([each.cause for each in behind])]
    key = hashlib.sha256(canonical({"window": told}).encode()).hexdigest()
    with _lock:
        if key in _accounts:
            _accounts.move_to_end(key)
            return _accounts[key]
    made = account(earlier, later, [each.cause for each in behind])
    with _lock:
        _accounts[key] = made
        while len(_accounts) > MOST_KEPT:
            _accounts.popitem(last=False)
    return made


def _gates(first: Network, last: Network) -> tuple[GateDays, ...]:
    planned, now = schedule(first).tasks, schedule(last)
    found = [
        GateDays(
            task.key,
            planned[task.key].early_last_day,
            task.finished or now.tasks[task.key].early_last_day,
            task.finished is not None,
        )
        for task in last.tasks
        if task.milestone and task.key in first.position
    ]
    return tuple(sorted(found, key=lambda gate: (gate.planned, gate.key)))


def _day(network: Network) -> date:
    return network.data_date or network.start
