"""Why something about visits cannot be done."""

from coordination.access.refusals import Refusal


class VisitRefused(Refusal):
    """A booking that cannot be; the Reasons say why."""


class VisitMoved(Refusal):
    """The booking that was looked at does not stand any more: somebody moved it."""


class LinkCannotBe(Refusal):
    """A link that people want and that cannot be; the Reasons say why."""


class CallRefused(Refusal):
    """A call that cannot be logged like this; the Reasons say why."""


class VisitNoGo(Refusal):
    """Something on the go/no-go list of a visit is missing: Missing things, and Reasons."""


class DaysMoved(Refusal):
    """What was shown of a file is not what it would alter now: somebody has set days since."""


class CrewRefused(Refusal):
    """Something about crews, or about what a site asks of them, that cannot be; the Reasons say why."""


class LevellingRefused(Refusal):
    """A levelling that cannot be begun; the Reasons say why."""


class CauseRefused(Refusal):
    """A cause of delay that cannot be; the Reasons say why."""
