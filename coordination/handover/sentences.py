"""Sentences for the reasons of this floor."""

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

SENTENCES: Mapping[str, str | Promise] = {
    "no such paper": _("Language and size: choose one of those that are offered."),
    "remark without a name": _("Name: write who remarks, a person or an office."),
    "remark without words": _("Remark: write what you found and where."),
    "no such papers": _("There are no papers of that kind to be packed."),
    "no such item": _("The final list has no such line to be filled by hand."),
    "say present or not needed": _("Say whether it is there, or not needed."),
    "item without words": _("Write where it is, or why it is not needed."),
    "item with too many words": _("Keep it to %(most)s letters."),
    "item without its day": _("Write the day that goes with it."),
}
