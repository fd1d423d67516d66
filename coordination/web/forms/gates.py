"""Signing a gate."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from coordination.gates.signed_words import STATEMENT
from coordination.web.forms.base import SheetForm
from coordination.web.words import ROLES


class SignForm(SheetForm):
    """The statement, and for which role where somebody holds several that sign."""

    role = forms.ChoiceField(label=_("You sign as"), widget=forms.RadioSelect)
    statement = forms.CharField(
        label=_("Statement"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_(
            "You sign this, in your name, for exactly what stands now. Put it in your own words where needed."
        ),
        error_messages={"required": _("Say what you sign for.")},
    )

    def __init__(self, *args: Any, roles: Iterable[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        held = [(role, str(ROLES[role])) for role in roles]
        self.fields["statement"].initial = STATEMENT
        self.fields["role"].choices = held  # type: ignore[attr-defined]
        if len(held) < 2:
            del self.fields["role"]
