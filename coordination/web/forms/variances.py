"""An authority's variance as its document gives it."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from coordination.web.forms.base import PHOTO_TYPES, DayField, SheetForm


class VarianceForm(SheetForm):
    """Whose it is, number and date on it, what it allows, how far and until when, and the scan."""

    authority = forms.ChoiceField(
        label=_("Whose variance it is"),
        widget=forms.RadioSelect,
        error_messages={"required": _("Say which authority gave the variance.")},
    )
    number = forms.CharField(
        label=_("Number on it"),
        max_length=80,
        error_messages={"required": _("Give the number that stands on the variance.")},
    )
    dated = DayField(
        label=_("Date on it"),
        error_messages={"required": _("Give the date that stands on the variance.")},
    )
    reason = forms.CharField(
        label=_("What it allows"),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": _("Say what the variance allows.")},
    )
    scope = forms.CharField(
        label=_("For which part of the work, and on which conditions"),
        max_length=500,
        error_messages={"required": _("Say for which part of the work it holds, and on which conditions.")},
    )
    expires_on = DayField(label=_("Until"), required=False)
    document = forms.FileField(
        label=_("Scan of it"),
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": f"application/pdf,.pdf,{PHOTO_TYPES}"}),
        help_text=_("A PDF, or a photo of the paper."),
        error_messages={"required": _("Choose the scan of the variance, or take a photo of it.")},
    )

    def __init__(self, *args: Any, authorities: list[tuple[str, str]], **kwargs: Any) -> None:
        """``authorities`` are those of the site: uid and words."""
        super().__init__(*args, **kwargs)
        self.fields["authority"].choices = authorities  # type: ignore[attr-defined]
