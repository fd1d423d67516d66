"""What ``assess`` answers: states as keys, and every missing thing with who owes it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

TaskState = Literal["held", "ready", "at work", "offered", "refused", "accepted", "done"]
GateState = Literal["cleared", "ready to clear", "held"]

# Worst first: how a place with several pieces of work is summed up in one word.
STATES: tuple[TaskState, ...] = ("refused", "held", "offered", "ready", "at work", "accepted", "done")

MissingKind = Literal[
    "not in the plan",
    "not begun",
    "not finished",
    "lag running",
    "not handed in",
    "not reviewed",
    "refused",
    "out of tolerance",
    "authority document missing",
    "inspection failed",
    "handoff not offered",
    "handoff not answered",
    "handoff refused",
    "gate not cleared",
    "question open",
    "fact only assumed",
    "document missing",
    "plan not settled",
    "signature missing",
    "signature for another standing",
]
MISSING_KINDS: tuple[MissingKind, ...] = MissingKind.__args__  # type: ignore[attr-defined]
Because = Literal["own", "FS", "SS", "FF", "SF", "covers", "handoff", "gate", "condition"]


@dataclass(frozen=True, order=True)
class Missing:
    """One missing thing.

    ``subject`` is the key of what is missing: a task, a requirement, a gate, a fact or a role; for a handoff
    ``before>after``. ``owner`` and ``phone`` say who must move next, empty where nobody is named. ``because`` is the
    relation that makes it needed, ``task`` the piece of work it belongs to, ``trade`` that work's trade or the
    role or authority that must move, ``since`` when it came about where that is known.
    """

    kind: MissingKind
    subject: str
    owner: str = ""
    phone: str = ""
    because: Because = "own"
    task: str = ""
    trade: str = ""
    since: datetime | None = None


@dataclass(frozen=True)
class TaskReadiness:
    """Where one task stands. ``satisfied`` is what covering work and gates wait for."""

    state: TaskState
    may_start: bool
    start_missing: tuple[Missing, ...]
    may_offer: bool
    offer_missing: tuple[Missing, ...]
    satisfied: bool
    question_open: bool = False


@dataclass(frozen=True)
class GateReadiness:
    """Where one gate stands. ``unsigned`` is ``missing`` without the signatures: empty means it may be signed."""

    state: GateState
    missing: tuple[Missing, ...]
    unsigned: tuple[Missing, ...] = ()


@dataclass(frozen=True)
class Assessment:
    """The answer for a whole project, by key. Retired tasks are left out."""

    tasks: Mapping[str, TaskReadiness]
    gates: Mapping[str, GateReadiness]
    places: Mapping[str, TaskState]
