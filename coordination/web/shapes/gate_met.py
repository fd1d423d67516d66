"""The conditions of a gate that are met, each with how."""

from dataclasses import dataclass

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from coordination.gates.queries import Scene
from coordination.gates.sentences import Names
from coordination.projects.models import Condition, Gate
from coordination.projects.stating import facts_of
from coordination.web.missing import sheet_of
from coordination.web.texts import said


@dataclass(frozen=True)
class MetLine:
    """A condition that is met, and how."""

    name: str
    state: str
    note: str
    href: str


def met_lines(scene: Scene, gate: Gate) -> list[MetLine]:
    """Each condition that is met, in the gate's order; signatures are shown on their own."""
    names = Names(scene.holding)
    shown = (_met(row, scene, names) for row in scene.holding.conditions_of[gate.pk])
    return [line for line in shown if line is not None]


def _met(row: Condition, scene: Scene, names: Names) -> MetLine | None:
    holding = scene.holding
    if row.kind == "task accepted":
        ready, task = scene.assessment.tasks.get(row.subject), holding.task_by_key.get(row.subject)
        if ready is None or task is None or not ready.satisfied:
            return None
        return MetLine(capfirst(names.task(row.subject)), ready.state, "", sheet_of(holding)(task))
    if row.kind == "gate cleared":
        gate = holding.gate_by_key.get(row.subject)
        if gate is None or holding.standing_clearing(gate) is None:
            return None
        return MetLine(names.gate(row.subject), "cleared", "", sheet_of(holding)(holding.task[gate.task_id]))
    if row.kind == "question answered":
        return _answered(row.subject, scene, names)
    return _shown(row, scene, names)


def _answered(fact: str, scene: Scene, names: Names) -> MetLine | None:
    entry = scene.holding.newest_entry.get(fact)
    if entry is None or entry.state != "known":
        return None
    said_by = _("%(typed)s, says %(who)s") % {"typed": entry.typed or entry.value, "who": entry.said_by}
    return MetLine(capfirst(_question(fact, scene) or names.fact(fact)), "known", said_by, "")


def _question(fact: str, scene: Scene) -> str:
    """The words of a fact that was asked; its question has left the plan when it is answered."""
    definition = facts_of(scene.holding.project, scene.holding.newest_entry).definitions.get(fact)
    return said(definition.text) if definition else ""


def _shown(row: Condition, scene: Scene, names: Names) -> MetLine | None:
    need = scene.holding.requirement_by_key.get(row.subject)
    if need is None or row.kind == "signature":
        return None
    how = scene.reading.how(need)
    present = (
        row.kind == "document present"
        and how in {"handed in", "none"}
        and scene.holding.shown[need.pk].standing
    )
    if how not in {"accepted", "conceded", "released"} and not present:
        return None
    task = scene.holding.task[need.task_id]
    state = how if how != "none" else "handed in"
    return MetLine(
        capfirst(names.requirement(row.subject)), state, names.task(task.key), sheet_of(scene.holding)(task)
    )
