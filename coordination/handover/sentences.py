"""Sentences for the reasons of this floor."""

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

SENTENCES: Mapping[str, str | Promise] = {
    "remark without a name": _("Name: write who remarks, a person or an office."),
    "remark without words": _("Remark: write what you found and where."),
}
