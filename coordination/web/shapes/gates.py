"""The gates of a site in their order, how each stands, and what the visitor may do with it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.access.permissions import Scope, may
from coordination.access.visitors import Visitor
from coordination.gates.ordering import gates_in_order
from coordination.gates.queries import Scene
from coordination.gates.sentences import Names, held_by
from coordination.projects.models import Gate
from coordination.web.missing import sheet_of
from coordination.web.texts import on_day, said


@dataclass(frozen=True)
class GateLine:
    """One line of components/schedule.html."""

    name: str
    state: str
    note: str
    href: str


def gate_of(scene: Scene, task_uid: object) -> Gate | None:
    """The gate whose milestone is the task with this uid."""
    return next((row for row in scene.holding.gates if scene.holding.task[row.task_id].uid == task_uid), None)


def gate_lines(scene: Scene, days: Mapping[str, date]) -> list[GateLine]:
    """Every gate in its order."""
    address = sheet_of(scene.holding)
    return [
        GateLine(
            said(gate.derived.get("text", {})),
            state_of(scene, gate),
            _note(scene, gate, days),
            address(scene.holding.task[gate.task_id]),
        )
        for gate in gates_in_order(scene.holding)
    ]


def _note(scene: Scene, gate: Gate, days: Mapping[str, date]) -> str:
    clearing = scene.holding.standing_clearing(gate)
    if clearing is not None:
        return _("round %(number)s") % {"number": clearing.round}
    missing = scene.assessment.gates[gate.key].missing
    number, names = len(missing), Names(scene.holding)
    told = ngettext("%(number)s thing missing", "%(number)s things missing", number) % {"number": number}
    day = days.get(gate.key)
    told = _("%(missing)s; %(day)s") % {"missing": told, "day": on_day(day)} if day else told
    return " – ".join(filter(None, (told, held_by(missing[:1], names, phones=False))))


def state_of(scene: Scene, gate: Gate) -> str:
    """Its state; ``reopened`` for one that was cleared before and is held again."""
    state = scene.assessment.gates[gate.key].state
    before = any(row.gate_id == gate.pk for row in scene.holding.clearings)
    return "reopened" if before and state == "held" else state


def read_by(scene: Scene, gate: Gate) -> set[str]:
    """The keys of the work that the gate's conditions read."""
    return {row.subject.partition("#")[0] for row in scene.holding.conditions_of[gate.pk]}


def is_own(scene: Scene, gate: Gate) -> bool:
    """Whether the project added it beside the plan's."""
    return scene.holding.task[gate.task_id].own


def may_take_back(scene: Scene, gate: Gate, visitor: Visitor) -> bool:
    """Whether the visitor may take it back: a gate of the project's own that was never cleared."""
    never = all(row.gate_id != gate.pk for row in scene.holding.clearings)
    return is_own(scene, gate) and never and may(visitor, "add a gate")


def may_clear(gate: Gate, visitor: Visitor) -> bool:
    return may(visitor, "clear a gate", Scope(clears=gate.clears))
