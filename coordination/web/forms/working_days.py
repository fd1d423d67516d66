"""The working days of one calendar, where they differ from what the site facts say."""

from datetime import date
from typing import Any

from django import forms
from django.utils.dates import WEEKDAYS
from django.utils.translation import gettext_lazy as _

from coordination.siteprep.plan_parts import CALENDARS
from coordination.web.forms.base import SheetForm

MOST_DAYS = 120


class DaysField(forms.CharField):
    """Days, one on each line or separated by commas; cleaned to dates in order."""

    widget = forms.Textarea(attrs={"rows": 3})

    def clean(self, value: Any) -> list[date]:
        typed = [word.strip() for word in (super().clean(value) or "").replace(",", "\n").splitlines()]
        days = [self._day(word) for word in typed if word]
        if len(days) > MOST_DAYS:
            raise forms.ValidationError(_("At most %(most)s days."), params={"most": MOST_DAYS})
        return sorted(set(days))

    def prepare_value(self, value: Any) -> Any:
        return value if isinstance(value, str) else "\n".join(value or ())

    @staticmethod
    def _day(word: str) -> date:
        try:
            return date.fromisoformat(word)
        except ValueError:
            raise forms.ValidationError(
                _("“%(typed)s” is not a day. Write it like 2026-12-24."), params={"typed": word}
            ) from None


class CalendarForm(SheetForm):
    """``calendar`` is posted hidden. No weekday ticked: as the site facts say."""

    calendar = forms.ChoiceField(choices=[(key, key) for key in CALENDARS], widget=forms.HiddenInput)
    weekdays = forms.TypedMultipleChoiceField(
        label=_("Own working days"),
        coerce=int,
        required=False,
        choices=list(WEEKDAYS.items()),
        widget=forms.CheckboxSelectMultiple,
        help_text=_("None ticked: the trades on site as the site facts say, all others Monday to Friday."),
    )
    closed = DaysField(
        label=_("Days without work"),
        required=False,
        max_length=2000,
        help_text=_("Like 2026-12-24, one a line."),
    )
    opened = DaysField(
        label=_("Days with work that would have none"),
        required=False,
        max_length=2000,
        help_text=_("A Saturday that is worked, say."),
    )
