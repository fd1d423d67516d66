"""Entering a cause of delay, and keeping today's dates."""

import uuid
from collections.abc import Iterable
from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from coordination.dates.delay_causes import MOST_DAYS, CauseInput
from coordination.web.forms.base import DayField, SheetForm
from coordination.web.shapes.delay_words import ENTERED


class CauseForm(SheetForm):
    """Working days that a task lost to something that the record does not show by itself."""

    key = forms.UUIDField(widget=forms.HiddenInput)
    task = forms.ChoiceField(label=_("Work that lost the days"))
    kind = forms.ChoiceField(label=_("Cause"), choices=[*ENTERED.items()])
    first = DayField(label=_("First day"))
    days = forms.IntegerField(label=_("Working days lost"), min_value=1, max_value=MOST_DAYS)
    words = forms.CharField(label=_("What happened"), max_length=300)

    def __init__(self, *args: Any, tasks: Iterable[tuple[str, str]], today: date, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {"key": uuid.uuid4(), "first": today})
        super().__init__(*args, **kwargs)
        self.fields["task"].choices = list(tasks)  # type: ignore[attr-defined]

    @property
    def told(self) -> CauseInput:
        told = self.cleaned_data
        return CauseInput(told["task"], told["kind"], told["first"], told["days"], told["words"])


class BaselineForm(SheetForm):
    """Why today's dates are kept."""

    reason = forms.CharField(label=_("Why"), max_length=120, help_text=_("As: agreed at the site meeting"))
