"""The words for causes of delay: neutral ones, about work and answers, never about fault."""

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

ENTERED: Mapping[str, str | Promise] = {
    "weather": _("weather"),
    "site closed": _("site closed"),
    "late delivery": _("delivery came later"),
    "other work": _("other work in the way"),
    "other": _("another cause"),
}
KINDS: Mapping[str, str | Promise] = {
    **ENTERED,
    "late answer": _("answer awaited"),
    "refused work": _("work refused and handed in again"),
    "late acceptance": _("acceptance awaited"),
    "gate": _("gate ready before it was cleared"),
    "began later": _("begun later than it could be"),
    "took longer": _("took longer than planned"),
    "went faster": _("took less time than planned"),
}
RULE = _(
    "The days of each window are shared by the Shapley value: every cause gets the mean, over all orders in which "
    "the causes of that window could have come, of the days by which the end moved when it came; so causes that act "
    "at the same time share evenly what either alone would have caused. Shares by party are reckoned the same way "
    "with all causes of a party together, so they are not the sum of the shares by cause."
)
