"""Why something about facts or plans cannot be done."""

from coordination.access.refusals import Refusal


class FactsRefused(Refusal):
    """Entries that cannot be; ``reasons`` are siteprep's Faults, each naming its fact. Nothing was kept."""

    def __str__(self) -> str:
        return "\n".join(str(fault) for fault in self.reasons)


class NotAQuestion(Refusal):
    """The fact is not open: somebody has answered it already."""


class ChangeGone(Refusal):
    """The change that was looked at is not the open one any more: newer facts replaced it, or it was accepted."""


class DatesRefused(Refusal):
    """Days for a task, a calendar or an authority that cannot be."""


class PositionRefused(Refusal):
    """A place that is not on earth."""


class RulesRefused(Refusal):
    """Rules that the plan cannot be derived with: the Reason names file, entry and key. Nothing was kept."""
