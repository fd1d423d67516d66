"""Sentences for the reasons of this floor."""

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

SENTENCES: Mapping[str, str | Promise] = {
    "question answered already": _("This question was answered already: %(typed)s, said by %(said_by)s."),
    "change gone": _("Newer facts replaced this change, or it was accepted already. Look at the plan again."),
    "done by before not before": _(
        "Done by %(done_by)s cannot be before the first day it may begin, %(not_before)s."
    ),
    "duration out of range": _("A duration may be 1 to %(high)s working days."),
    "a gate takes no time": _("A gate takes no time of its own."),
    "finished already": _("This work is finished; its days are history."),
    "no such calendar": _("%(typed)s is not a calendar; choose one of: %(choices)s."),
    "no working day": _("A calendar needs at least one working day a week."),
    "no such weekday": _("Weekdays are numbered 0 (Monday) to 6 (Sunday)."),
    "day out of range": _("%(day)s is too far away; choose a day from %(low)s to %(high)s."),
    "closed and opened": _("%(day)s cannot be both without work and with work."),
    "no such authority": _("%(typed)s is not an authority; choose one of: %(choices)s."),
    "inspection without a name": _("Each inspection needs a name."),
    "not on earth": _("Latitude is -90 to 90, longitude -180 to 180 degrees."),
    "rules cannot be used": _("%(file)s, %(entry)s, %(key)s: %(why)s."),
    "rules need a name": _(
        "“%(typed)s” cannot be the name of rules; use small letters, digits and hyphens, such as harbor-town."
    ),
    "rules too long": _("Rules that a person wrote have at most %(high)s characters."),
    "rules are empty": _("There is nothing in %(name)s."),
}
