"""Who may do what: the whole table. A test walks every cell of it.

A cell names how far a role's right goes:
  any        on every task, gate and fact of the project
  own        where the visitor's company does the trade's work
  receiver   where the visitor's company receives the handoff
  reviewer   where the requirement names the role as its reviewer, or as deputy
  grantor    where the requirement names the role among those that may grant a concession
  signer     where the gate names the role among its signers
  clearer    where the gate names the role that clears it
"""

from collections.abc import Mapping
from dataclasses import dataclass

from coordination.access.visitors import Visitor


@dataclass(frozen=True)
class Scope:
    """What a verb is about, as far as the right to it depends on that."""

    trade: str = ""
    receivers: frozenset[str] = frozenset()
    accepts: str = ""
    deputy: str = ""
    concede: tuple[str, ...] = ()
    signers: tuple[str, ...] = ()
    clears: str = ""


ANYTHING = Scope()

TABLE: Mapping[str, Mapping[str, str]] = {
    # seeing
    "see the project": {"coordinator": "any", "contractor": "any", "lift crew": "any"},
    "see a task": {
        "coordinator": "any",
        "contractor": "any",
        "lift crew": "any",
        "subcontractor": "own or receiver",
    },
    "see own tasks": {"lift crew": "any", "subcontractor": "any"},
    "see the owner's page": {
        "coordinator": "any",
        "contractor": "any",
        "lift crew": "any",
        "owner": "any",
        "inspector": "any",
    },
    "see phone numbers": {"coordinator": "any", "contractor": "any", "lift crew": "any"},
    "see photo originals": {"coordinator": "any", "contractor": "any"},
    "read reports": {"coordinator": "any", "contractor": "any", "lift crew": "any", "inspector": "any"},
    "read the papers": {
        "coordinator": "any",
        "contractor": "any",
        "lift crew": "any",
        "owner": "any",
        "inspector": "any",
    },
    "see evidence sheets": {
        "coordinator": "any",
        "contractor": "any",
        "lift crew": "any",
        "subcontractor": "own or receiver",
        "inspector": "any",
    },
    "have papers packed": {"coordinator": "any", "contractor": "any", "owner": "any"},
    "read the record": {"coordinator": "any", "contractor": "any"},
    # setting up
    "change facts": {"coordinator": "any"},
    "answer a question": {"coordinator": "any", "contractor": "any"},
    "accept a change of plan": {"coordinator": "any"},
    "assign a company": {"coordinator": "any", "contractor": "any"},
    "add a member": {"coordinator": "any", "contractor": "any"},
    "add a member for the supplier": {"coordinator": "any"},
    "take dates along": {"lift crew": "any", "subcontractor": "any"},
    "send a link": {"coordinator": "any", "contractor": "any"},
    "revoke a link": {"coordinator": "any", "contractor": "any"},
    "set a date": {"coordinator": "any", "contractor": "any"},
    "book a visit": {"coordinator": "any"},
    "sign the site-ready statement": {"contractor": "any"},
    "log a call": {"coordinator": "any"},
    "level the crews": {"coordinator": "any"},
    # work
    "start a task": {"coordinator": "any", "contractor": "any", "lift crew": "own", "subcontractor": "own"},
    "hand in evidence": {
        "coordinator": "any",
        "contractor": "any",
        "lift crew": "own",
        "subcontractor": "own",
    },
    "withdraw evidence": {
        "coordinator": "any",
        "contractor": "any",
        "lift crew": "own",
        "subcontractor": "own",
    },
    "offer a task": {"coordinator": "any", "contractor": "any", "lift crew": "own", "subcontractor": "own"},
    "enter for a company": {"coordinator": "any", "contractor": "any"},
    "answer a handoff": {
        "coordinator": "any",
        "contractor": "any",
        "lift crew": "receiver",
        "subcontractor": "receiver",
    },
    "accept for a silent receiver": {"contractor": "any"},
    "review evidence": {
        "coordinator": "reviewer",
        "contractor": "reviewer",
        "lift crew": "reviewer",
        "subcontractor": "reviewer",
    },
    "mark a photo": {
        "coordinator": "any",
        "contractor": "any",
        "lift crew": "own or receiver or reviewer",
        "subcontractor": "own or receiver or reviewer",
    },
    # holding and releasing
    "grant a concession": {
        "coordinator": "grantor",
        "contractor": "grantor",
        "lift crew": "grantor",
        "owner": "grantor",
    },
    "sign a gate": {
        "coordinator": "signer",
        "contractor": "signer",
        "lift crew": "signer",
        "owner": "signer",
    },
    "clear a gate": {"coordinator": "clearer", "contractor": "clearer"},
    "add a gate": {"coordinator": "any", "contractor": "any"},
    "add work": {"coordinator": "any", "contractor": "any"},
    "take up a remark": {"coordinator": "any"},
    "tell a witness": {
        "coordinator": "any",
        "contractor": "any",
        "lift crew": "own",
        "subcontractor": "own",
    },
    "attach an authority's document": {"coordinator": "any", "contractor": "any"},
    "fill the final list": {"coordinator": "any", "contractor": "any"},
    "leave a remark": {"coordinator": "any", "contractor": "any", "inspector": "any"},
}


def may(visitor: Visitor, verb: str, scope: Scope = ANYTHING) -> bool:
    """Whether ``visitor`` may do ``verb`` on what ``scope`` describes.

    Raises KeyError for a verb that is not in the table: a fault in our code.
    """
    cells = TABLE[verb]
    return any(_reaches(cells[role], role, visitor, scope) for role in visitor.roles if role in cells)


def _reaches(cell: str, role: str, visitor: Visitor, scope: Scope) -> bool:
    return any(_one_reaches(part, role, visitor, scope) for part in cell.split(" or "))


def _one_reaches(part: str, role: str, visitor: Visitor, scope: Scope) -> bool:
    answers = {
        "any": True,
        "own": bool(scope.trade) and scope.trade in visitor.trades,
        "receiver": bool(scope.receivers & visitor.trades),
        "reviewer": role in {scope.accepts, scope.deputy},
        "grantor": role in scope.concede,
        "signer": role in scope.signers,
        "clearer": role == scope.clears,
    }
    return answers[part]


class NotAllowed(PermissionError):
    """The visitor's standing does not reach this verb here."""

    def __init__(self, verb: str) -> None:
        super().__init__(verb)
        self.verb = verb


def require(visitor: Visitor, verb: str, scope: Scope = ANYTHING) -> None:
    """Raise NotAllowed unless ``visitor`` may do ``verb``."""
    if not may(visitor, verb, scope):
        raise NotAllowed(verb)
