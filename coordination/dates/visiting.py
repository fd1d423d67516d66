"""The visits of the lift crew as part of the network: what each waits for, and when the site is ready for it.

A visit is ready when everything that its work waits for from others is done. So each visit is one milestone more in
the network, behind the links that come into its work from outside; what hangs on the visit's own work is no part of
it. No draw of a forecast and no other date moves by that.
"""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Final

from coordination.scheduling.network import Link, Network, Task

WORK: Final[Mapping[str, tuple[str, ...]]] = {
    "rails": ("rails", "jack", "machine", "hang-door"),
    "return": ("adjust", "joint-pretest"),
    "inspection": ("acceptance",),
}
BEFORE = "visit "
BINDS_THE_START = ("FS", "SS")


def milestone_of(visit: str) -> str:
    """The key of a visit's milestone in a network; no task of a plan is called so."""
    return BEFORE + visit


def work_of(tasks: Iterable[Task], visit: str) -> list[Task]:
    """The tasks for which the crew comes."""
    entries = WORK.get(visit, ())
    return [task for task in tasks if task.key.partition("@")[0] in entries]


def with_visits(network: Network) -> Network:
    """``network`` with a milestone for each visit that is still to come."""
    coming = {visit: to_do for visit in WORK if (to_do := _not_begun(network, visit))}
    milestones = tuple(
        Task(milestone_of(visit), 0, to_do[0].calendar, milestone=True) for visit, to_do in coming.items()
    )
    links = [link for visit, to_do in coming.items() for link in _into(network, visit, to_do)]
    return replace(network, tasks=(*network.tasks, *milestones), links=(*network.links, *links))


def _not_begun(network: Network, visit: str) -> list[Task]:
    return [task for task in work_of(network.tasks, visit) if task.started is None]


def _into(network: Network, visit: str, to_do: list[Task]) -> list[Link]:
    """What the visit waits for from others: one link for each task before it and kind."""
    own = {task.key for task in work_of(network.tasks, visit)}
    behind = _behind(network, own)
    calendar = {task.key: task.calendar for task in to_do}
    found: dict[tuple[str, str, str, str | None], Link] = {}
    for link in network.links:
        if link.after not in calendar or link.before in own | behind or link.kind not in BINDS_THE_START:
            continue
        counted_in = link.calendar or (calendar[link.after] if link.unit == "working" else None)
        into = replace(link, after=milestone_of(visit), calendar=counted_in)
        place = (link.before, link.kind, link.unit, counted_in)
        if place not in found or found[place].lag < link.lag:
            found[place] = into
    return list(found.values())


def _behind(network: Network, keys: set[str]) -> set[str]:
    """Every task that hangs on one of ``keys``."""
    after: dict[str, list[str]] = {}
    for link in network.links:
        after.setdefault(link.before, []).append(link.after)
    found: set[str] = set()
    to_follow = [*keys]
    while to_follow:
        new = set(after.get(to_follow.pop(), ())) - found
        found |= new
        to_follow += new
    return found
