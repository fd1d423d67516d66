"""What each state of work means, for the help page."""

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _


@dataclass(frozen=True)
class LegendLine:
    """A state and its meaning."""

    state: str
    words: str | Promise


LEGEND = (
    LegendLine("held", _("Something must come first, or is missing. The page says what, and who owes it.")),
    LegendLine("ready", _("What must come first is recorded. The trade may begin once it is safe to.")),
    LegendLine("at work", _("The trade has begun.")),
    LegendLine("offered", _("Finished and offered on; the answer is awaited.")),
    LegendLine("refused", _("Something was refused. The reasons stand with it.")),
    LegendLine("accepted", _("Everything asked for was looked at and accepted.")),
    LegendLine("done", _("Finished; nobody had to accept it.")),
    LegendLine("question open", _("It hangs on a fact that nobody knows yet.")),
)
