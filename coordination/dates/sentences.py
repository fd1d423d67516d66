"""Sentences for the reasons of this floor."""

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

SENTENCES: Mapping[str, str | Promise] = {
    "no visit named": _("Say which visit is booked."),
    "day is over": _("%(day)s is over; choose a day to come."),
    "confirm by after the visit": _("Confirm by %(confirm_by)s cannot be after the visit on %(day)s."),
    "booked already": _("This visit is booked for %(day)s; move that booking."),
    "moved already": _("This booking was moved in the meantime; look at the visits again."),
    "cost out of range": _("The cost of a wasted trip cannot be negative."),
    "no such task": _("%(typed)s is no task of the plan; choose one of the list."),
    "a task does not wait for itself": _("A task cannot wait for itself: choose two."),
    "no such link": _("A link is one of %(kinds)s, its lag in days that are one of: %(units)s."),
    "lag out of range": _("A lag lies between %(most)s days before and %(most)s days after."),
    "link closes a ring": _("This would close a ring: the second task is waited for by the first already."),
    "linked already": _("These two are linked already; take that link back first."),
}
