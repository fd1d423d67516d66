"""Sentences for the reasons of this floor."""

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from coordination.access.refusals import Reason

SENTENCES: Mapping[str, str | Promise] = {
    "no name": _("Give a name."),
    "not an e-mail address": _("%(typed)s is not an e-mail address; write it as name@company.example."),
    "company is known": _("There is already a company called %(name)s, with other particulars."),
    "company works elsewhere": _(
        "%(name)s works on other sites as well; the coordinator alters how they are reached."
    ),
    "no such zone": _("%(typed)s is not a time zone; write one such as America/New_York."),
    "no such code set": _("%(typed)s is not a code set; choose one of: %(choices)s."),
    "no such role": _("%(typed)s is not a role; choose one of: %(choices)s."),
    "a subcontractor names a trade": _("A subcontractor needs a trade."),
    "no such trade": _("%(typed)s is not a trade; choose one of: %(choices)s."),
    "no such purpose": _("A link cannot be for %(typed)s; choose one of: %(choices)s."),
    "a link to tasks names a company": _("A link to a company's tasks or calendar needs the company."),
    "only a link to tasks names a company": _(
        "Only a link to a company's tasks or calendar names a company."
    ),
    "days out of range": _("A link may hold for %(low)s to %(high)s days."),
    "last coordinator": _("%(name)s is the last coordinator; name another one first."),
    "no longer standing": _("Your access to this project ended in the meantime."),
    "link unknown": _("This link is not known. Ask whoever sent it to send it again."),
    "link expired": _("This link expired. Ask whoever sent it for a new one."),
    "link revoked": _("This link was taken back. Ask whoever sent it for a new one."),
    "link used": _("This link was used already; it works once. Ask for a new one."),
    "too many attempts": _("Too many attempts. Try again in %(minutes)s minutes."),
}


def sentence(reason: Reason, sentences: Mapping[str, str | Promise] = SENTENCES) -> str:
    """The reason in words of the reader's language. Raises KeyError for a key without a sentence."""
    return str(sentences[reason.key]) % reason.args
