"""Two plans side by side, by key: what was added, dropped, altered, left untouched."""

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, fields
from typing import Any, TypeVar

from coordination.siteprep.plan_parts import Plan, Task

Key = TypeVar("Key", bound=Hashable)


@dataclass(frozen=True)
class Alteration:
    """A task that stays but is not the same: the fields that differ, and its old key if it was renamed.

    ``requirements`` are the keys of those that are new or have other terms: what was accepted does not answer them.
    """

    key: str
    old_key: str
    fields: tuple[str, ...]
    requirements: tuple[str, ...] = ()


@dataclass(frozen=True)
class Change:
    """The difference between two plans. Tasks by key; links as (before, after, kind); the rest by key."""

    added: tuple[str, ...]
    dropped: tuple[str, ...]
    altered: tuple[Alteration, ...]
    untouched: tuple[str, ...]
    links_added: tuple[tuple[str, str, str], ...] = ()
    links_dropped: tuple[tuple[str, str, str], ...] = ()
    links_altered: tuple[tuple[str, str, str], ...] = ()
    questions_opened: tuple[str, ...] = ()
    questions_settled: tuple[str, ...] = ()
    quantities_altered: tuple[str, ...] = ()
    gates_altered: tuple[str, ...] = ()

    @property
    def is_nothing(self) -> bool:
        """True where both plans say the same."""
        return not any(getattr(self, each.name) for each in fields(self) if each.name != "untouched")


def compare(old: Plan, new: Plan) -> Change:
    """Return what accepting ``new`` in the place of ``old`` would change.

    A task is the same task if its key is the same, or if the new one says it ``was`` the old one.
    """
    before = {task.key: task for task in old.tasks}
    after = {task.key: task for task in new.tasks}
    pairs = {key: _ancestor(task, before, after) for key, task in after.items()}
    kept = {key: old_key for key, old_key in pairs.items() if old_key}
    altered = tuple(
        Alteration(key, old_key, differing, _unanswered(before[old_key], after[key]))
        for key, old_key in kept.items()
        if (differing := _differing(before[old_key], after[key]))
    )
    changed = {each.key for each in altered}
    links = _sorted_out({each.key: each for each in old.links}, {each.key: each for each in new.links})
    gates = _sorted_out({each.key: each for each in old.gates}, {each.key: each for each in new.gates})
    asked, still_asked = ([question.fact for question in plan.questions] for plan in (old, new))
    return Change(
        added=tuple(key for key in after if key not in kept),
        dropped=tuple(key for key in before if key not in kept.values()),
        altered=altered,
        untouched=tuple(key for key in kept if key not in changed),
        links_added=links[0],
        links_dropped=links[1],
        links_altered=links[2],
        questions_opened=tuple(fact for fact in still_asked if fact not in asked),
        questions_settled=tuple(fact for fact in asked if fact not in still_asked),
        quantities_altered=_quantities(old, new),
        gates_altered=tuple(key for keys in gates for key in keys),
    )


def _ancestor(task: Task, before: Mapping[str, Task], after: Mapping[str, Task]) -> str:
    if task.key in before:
        return task.key
    return next((old for old in task.was if old in before and old not in after), "")


def _differing(old: Task, new: Task) -> tuple[str, ...]:
    renamed = old.key != new.key
    found = []
    for each in fields(Task):
        one, other = getattr(old, each.name), getattr(new, each.name)
        if each.name == "requirements" and renamed:
            one, other = ([{**vars(r), "task": ""} for r in requirements] for requirements in (one, other))
        if one != other and each.name != "was":
            found.append(each.name)
    return tuple(found)


def _unanswered(old: Task, new: Task) -> tuple[str, ...]:
    terms = {each.key: each.terms() for each in old.requirements}
    return tuple(each.key for each in new.requirements if terms.get(each.key) != each.terms())


def _sorted_out(
    old: Mapping[Key, Any], new: Mapping[Key, Any]
) -> tuple[tuple[Key, ...], tuple[Key, ...], tuple[Key, ...]]:
    return (
        tuple(key for key in new if key not in old),
        tuple(key for key in old if key not in new),
        tuple(key for key in new if key in old and old[key] != new[key]),
    )


def _quantities(old: Plan, new: Plan) -> tuple[str, ...]:
    before, after = ({f"{each.key}@{each.place}": each for each in plan.quantities} for plan in (old, new))
    return tuple(key for keys in _sorted_out(before, after) for key in keys)
