"""What an owner may decide: to let something go."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from coordination.web.forms.base import SheetForm


class LettingGoForm(SheetForm):
    """Speak for going on without a requirement. Where others have spoken, the scope is theirs and not asked."""

    reason = forms.CharField(
        label=_("Your reason"),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": _("Give the reason for going on without it.")},
    )
    scope = forms.CharField(
        label=_("For what part of the work it holds"),
        max_length=500,
        error_messages={"required": _("Say for what part of the work it holds.")},
    )

    def __init__(self, *args: Any, asks_scope: bool = True, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not asks_scope:
            del self.fields["scope"]
