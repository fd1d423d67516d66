"""What may start and what is missing: one pure function over a frozen standing."""

from coordination.readiness.answers import (
    MISSING_KINDS,
    STATES,
    Assessment,
    GateReadiness,
    Missing,
    MissingKind,
    TaskReadiness,
    TaskState,
)
from coordination.readiness.assessing import assess
from coordination.readiness.gates import signers_of
from coordination.readiness.network import StandingError
from coordination.readiness.requirements import is_let_go, is_satisfied, is_shown
from coordination.readiness.standing import (
    NOBODY,
    ConditionStanding,
    GateStanding,
    LinkStanding,
    Outcome,
    Party,
    RequirementStanding,
    Standing,
    TaskStanding,
)
from coordination.readiness.working_hours import WorkingHours, answer_hours, due_after, halfway

__all__ = [
    "MISSING_KINDS",
    "NOBODY",
    "STATES",
    "Assessment",
    "ConditionStanding",
    "GateReadiness",
    "GateStanding",
    "LinkStanding",
    "Missing",
    "MissingKind",
    "Outcome",
    "Party",
    "RequirementStanding",
    "Standing",
    "StandingError",
    "TaskReadiness",
    "TaskStanding",
    "TaskState",
    "WorkingHours",
    "answer_hours",
    "assess",
    "due_after",
    "halfway",
    "is_let_go",
    "is_satisfied",
    "is_shown",
    "signers_of",
]
