"""Sending a link to somebody without an account."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.conf import settings
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from coordination.access.actions.links import MOST_DAYS
from coordination.access.queries import CompanyView
from coordination.web.forms.base import SheetForm
from coordination.web.languages import own_names
from coordination.web.words import PURPOSES


class LinkForm(SheetForm):
    """For what, for whom, for how long."""

    purpose = forms.ChoiceField(
        label=_("What it opens"), choices=list(PURPOSES.items()), widget=forms.RadioSelect
    )
    company = forms.ChoiceField(
        label=_("Company"),
        required=False,
        help_text=_("Whose tasks; only for a link to tasks or to a calendar feed."),
    )
    holder = forms.CharField(
        label=_("Who gets it"),
        max_length=120,
        help_text=_("Whatever is done with the link is recorded under this name."),
    )
    phone = forms.CharField(
        label=_("Their telephone"),
        max_length=40,
        required=False,
        help_text=_("Left empty: the number of the company. The text message is addressed to it."),
        widget=forms.TextInput(attrs={"type": "tel", "autocomplete": "off"}),
    )
    language = forms.ChoiceField(
        label=_("Language of the message and of what it opens"),
        widget=forms.RadioSelect,
        help_text=_("They can choose another one there."),
    )
    days = forms.IntegerField(label=_("Days until it expires"), min_value=1, max_value=MOST_DAYS)

    def __init__(self, *args: Any, companies: Iterable[CompanyView], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        listed = [(str(company.uid), company.name) for company in companies]
        self.fields["company"].choices = [("", _("none")), *listed]  # type: ignore[attr-defined]
        self.fields["days"].initial = settings.SHARE_LINK_DAYS
        self.fields["language"].choices = list(own_names().items())  # type: ignore[attr-defined]
        self.fields["language"].initial = get_language()
