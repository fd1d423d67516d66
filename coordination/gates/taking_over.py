"""Offers that a task may take over by beginning: what it builds on and does not hide."""

from collections.abc import Collection
from dataclasses import dataclass, replace
from uuid import UUID

from coordination.gates.models import Offer
from coordination.gates.scene import Scene
from coordination.projects.models import Link, Task
from coordination.readiness import Missing, assess


@dataclass(frozen=True)
class Takeable:
    """One standing offer that nobody has answered for the task, and the handoff links between the two."""

    offer: Offer
    links: tuple[Link, ...]


def takeable(scene: Scene, task: Task) -> tuple[Takeable, ...]:
    """The offers to ``task``. Work that it hides is left out: that must have been accepted before."""
    holding = scene.holding
    into = [link for link in holding.links if link.after_id == task.pk]
    hidden = {link.before_id for link in into if link.kind == "covers"}
    found: dict[int, list[Link]] = {}
    for link in into:
        if link.handoff and link.before_id not in hidden and holding.task[link.before_id].retired_in is None:
            found.setdefault(link.before_id, []).append(link)
    return tuple(
        Takeable(offer, tuple(links))
        for before, links in found.items()
        if (offer := holding.newest_offer.get(before)) is not None
        and offer.ended_at is None
        and not any((offer.pk, link.pk) in holding.answer_to for link in links)
    )


def missing_with(scene: Scene, task: Task, taken: Collection[Takeable]) -> tuple[Missing, ...]:
    """What would still keep ``task`` from beginning, were these offers accepted for it."""
    if not taken:
        return scene.ready(task).start_missing
    pairs = {(scene.holding.task[each.offer.task_id].key, task.key) for each in taken}
    links = tuple(
        replace(link, answer="accepted") if link.handoff and (link.before, link.after) in pairs else link
        for link in scene.standing.links
    )
    return assess(replace(scene.standing, links=links)).tasks[task.key].start_missing


def begins_with(scene: Scene, task: Task) -> tuple[Takeable, ...]:
    """The offers that are all that still keeps ``task`` from beginning; none where something else is missing too."""
    if task.begun_on is not None or scene.ready(task).may_start:
        return ()
    every = takeable(scene, task)
    return every if every and not missing_with(scene, task, every) else ()


def named(every: Collection[Takeable], offers: Collection[UUID]) -> tuple[Takeable, ...]:
    """Those that were ticked."""
    return tuple(each for each in every if each.offer.uid in offers)
