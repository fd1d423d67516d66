"""Why something about visits cannot be done."""

from coordination.access.refusals import Refusal


class VisitRefused(Refusal):
    """A booking that cannot be; the Reasons say why."""


class VisitMoved(Refusal):
    """The booking that was looked at does not stand any more: somebody moved it."""
