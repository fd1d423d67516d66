"""What a change costs when work is done already: what must be done again, opened up, or comes out of order.

Keys only; a shell puts companies, days and money to them.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from coordination.siteprep.comparing import Alteration, Change
from coordination.siteprep.plan_parts import Plan

Why = Literal["added", "altered", "dropped", "waited for"]
Kind = Literal["do again", "look again", "open up", "out of order", "not needed"]
_Links = Mapping[str, tuple[str, ...]]


@dataclass(frozen=True)
class Rework:
    """One task to which work comes back, or whose work was for nothing.

    ``covered_by`` are the done tasks that hide its work (poured over, closed in), one behind another;
    ``after`` the other done tasks that should have waited for it. ``requirements`` are the keys that what
    was accepted does not answer, for an altered task.
    """

    task: str
    why: Why
    kind: Kind
    covered_by: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    requirements: tuple[str, ...] = ()


def rework(change: Change, done: frozenset[str], plan: Plan) -> tuple[Rework, ...]:
    """Return what accepting ``change`` costs in work done, in the order of ``plan``; dropped tasks come last.

    ``done`` holds the keys of tasks that are finished (of either plan), ``plan`` is the new one.
    "do again": done under other terms. "look again": done, and only its first line reads otherwise.
    "open up": not done, and done work hides its place. "out of order": not done, and done work should have
    waited for it. "not needed": done, and no longer in the plan.
    """
    altered = {each.key: each for each in change.altered}
    finished = done | {each.key for each in change.altered if each.old_key in done}
    ground = _Ground(plan, finished)
    found = [
        *(_of_new(key, "added", ground) for key in change.added),
        *(_of_altered(each, ground) for each in altered.values()),
        *_waited_for(change, ground, {*change.added, *altered}),
    ]
    order = {task.key: place for place, task in enumerate(plan.tasks)}
    kept = sorted((each for each in found if each), key=lambda each: order[each.task])
    return (*kept, *(Rework(key, "dropped", "not needed") for key in change.dropped if key in done))


class _Ground:
    """The new plan's links and what is finished, for asking what lies behind a task."""

    def __init__(self, plan: Plan, finished: frozenset[str]) -> None:
        self.finished = finished
        self._order = {task.key: place for place, task in enumerate(plan.tasks)}
        # SF binds only the end of the later task, which may well be done before: a guard before the digging.
        self._after = _nexts(plan, lambda kind: kind != "SF")
        self._covering = _nexts(plan, lambda kind: kind == "covers")

    def covered_by(self, key: str) -> tuple[str, ...]:
        return self._done(_reached(key, self._covering))

    def after(self, key: str) -> tuple[str, ...]:
        return self._done(_reached(key, self._after) - _reached(key, self._covering))

    def _done(self, keys: set[str]) -> tuple[str, ...]:
        return tuple(sorted(keys & self.finished, key=self._order.__getitem__))


def _of_new(key: str, why: Why, ground: _Ground) -> Rework | None:
    covered_by, after = ground.covered_by(key), ground.after(key)
    if covered_by:
        return Rework(key, why, "open up", covered_by, after)
    return Rework(key, why, "out of order", (), after) if after else None


def _of_altered(altered: Alteration, ground: _Ground) -> Rework | None:
    """Return what an altered task costs: nothing before it is begun, nothing where only sources or words moved."""
    key, asked = altered.key, altered.requirements
    if key not in ground.finished or not (asked or "first_line" in altered.fields):
        return None
    kind: Kind = "do again" if asked else "look again"
    return Rework(key, "altered", kind, ground.covered_by(key), ground.after(key), asked)


def _waited_for(change: Change, ground: _Ground, told: set[str]) -> Iterator[Rework | None]:
    """Yield tasks that are as before and not done, yet done work waits for them now."""
    late = {
        before
        for before, after, kind in change.links_added
        if kind != "SF" and before not in ground.finished and after in ground.finished
    }
    for key in sorted(late - told):
        yield _of_new(key, "waited for", ground)


def _nexts(plan: Plan, wanted: Callable[[str], bool]) -> _Links:
    found: dict[str, list[str]] = {}
    for link in plan.links:
        if wanted(link.kind):
            found.setdefault(link.before, []).append(link.after)
    return {key: tuple(after) for key, after in found.items()}


def _reached(key: str, links: _Links) -> set[str]:
    """Return every task behind ``key`` along ``links``, itself left out."""
    seen: set[str] = set()
    waiting = [key]
    while waiting:
        for after in links.get(waiting.pop(), ()):
            if after not in seen:
                seen.add(after)
                waiting.append(after)
    return seen
