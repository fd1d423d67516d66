"""Joining tasks by links: which instance waits for which, and no ring among them."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from coordination.siteprep.asking import Asked
from coordination.siteprep.catalogue import Catalogue
from coordination.siteprep.entries import Bound, LinkEntry
from coordination.siteprep.filling import Filling
from coordination.siteprep.plan_parts import Link, Place, Task
from coordination.siteprep.toml_tables import CatalogueError


@dataclass(frozen=True)
class Ground:
    """What links are drawn on: the rules, the planned tasks by entry, the places by key."""

    catalogue: Catalogue
    tasks: Mapping[str, list[Task]]
    places: Mapping[str, Place]


def links_between(ground: Ground, filling: Filling, asked: Asked) -> Iterator[Link]:
    """Yield the links of every task that is planned. A link that may or may not apply is kept."""
    for task in (task for tasks in ground.tasks.values() for task in tasks):
        place = ground.places[task.place]
        for entry in ground.catalogue.tasks[task.entry].links:
            condition = entry.when.at(place.landing) if place.landing else entry.when
            applies = condition.truth(filling.facts)
            asked.note(applies.unknown, task.key)
            if applies.value is not False:
                asked.note(filling.wanting(entry.lag.quantity), task.key)
                for before in _waited_for(entry, task, ground):
                    yield _link(entry, before, task, filling.at(place))


def _lag(lag: Bound, filling: Filling) -> int:
    """Return the days of a lag: as written, from a fact, or worked out for this job."""
    if lag.quantity:
        days: object = filling.figure(lag.quantity)
    else:
        days = filling.facts.reckoned(lag.fact) if lag.fact else lag.number
    return days if isinstance(days, int) else 0


def _link(entry: LinkEntry, before: Task, after: Task, filling: Filling) -> Link:
    return Link(
        before.key,
        after.key,
        entry.kind,
        _lag(entry.lag, filling),
        entry.unit,
        entry.handoff,
        filling.text(entry.note),
    )


def _waited_for(entry: LinkEntry, task: Task, ground: Ground) -> Iterator[Task]:
    """Yield the tasks of one entry that ``task`` waits for.

    At a landing these are the ones of the same landing, and of the same opening where both stand at one.
    """
    place, rules = ground.places[task.place], ground.catalogue.tasks
    openings = rules[entry.task].spread == rules[task.entry].spread == "opening"
    for before in ground.tasks.get(entry.task, []):
        other = ground.places[before.place]
        apart = None not in (other.landing, place.landing) and other.landing != place.landing
        across = openings and other.side != place.side
        if entry.everywhere or not (apart or across):
            yield before


def once(links: Iterable[Link]) -> tuple[Link, ...]:
    """Drop repeated links, and plain FS links where a covers link says the same and more."""
    listed = list(links)
    covered = {(link.before, link.after) for link in listed if link.kind == "covers"}
    found: dict[tuple[str, str, str], Link] = {}
    for link in listed:
        if link.kind != "FS" or (link.before, link.after) not in covered:
            found.setdefault(link.key, link)
    return tuple(found.values())


def refuse_rings(keys: list[str], links: Iterable[Link]) -> None:
    """Raise CatalogueError naming the tasks of a ring, if links lead round in one."""
    waits: dict[str, set[str]] = {key: set() for key in keys}
    for link in links:
        waits[link.after].add(link.before)
    while free := [key for key, before in waits.items() if not before]:
        for key in free:
            del waits[key]
        for before in waits.values():
            before.difference_update(free)
    if waits:
        ring = _ring(waits)
        raise CatalogueError(
            "catalogue", "tasks", "after", "wait for each other in a ring: " + " <- ".join(ring)
        )


def _ring(waits: Mapping[str, set[str]]) -> list[str]:
    seen: list[str] = []
    key = min(waits)
    while key not in seen:
        seen.append(key)
        key = min(waits[key])
    return [*seen[seen.index(key) :], key]
