"""Whether one requirement is satisfied, and if not, what is missing and who owes it."""

from coordination.readiness.answers import Because, Missing, MissingKind
from coordination.readiness.standing import NOBODY, Party, RequirementStanding, Standing, TaskStanding


def is_satisfied(requirement: RequirementStanding) -> bool:
    """Accepted, conceded or released.

    What an authority releases is satisfied by its own document alone. What names no role that could concede it
    is let go by an authority's variance only. A reading out of tolerance counts only when it is let go, whatever a
    reviewer said.
    """
    if requirement.release:
        return requirement.released
    if is_let_go(requirement):
        return True
    return _accepted(requirement) and requirement.in_tolerance is not False


def is_let_go(requirement: RequirementStanding) -> bool:
    """Whether a permission stands that may stand here: of the roles it names, or of an authority."""
    return requirement.conceded and bool(requirement.concede or requirement.varied)


def is_shown(requirement: RequirementStanding) -> bool:
    """Enough is there to pass the work on for review: everything but the reviewer's word."""
    if is_satisfied(requirement):
        return True
    waiting = requirement.outcome in {"handed in", "accepted"} and requirement.in_tolerance is not False
    return waiting and not requirement.release


def missing_of(
    requirement: RequirementStanding, task: TaskStanding, standing: Standing, because: Because
) -> Missing:
    """The one next thing that is missing for a requirement which is not satisfied."""
    kind = _kind(requirement)
    doer = Party(task.owner, task.phone)
    party, side = {
        "authority document missing": (
            standing.parties.get(requirement.release or "", NOBODY),
            requirement.release or "",
        ),
        "not reviewed": (standing.parties.get(requirement.accepts or "", NOBODY), requirement.accepts or ""),
    }.get(kind, (doer, task.trade))
    return Missing(
        kind,
        requirement.key,
        party.name,
        party.phone,
        because,
        task=task.key,
        trade=side,
        since=requirement.since,
    )


def _accepted(requirement: RequirementStanding) -> bool:
    if requirement.outcome == "accepted":
        return True
    return requirement.outcome == "handed in" and not requirement.accepts


def _kind(requirement: RequirementStanding) -> MissingKind:
    if requirement.outcome == "refused":
        return "refused"
    if requirement.outcome == "failed":
        return "inspection failed"
    if requirement.release and not (requirement.outcome == "handed in" and requirement.accepts):
        return "authority document missing"
    if requirement.outcome == "none":
        return "not handed in"
    if requirement.in_tolerance is False:
        return "out of tolerance"
    return "not reviewed"
