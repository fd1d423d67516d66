"""Why a decision about work and gates cannot be taken. Nothing was changed then."""

from coordination.access.refusals import Refusal


class Lacking(Refusal):
    """Something is missing: ``missing`` (the same as ``reasons``) are readiness.Missing, each with its owner."""

    @property
    def missing(self) -> tuple:  # type: ignore[type-arg]
        return self.reasons


class TaskHeld(Lacking):
    """The task may not start."""


class NotReadyToOffer(Lacking):
    """The task may not be passed on."""


class GateNotReady(Lacking):
    """The gate may not be signed or cleared."""


class LeftThePlan(Refusal):
    """The task, requirement or gate does not belong to the plan any more."""


class NotAPieceOfWork(Refusal):
    """A gate's milestone is cleared, not started or offered."""


class NothingToReview(Refusal):
    """There is nothing that waits for a reviewer; the Reason says who spoke already."""


class SayWhy(Refusal):
    """A refusal, a withdrawal or a concession needs its reasons."""


class OutOfTolerance(Refusal):
    """A reading out of tolerance cannot be accepted; only a concession lets it pass."""


class OwnWork(Refusal):
    """Nobody reviews their own entry of lift-critical work."""


class AnsweredAlready(Refusal):
    """The receiver gave another answer to this offer, or the offer has ended."""


class NotInTheirPlace(Refusal):
    """Nobody may accept this in the place of its receiver, or not yet; the Reasons say why."""


class NoConcession(Refusal):
    """This requirement cannot be conceded, or not in this way; the Reasons say why."""


class GateCannotBe(Refusal):
    """A gate that was wished cannot stand like this; the Reasons say why."""


class GateStays(Refusal):
    """This gate cannot be taken back."""


class WorkCannotBe(Refusal):
    """Work that was wished cannot stand like this; the Reasons say why."""


class WorkStays(Refusal):
    """This work cannot be taken back."""


class NoResult(Refusal):
    """This cannot be entered as the result of an inspection; the Reasons say why."""


class NoWitness(Refusal):
    """This cannot be told to a witness, or said of one; the Reasons say why."""
