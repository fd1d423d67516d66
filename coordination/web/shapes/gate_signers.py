"""Who signs a gate, who has signed it, and whose signature does not count any more."""

from dataclasses import dataclass
from datetime import datetime

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from coordination.access.permissions import Scope, may
from coordination.access.visitors import Visitor
from coordination.gates.models import Signature
from coordination.gates.queries import Scene
from coordination.gates.sentences import party_words
from coordination.gates.signed_words import statement_words
from coordination.projects.models import Gate
from coordination.readiness import signers_of
from coordination.web.words import ROLES


@dataclass(frozen=True)
class SignerLine:
    """A role that signs, who answers for it, and what was signed when."""

    role: str
    who: str
    phone: str
    signed_name: str
    signed_at: datetime | None
    statement: str
    state: str
    word: str


def signer_lines(scene: Scene, gate: Gate) -> list[SignerLine]:
    """Every role that signs, in the gate's order."""
    standing = next(item for item in scene.standing.gates if item.key == gate.key)
    current = scene.holding.round_of(gate)
    given = {
        row.role: row for row in scene.holding.signatures if row.gate_id == gate.pk and row.round == current
    }
    return [
        _signer(scene, role, given.get(role), role in standing.signed or standing.cleared)
        for role in signers_of(standing)
    ]


def may_sign(scene: Scene, gate: Gate, visitor: Visitor) -> list[str]:
    """Roles of the visitor's whose signature is asked for and does not count yet."""
    standing = next(item for item in scene.standing.gates if item.key == gate.key)
    roles = signers_of(standing)
    if standing.cleared or not may(visitor, "sign a gate", Scope(signers=roles)):
        return []
    return [role for role in roles if role in visitor.roles and role not in standing.signed]


def _signer(scene: Scene, role: str, given: Signature | None, counts: bool) -> SignerLine:
    party = scene.standing.parties.get(role)
    if given is None:
        state, word = "none", _("not signed yet")
    elif counts:
        state, word = "accepted", _("signed")
    else:
        state, word = "refused", _("signed before something changed: sign again")
    return SignerLine(
        role=capfirst(str(ROLES.get(role) or party_words(role))),
        who=party.name if party else "",
        phone=party.phone if party else "",
        signed_name=given.signed_name if given else "",
        signed_at=given.at if given else None,
        statement=statement_words(given.statement) if given else "",
        state=state,
        word=word,
    )
