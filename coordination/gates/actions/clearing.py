"""Clearing a gate: everything it reads is frozen, and what lies behind it may start."""

import hashlib
from contextlib import suppress
from datetime import datetime
from uuid import UUID

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import Scope, require
from coordination.access.visitors import Visitor
from coordination.dates.baselines import take_baseline
from coordination.evidence.renditions import pictures_without_copy
from coordination.gates.models import Clearing
from coordination.gates.refusals import GateNotReady
from coordination.gates.scene import look_at
from coordination.gates.snapshots import pictured_in, snapshot_of
from coordination.projects.models import Task
from coordination.scheduling.calendars import OutOfHorizon
from coordination.scheduling.network import NetworkError


def clear_gate(project: Project, visitor: Visitor, at: datetime, gate_uid: UUID) -> Clearing:
    """Clear a gate when nothing is missing, with a snapshot of everything behind it.

    Raises GateNotReady with every missing thing and who owes it, NotAllowed, NotVisible, LeftThePlan.
    Clearing twice is harmless: the standing clearing is given back.
    """
    unpictured = _make_pictures(project, at, gate_uid)
    with deciding(project, visitor, at) as pen:
        scene = look_at(project, at)
        gate = scene.gate(gate_uid)
        require(visitor, "clear a gate", Scope(clears=gate.clears))
        if standing := scene.holding.standing_clearing(gate):
            pen.leave_as_it_is()
            return standing
        if missing := scene.assessment.gates[gate.key].missing:
            raise GateNotReady(*missing)
        snapshot = snapshot_of(scene, gate, pen, unpictured).encode()
        clearing = Clearing(
            gate=gate,
            round=scene.holding.round_of(gate),
            snapshot=snapshot,
            sha256=hashlib.sha256(snapshot).hexdigest(),
            digest=scene.reading.digest(gate),
            cleared_at=at,
        )
        clearing.event = pen.write(
            "gate cleared",
            subject=gate.key,
            body={
                "gate": gate.key,
                "round": clearing.round,
                "clearing": str(clearing.uid),
                "snapshot_sha256": clearing.sha256,
                "digest": clearing.digest,
                "head_before": pen.head,
            },
        )
        clearing.save(force_insert=True)
        day = scene.holding.today
        Task.objects.filter(pk=gate.task_id).update(begun_on=day, finished_on=day)
        # A hold point does not depend on whether its days can be reckoned.
        with suppress(NetworkError, OutOfHorizon):
            take_baseline(project, clearing.event, reason=f"gate cleared: {gate.key}"[:120], today=day)
        return clearing


def _make_pictures(project: Project, at: datetime, gate_uid: UUID) -> dict[int, str]:
    """Make the copies that the snapshot pins, before the lock is taken: that waits for disk and processor.

    Gives, by the evidence's own key, why no copy could be made: a broken photo holds no gate up.
    """
    scene = look_at(project, at)
    return pictures_without_copy(pictured_in(scene, scene.gate(gate_uid)))
