"""What a receiver builds on: the requirements that matter to it on top, each with who showed it, with what and when."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from coordination.access.visitors import Visitor
from coordination.gates.queries import Scene
from coordination.projects.models import Link, Requirement
from coordination.siteprep.receiving import seen_first
from coordination.web.shapes.needs import Need, needs_of
from coordination.web.shapes.photos import by_whom

MEASURED = frozenset({"reading", "series"})


@dataclass(frozen=True)
class Measured:
    """A reading for the next trade. ``at`` is when it was taken, else when it came; None where nobody measured."""

    need: Need
    instrument: str
    by: str
    at: datetime | None


@dataclass(frozen=True)
class Matters:
    """Readings, then photos, papers and signatures, for components/matters.html."""

    readings: tuple[Measured, ...] = ()
    shown: tuple[Need, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.readings or self.shown)


def matters_of(link: Link, scene: Scene, visitor: Visitor) -> tuple[Matters, Matters]:
    """What matters to the receiver of ``link``, and the rest of what the finished work shows.

    Where the rules name nothing for it, lift-critical requirements come first; where there are none of those, all do.
    """
    holding = scene.holding
    before, after = holding.task[link.before_id], holding.task[link.after_id]
    rows = {holding.key_of(row): row for row in holding.requirements_of[before.pk]}
    needs = needs_of(before, scene, visitor)
    named = seen_first(holding.catalogue.tasks, before.entry, after.entry)
    order = {f"{before.key}#{key}": place for place, key in enumerate(named)}
    first = sorted((need for need in needs if need.key in order), key=lambda need: order[need.key])
    first = first or [need for need in needs if need.lift_critical] or needs
    rest = [need for need in needs if need not in first]
    return _matters(first, rows, scene), _matters(rest, rows, scene)


def _matters(needs: Sequence[Need], rows: dict[str, Requirement], scene: Scene) -> Matters:
    return Matters(
        tuple(_measured(need, rows[need.key], scene) for need in needs if need.form_kind in MEASURED),
        tuple(need for need in needs if need.form_kind not in MEASURED),
    )


def _measured(need: Need, row: Requirement, scene: Scene) -> Measured:
    counted = scene.holding.shown[row.pk].counted
    newest = next((item.evidence for item in reversed(counted) if item.evidence.value is not None), None)
    if newest is None:
        return Measured(need, "", "", None)
    return Measured(need, newest.instrument, by_whom(newest), newest.taken_at or newest.received_at)
