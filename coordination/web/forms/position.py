"""Where the site is, in degrees."""

from django import forms
from django.utils.translation import gettext_lazy as _

from coordination.web.forms.base import SheetForm

WRITTEN = {"invalid": _("Write degrees as a number, such as 44.4759.")}


class PositionForm(SheetForm):
    """Latitude and longitude, as maps show them."""

    latitude = forms.FloatField(
        label=_("Latitude"),
        min_value=-90,
        max_value=90,
        help_text=_("Degrees; north is positive."),
        error_messages=WRITTEN,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
    longitude = forms.FloatField(
        label=_("Longitude"),
        min_value=-180,
        max_value=180,
        help_text=_("Degrees; west is negative."),
        error_messages=WRITTEN,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )
