"""A named role's word for a gate, given for exactly what stands."""

from datetime import datetime
from uuid import UUID

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import Scope, require
from coordination.access.refusals import Reason
from coordination.access.visitors import Visitor
from coordination.gates.models import Signature
from coordination.gates.refusals import GateNotReady, SayWhy
from coordination.gates.scene import Scene, look_at
from coordination.projects.models import Gate
from coordination.readiness import signers_of


def sign_gate(
    project: Project, visitor: Visitor, at: datetime, gate_uid: UUID, *, statement: str, role: str = ""
) -> Signature | None:
    """Sign for one role. It counts for this round and this standing: when what the gate reads changes, sign again.

    ``role`` is needed only by somebody who holds several of them. None when the gate is cleared already.
    Raises GateNotReady while anything but signatures is missing, SayWhy without a statement, NotAllowed, NotVisible,
    LeftThePlan. Signing twice is harmless.
    """
    if not statement.strip():
        raise SayWhy(Reason("say what is signed"))
    with deciding(project, visitor, at) as pen:
        scene = look_at(project, at)
        gate = scene.gate(gate_uid)
        roles = _signers(scene, gate)
        require(visitor, "sign a gate", Scope(signers=roles))
        if scene.holding.standing_clearing(gate) is not None:
            pen.leave_as_it_is()
            return None
        if missing := scene.assessment.gates[gate.key].unsigned:
            raise GateNotReady(*missing)
        signing = _role(roles, visitor, role, scene, gate)
        current, digest = scene.holding.round_of(gate), scene.reading.digest(gate)
        same = Signature.objects.filter(gate=gate, round=current, role=signing, digest=digest).first()
        if same is not None:
            pen.leave_as_it_is()
            return same
        body = {"gate": gate.key, "round": current, "role": signing, "digest": digest}
        event = pen.write("gate signed", subject=gate.key, body={**body, "statement": statement.strip()})
        return Signature.objects.create(
            gate=gate,
            round=current,
            role=signing,
            signed_by=visitor.identity,
            signed_name=visitor.name,
            statement=statement.strip(),
            digest=digest,
            at=at,
            event=event,
        )


def _signers(scene: Scene, gate: Gate) -> tuple[str, ...]:
    standing = next(item for item in scene.standing.gates if item.key == gate.key)
    return signers_of(standing)


def _role(roles: tuple[str, ...], visitor: Visitor, asked: str, scene: Scene, gate: Gate) -> str:
    """A role of the visitor's that still has to sign, else one that has."""
    held = [role for role in roles if role in visitor.roles and asked in ("", role)]
    if not held:
        require(visitor, "sign a gate", Scope(signers=(asked,)))
    signed = next(item.signed for item in scene.standing.gates if item.key == gate.key)
    return next((role for role in held if role not in signed), held[0])
