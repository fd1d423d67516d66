"""A clearing's snapshot: canonical JSON of everything behind a gate, from which its papers are made for ever.

No row's own key is in it: uids and keys only. Lengths are nanometres; days are ISO dates, times ISO with offset, UTC.
"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime
from functools import cached_property
from typing import Any

from coordination.evidence.models import Evidence
from coordination.gates.building_numbers import drawing_numbers
from coordination.gates.frozen_work import FrozenWork, Values, day_of, moment_of
from coordination.gates.holding import Holding
from coordination.gates.models import Concession
from coordination.gates.ordering import last_gate
from coordination.gates.scene import Scene
from coordination.projects.deriving import read_plan
from coordination.projects.models import Condition, Gate, PlanRevision, Task
from coordination.projects.stating import facts_of
from coordination.readiness import Assessment, assess
from coordination.record.actions import Pen
from coordination.record.chaining import canonical
from coordination.siteprep.facts import Facts
from coordination.siteprep.plan_parts import Plan

FORMAT = 1


def snapshot_of(scene: Scene, gate: Gate, pen: Pen) -> str:
    """Everything a paper about ``gate`` needs, as canonical JSON. Called when nothing is missing any more."""
    return canonical(_Snapshot(scene, gate).values(pen))


def pictured_in(scene: Scene, gate: Gate) -> list[Evidence]:
    """The photos that the snapshot of ``gate`` shows."""
    return [
        item.evidence
        for task in _tasks(scene, gate)
        for row in scene.holding.requirements_of[task.pk]
        for item in scene.holding.shown[row.pk].standing
        if item.evidence.blob_id is not None
    ]


class _Snapshot:
    """One snapshot while it is written."""

    def __init__(self, scene: Scene, gate: Gate) -> None:
        self.scene, self.gate = scene, gate
        self.holding: Holding = scene.holding
        self.included = _tasks(scene, gate)

    def values(self, pen: Pen) -> Values:
        work = FrozenWork(self.scene, self.cleared)
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
            "states": {key: ready.state for key, ready in self.cleared.tasks.items()},
            "concessions": [self.concession(row) for row in self.concessions()],
            "signatures": self.signatures(),
            "authorities": self.authorities(),
            "companies": self.companies(),
            "remarks": [],
            "cautions": self.cautions(),
        }

    @cached_property
    def cleared(self) -> Assessment:
        """How everything stands with this gate cleared: what the paper is about."""
        gates = tuple(
            replace(item, cleared=True) if item.key == self.gate.key else item
            for item in self.scene.standing.gates
        )
        return assess(replace(self.scene.standing, gates=gates))

    @cached_property
    def revision(self) -> PlanRevision | None:
        """The standing plan with its text, which the holding leaves in the database."""
        return PlanRevision.objects.filter(project=self.holding.project).order_by("-number").first()

    @cached_property
    def plan(self) -> Plan | None:
        return read_plan(self.revision.derived) if self.revision else None

    @cached_property
    def known(self) -> Facts:
        return facts_of(self.holding.project, self.holding.newest_entry)

    def project(self) -> Values:
        project = self.holding.project
        return {
            "uid": str(project.uid),
            "name": project.name,
            "place": project.place,
            "zone": project.zone,
            "code_set": project.code_set,
            "supplier": str(project.supplier.uid),
            "supplier_name": project.supplier.name,
        }

    def of_gate(self, at: datetime) -> Values:
        return {
            "key": self.gate.key,
            "uid": str(self.gate.uid),
            "text": self.gate.derived.get("text", {}),
            "round": self.holding.round_of(self.gate),
            "cleared_at": moment_of(at),
            "order": self.gate.order,
            "clears": self.gate.clears,
            "cautions": list(self.gate.derived.get("cautions", ())),
            "digest": self.scene.reading.digest(self.gate),
        }

    def of_plan(self) -> Values:
        return {
            "revision": self.revision.number if self.revision else 0,
            "catalogue_sha": self.revision.catalogue_sha if self.revision else "",
            "drawing_revision": (self.plan.drawing_revision if self.plan else "") or None,
        }

    def facts(self) -> list[Values]:
        return [
            {
                "key": entry.key,
                "text": self._fact_text(entry.key),
                "state": entry.state,
                "value": entry.value,
                "typed": entry.typed,
                "said_by": entry.said_by,
                "source": entry.source,
                "said_on": day_of(entry.said_on),
            }
            for _key, entry in sorted(self.holding.newest_entry.items())
        ]

    def _fact_text(self, key: str) -> Mapping[str, str]:
        definition = self.known.definitions.get(key)
        return dict(definition.text) if definition else {}

    def drawing(self) -> Values | None:
        return drawing_numbers(self.known, self.plan) if self.plan and self.known.landings else None

    def places(self) -> list[Values]:
        states = self.cleared.places
        return [
            {
                "key": place.key,
                "kind": place.kind,
                "text": dict(place.text),
                "landing": place.landing,
                "side": place.side,
                "state": states.get(place.key, "done"),
            }
            for place in (self.plan.places if self.plan else ())
        ]

    def quantities(self) -> list[Values]:
        return [
            {
                "key": item.key,
                "place": item.place,
                "text": dict(item.text),
                "value": item.value,
                "unit": item.unit,
                "source": _plain(vars(item.source)),
            }
            for item in (self.plan.quantities if self.plan else ())
        ]

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
        return self.scene.reading.how(self.holding.requirement_by_key[row.subject])

    def _condition_text(self, row: Condition) -> Mapping[str, str]:
        holding = self.holding
        if row.kind == "task accepted" and row.subject in holding.task_by_key:
            return dict(holding.task_by_key[row.subject].derived.get("text", {}))
        if row.kind == "gate cleared" and row.subject in holding.gate_by_key:
            return dict(holding.gate_by_key[row.subject].derived.get("text", {}))
        if row.subject in holding.requirement_by_key:
            return dict(holding.requirement_by_key[row.subject].terms.get("text", {}))
        return self._fact_text(row.subject)

    def concessions(self) -> Iterable[Concession]:
        """Every one that stands, of this and of every earlier gate: shown on each later paper."""
        standing = self.holding.standing_concession.values()
        return sorted(standing, key=lambda row: (row.event_id, str(row.uid)))

    def concession(self, row: Concession) -> Values:
        requirement = next(need for need in self.holding.requirements if need.pk == row.requirement_id)
        return {
            "uid": str(row.uid),
            "requirement": self.holding.key_of(requirement),
            "text": requirement.terms.get("text", {}),
            "kind": row.kind,
            "reason": row.reason,
            "scope": row.scope,
            "expires_on": day_of(row.expires_on),
            "voices": [
                {"role": voice.role, "name": voice.spoken_name, "at": moment_of(voice.at)}
                for voice in self.holding.voices_of[row.pk]
            ],
        }

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

    def authorities(self) -> list[Values]:
        return [
            {
                "kind": row.kind,
                "name": row.name,
                "permit": row.permit,
                "permit_on": day_of(row.permit_on),
            }
            for row in self.holding.authorities
        ]

    def companies(self) -> list[Values]:
        return sorted(
            (
                {"trade": row.trade, "name": row.company.name, "phone": row.company.phone}
                for row in self.holding.assignments
            ),
            key=lambda item: item["trade"],
        )

    def cautions(self) -> list[Values]:
        """Those of the gate and of its work, in that order."""
        keys = [
            *self.gate.derived.get("cautions", ()),
            *(key for task in self.included for key in task.derived.get("cautions", ())),
        ]
        texts = self.plan.cautions if self.plan else {}
        return [{"key": key, "text": dict(texts.get(key, {}))} for key in dict.fromkeys(keys)]


def _tasks(scene: Scene, gate: Gate) -> list[Task]:
    """The work that the gate's conditions read, place by place; for the last gate, all of it."""
    holding = scene.holding
    live = [task for task in holding.tasks if task.retired_in is None and not task.is_gate]
    if gate == last_gate(holding):
        return live
    subjects = {row.subject.partition("#")[0] for row in holding.conditions_of[gate.pk]}
    return [task for task in live if task.key in subjects]


def _plain(values: Any) -> Any:
    return json.loads(canonical(values))
