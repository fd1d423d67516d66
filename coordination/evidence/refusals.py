"""Why something cannot be handed in. Nothing was changed then."""

from coordination.access.refusals import Refusal


class FileRefused(Refusal):
    """The file is no picture or document that can be taken; the Reason says why and what would be right."""


class NotAReading(Refusal):
    """What was typed cannot be read in the unit that is asked for."""


class NotHandedIn(Refusal):
    """What was handed in does not fit what is asked for, or does not come at its time."""


class TermsMovedOn(Refusal):
    """What is asked for has changed since the sender saw it."""


class SayForWhom(Refusal):
    """An entry for a company by somebody else must say for which company, and where it came from."""


class NotMarked(Refusal):
    """The mark cannot be put or taken back; the Reason says why."""
