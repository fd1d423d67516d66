"""Booking and moving a visit."""

from decimal import Decimal

from django import forms
from django.utils.translation import gettext_lazy as _

from coordination.web.forms.base import DayField, SheetForm


class VisitForm(SheetForm):
    """The days of a visit. The cost is asked only when it is booked; it stays when the visit moves."""

    day = DayField(label=_("Day of the visit"))
    confirm_by = DayField(
        label=_("Confirm by"), help_text=_("The last day on which the truck can be called off.")
    )
    cost = forms.DecimalField(
        label=_("What a wasted trip costs"),
        required=False,
        min_value=0,
        max_value=1_000_000,
        decimal_places=2,
        help_text=_("As 1850 or 1850.00"),
    )

    @property
    def cents(self) -> int:
        """The cost of a wasted trip in hundredths, 0 where nobody has said."""
        return int((self.cleaned_data.get("cost") or Decimal(0)) * 100)
