"""A clearing's snapshot: canonical JSON of everything behind a gate, from which its papers are made for ever.

No row's own key is in it: uids and keys only. Lengths are nanometres; days are ISO dates, times ISO with offset, UTC.
"""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from functools import cached_property

from coordination.evidence.models import Evidence
from coordination.gates.frozen_holds import earlier_rounds, inspected, witnessed
from coordination.gates.frozen_site import FrozenSite
from coordination.gates.frozen_work import FrozenWork, Values, how_met, moment_of
from coordination.gates.ordering import last_gate
from coordination.gates.scene import Scene
from coordination.projects.models import Condition, Gate, Task
from coordination.readiness import Assessment, assess
from coordination.record.actions import Pen
from coordination.record.chaining import canonical

FORMAT = 1


def snapshot_of(scene: Scene, gate: Gate, pen: Pen, unpictured: Mapping[int, str] | None = None) -> str:
    """Everything a paper about ``gate`` needs, as canonical JSON. Called when nothing is missing any more.

    ``unpictured`` says, by the evidence's own key, why there is no copy of a photo to be printed.
    """
    return canonical(_Snapshot(scene, gate).values(pen, unpictured or {}))


def pictured_in(scene: Scene, gate: Gate) -> list[Evidence]:
    """The photos that the snapshot of ``gate`` shows."""
    return [
        item.evidence
        for task in _tasks(scene, gate)
        for row in scene.holding.requirements_of[task.pk]
        for item in scene.holding.shown[row.pk].standing
        if item.evidence.blob_id is not None
    ]


class _Snapshot(FrozenSite):
    """One snapshot while it is written."""

    def __init__(self, scene: Scene, gate: Gate) -> None:
        super().__init__(scene)
        self.gate = gate
        self.included = _tasks(scene, gate)

    def values(self, pen: Pen, unpictured: Mapping[int, str]) -> Values:
        work = FrozenWork(self.scene, self.judged, unpictured)
        return {
            "format": FORMAT,
            "project": self.project(),
            "gate": self.of_gate(pen.at),
            "plan": self.of_plan(),
            "head_before": {"length": pen.length, "hash": pen.head},
            "facts": self.facts(),
            "drawing": self.drawing(),
            "places": self.places(),
            "quantities": self.quantities(),
            "conditions": [self.condition(row) for row in self.holding.conditions_of[self.gate.pk]],
            "tasks": [work.task(task) for task in self.included],
            "states": {key: ready.state for key, ready in self.judged.tasks.items()},
            **self.let_go(),
            "witness_points": witnessed(self.holding, self.included),
            "inspections": inspected(self.holding, self.judged),
            "rounds": earlier_rounds(self.holding, self.gate),
            "signatures": self.signatures(),
            "authorities": self.authorities(),
            "companies": self.companies(),
            "remarks": [],
            "cautions": self.cautions(),
        }

    @cached_property
    def judged(self) -> Assessment:
        """How everything stands with this gate cleared: what the paper is about."""
        gates = tuple(
            replace(item, cleared=True) if item.key == self.gate.key else item
            for item in self.scene.standing.gates
        )
        return assess(replace(self.scene.standing, gates=gates))

    def of_gate(self, at: datetime) -> Values:
        return {
            "key": self.gate.key,
            "uid": str(self.gate.uid),
            "text": self.gate.derived.get("text", {}),
            "round": self.holding.round_of(self.gate),
            "cleared_at": moment_of(at),
            "order": self.gate.order,
            "clears": self.gate.clears,
            "own": self.holding.task[self.gate.task_id].own,
            "cautions": list(self.gate.derived.get("cautions", ())),
            "digest": self.scene.reading.digest(self.gate),
        }

    def condition(self, row: Condition) -> Values:
        return {
            "kind": row.kind,
            "subject": row.subject,
            "met": True,
            "how": self._how_met(row),
            "text": self._condition_text(row),
        }

    def _how_met(self, row: Condition) -> str:
        fixed = {
            "task accepted": "accepted",
            "question answered": "answered",
            "gate cleared": "cleared",
            "signature": "signed",
            "document present": "present",
        }
        if row.kind in fixed:
            return fixed[row.kind]
        return how_met(self.holding.requirement_by_key[row.subject], self.scene)

    def _condition_text(self, row: Condition) -> Mapping[str, str]:
        holding = self.holding
        if row.kind == "task accepted" and row.subject in holding.task_by_key:
            return dict(holding.task_by_key[row.subject].derived.get("text", {}))
        if row.kind == "gate cleared" and row.subject in holding.gate_by_key:
            return dict(holding.gate_by_key[row.subject].derived.get("text", {}))
        if row.subject in holding.requirement_by_key:
            return dict(holding.requirement_by_key[row.subject].terms.get("text", {}))
        return self._fact_text(row.subject)

    def signatures(self) -> list[Values]:
        """Those that count: given for this round and for exactly this standing."""
        current, digest = self.holding.round_of(self.gate), self.scene.reading.digest(self.gate)
        return [
            {
                "role": row.role,
                "name": row.signed_name,
                "at": moment_of(row.at),
                "statement": row.statement,
            }
            for row in self.holding.signatures
            if row.gate_id == self.gate.pk and row.round == current and row.digest == digest
        ]

    def cautions(self) -> list[Values]:
        """Those of the gate and of its work, in that order."""
        keys = [
            *self.gate.derived.get("cautions", ()),
            *(key for task in self.included for key in task.derived.get("cautions", ())),
        ]
        return self.texts_of_cautions(keys)


def _tasks(scene: Scene, gate: Gate) -> list[Task]:
    """The work that the gate's conditions read, place by place; for the last gate, all of it."""
    holding = scene.holding
    live = [task for task in holding.tasks if task.retired_in is None and not task.is_gate]
    if gate == last_gate(holding):
        return live
    subjects = {row.subject.partition("#")[0] for row in holding.conditions_of[gate.pk]}
    return [task for task in live if task.key in subjects]
