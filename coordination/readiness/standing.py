"""What stands on a project at one moment, frozen: the input of ``assess``.

Keys are siteprep's: a task ``entry@place``, a requirement ``task#requirement``, a gate by its own key. Nothing here
is looked up and no clock is read: whoever fills a Standing says whether a lag has run out and what still counts.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Literal

Outcome = Literal["none", "handed in", "accepted", "refused", "failed"]
Reply = Literal["none", "accepted", "refused"]
LinkKind = Literal["FS", "SS", "FF", "SF", "covers"]
ConditionKind = Literal[
    "task accepted",
    "requirement satisfied",
    "question answered",
    "document present",
    "gate cleared",
    "signature",
]


@dataclass(frozen=True)
class Party:
    """Who owes something and how to call them; empty where nobody is named yet."""

    name: str = ""
    phone: str = ""


NOBODY = Party()


@dataclass(frozen=True)
class RequirementStanding:
    """One thing a task must show, in its current terms.

    ``outcome`` is that of what was handed in for these terms and not withdrawn; ``failed`` where the authority's own
    report says so. ``in_tolerance`` is None where there
    is nothing to measure. ``conceded`` means that every role needed has spoken and the permission has not run out.
    ``released`` means that the authority's own document is there, with number, date and file. ``since`` is when the
    outcome came about.
    """

    key: str
    task: str
    kind: str
    text_key: str = ""
    accepts: str | None = None
    outcome: Outcome = "none"
    in_tolerance: bool | None = None
    conceded: bool = False
    released: bool = False
    release: str | None = None
    concede: tuple[str, ...] = ()
    varied: bool = False
    lift_critical: bool = False
    authorised: bool = False
    since: datetime | None = None


@dataclass(frozen=True)
class TaskStanding:
    """One trade's piece of work. ``owner`` and ``phone`` are those of the company that does it, if one is named."""

    key: str
    trade: str
    place: str
    owner: str = ""
    phone: str = ""
    provisional: bool = False
    begun: bool = False
    finished: bool = False
    offered_round: int = 0
    retired: bool = False
    is_gate: bool = False
    requirements: tuple[RequirementStanding, ...] = ()
    question_open: bool = False


@dataclass(frozen=True)
class LinkStanding:
    """A predecessor relation. ``answer`` is the receiver's, to the newest offer of ``before``.

    ``lag_open`` says that what the link waits for has happened and its lag has not run out yet.
    """

    before: str
    after: str
    kind: LinkKind
    handoff: bool = False
    lag_open: bool = False
    answer: Reply = "none"
    receiver: str = ""
    since: datetime | None = None


@dataclass(frozen=True)
class ConditionStanding:
    """One thing that a gate waits for. ``met`` is read only where the standing itself does not hold the answer:
    for a question (True: the fact is known, None: it is only assumed), and for a document that is no requirement.
    """

    kind: ConditionKind
    subject: str
    met: bool | None = None


@dataclass(frozen=True)
class GateStanding:
    """A hold point. ``signed`` names the roles whose signature is for this round and exactly this standing;
    ``signed_otherwise`` those who signed this round before something the gate reads had changed.
    """

    key: str
    task: str
    conditions: tuple[ConditionStanding, ...] = ()
    signers: tuple[str, ...] = ()
    signed: frozenset[str] = frozenset()
    signed_otherwise: frozenset[str] = frozenset()
    cleared: bool = False
    plan_settled: bool = True
    clears: str = "contractor"


@dataclass(frozen=True)
class Standing:
    """A whole project. ``parties`` maps a role, an authority's kind or an open question's fact to who answers."""

    tasks: tuple[TaskStanding, ...] = ()
    links: tuple[LinkStanding, ...] = ()
    gates: tuple[GateStanding, ...] = ()
    parties: Mapping[str, Party] = field(default_factory=dict)
