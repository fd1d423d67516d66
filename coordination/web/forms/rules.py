"""Laying down rules of the place or of a company: a file, or those of another site."""

from typing import Any

from django import forms
from django.utils.text import slugify
from django.utils.translation import gettext_lazy as _

from coordination.web.forms.base import SheetForm
from coordination.web.forms.new_site import TomlField


class RulesForm(SheetForm):
    """A file of rules. Its name without the ending is the name of the rules, unless another is given."""

    file = TomlField(label=_("File of rules, in TOML"))
    name = forms.CharField(
        label=_("Name of the rules"),
        max_length=60,
        required=False,
        help_text=_(
            "Left empty, the file’s own name. Rules of the same name take the place of the earlier ones."
        ),
    )

    def clean(self) -> dict[str, Any]:
        told = super().clean() or {}
        sent = self.files.get("file")
        told["name"] = slugify(told.get("name") or (sent.name.removesuffix(".toml") if sent else ""))
        return told
