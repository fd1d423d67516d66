"""What an inspector may write."""

from django import forms
from django.utils.translation import gettext_lazy as _

from coordination.web.forms.base import SheetForm


class RemarkForm(SheetForm):
    """A remark on one report. It is unverified and moves no gate."""

    name = forms.CharField(
        label=_("Your name or office"),
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
        error_messages={"required": _("Write who remarks, a person or an office.")},
    )
    body = forms.CharField(
        label=_("Remark"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text=_("What you found, and where."),
        error_messages={"required": _("Write what you found and where.")},
    )
