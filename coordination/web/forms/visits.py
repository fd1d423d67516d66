"""Booking and moving a visit, and on what it is booked."""

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from coordination.dates.visit_terms import MOST_NOTICE, Agreed
from coordination.web.forms.base import DayField, SheetForm


class MoneyField(forms.DecimalField):
    """An amount without a currency: the job's own."""

    def __init__(self, **kwargs: Any) -> None:
        told = {"min_value": 0, "max_value": 1_000_000, "decimal_places": 2, "required": False}
        super().__init__(**{**told, "help_text": _("As 1850 or 1850.00"), **kwargs})


class VisitForm(SheetForm):
    """The days of a visit. The cost is asked only when it is booked; it stays when the visit moves."""

    day = DayField(label=_("Day of the visit"))
    confirm_by = DayField(
        label=_("Confirm by"), help_text=_("The last day on which the truck can be called off.")
    )
    cost = MoneyField(label=_("What a wasted trip costs"))

    @property
    def cents(self) -> int:
        """The cost of a wasted trip in hundredths, 0 where nobody has said."""
        return int((self.cleaned_data.get("cost") or Decimal(0)) * 100)


class TermsForm(SheetForm):
    """On what a visit is booked."""

    lead_days = forms.IntegerField(
        label=_("Booked so many days ahead"), min_value=0, max_value=MOST_NOTICE, help_text=_("Working days.")
    )
    free_cancellation_days = forms.IntegerField(
        label=_("Called off free of charge until so many days before"), min_value=0, max_value=MOST_NOTICE
    )
    confirm_days = forms.IntegerField(
        label=_("Confirmed so many days before"), min_value=0, max_value=MOST_NOTICE
    )
    wasted_trip = MoneyField(label=_("What a wasted trip costs"))
    waiting_day = MoneyField(
        label=_("What a day of waiting costs once the site is ready"),
        help_text=_("Crew, equipment or opening: what a day later is worth. As 220 or 220.00"),
    )
    for_all_sites = forms.BooleanField(
        label=_("For all sites of the supplier that have nothing of their own"), required=False
    )

    def agreed(self) -> Agreed:
        """What was sent. Call it on a valid form only."""
        told = self.cleaned_data
        days = {name: told[name] for name in ("lead_days", "free_cancellation_days", "confirm_days")}
        cents = {
            f"{name}_cents": int((told.get(name) or Decimal(0)) * 100)
            for name in ("wasted_trip", "waiting_day")
        }
        return Agreed(**days, **cents)


def terms_form(agreed: Agreed) -> TermsForm:
    """The form with what counts now."""
    initial = {
        name: getattr(agreed, name) for name in ("lead_days", "free_cancellation_days", "confirm_days")
    }
    for name in ("wasted_trip", "waiting_day"):
        cents = getattr(agreed, f"{name}_cents")
        initial[name] = f"{cents / 100:.2f}" if cents else ""
    return TermsForm(initial=initial, auto_id="id_terms_%s")


class StatementForm(SheetForm):
    """The sentence that is signed, with what the page showed when it was read."""

    words = forms.CharField(
        label=_("You sign"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": _("Say what you sign for.")},
    )
    digest = forms.RegexField(r"^[0-9a-f]{64}$", widget=forms.HiddenInput)
    charge = forms.IntegerField(min_value=0, widget=forms.HiddenInput)
