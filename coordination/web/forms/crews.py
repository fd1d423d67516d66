"""Crews, what sites ask of them, the way between sites, and asking for a levelling."""

import re
import uuid
from collections.abc import Iterable
from datetime import date, timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.dates import WEEKDAYS
from django.utils.text import format_lazy
from django.utils.translation import gettext_lazy as _

from coordination.dates.crew_models import HEAVIEST
from coordination.dates.crews import MOST_DAYS, MOST_PEOPLE, Asked, CrewInput, Point
from coordination.dates.levelling_runs import SECONDS
from coordination.web.forms.base import DayField, SheetForm

Choices = Iterable[tuple[str, str]]
LONGEST = 366


class DaysField(forms.CharField):
    """Days and intervals such as ``2026-12-24 to 2027-01-02``, apart by commas or lines; cleaned to a list of days."""

    widget = forms.Textarea(attrs={"rows": 2})

    def clean(self, value: Any) -> list[date]:  # type: ignore[override]
        found: list[date] = []
        for part in re.split(r"[,;\n]+", super().clean(value) or ""):
            if part.strip():
                found += _days(part.strip())
        return found


class PointForm(SheetForm):
    """Something with a place on the map."""

    latitude = forms.FloatField(
        label=_("Latitude"),
        required=False,
        min_value=-90,
        max_value=90,
        help_text=_("As 44.26; north is positive"),
    )
    longitude = forms.FloatField(
        label=_("Longitude"),
        required=False,
        min_value=-180,
        max_value=180,
        help_text=_("As -72.58; east is positive"),
    )

    @property
    def point(self) -> Point:
        return Point(self.cleaned_data.get("latitude"), self.cleaned_data.get("longitude"))


class CrewForm(PointForm):
    """A crew."""

    field_order = ("of", "name", "people", "weekdays", "away", "home", "latitude", "longitude")
    of = forms.ChoiceField(label=_("Trade and company"))
    name = forms.CharField(label=_("Name of the crew"), max_length=60)
    people = forms.IntegerField(label=_("People"), min_value=1, max_value=MOST_PEOPLE, initial=2)
    weekdays = forms.TypedMultipleChoiceField(
        label=_("Works on"), coerce=int, choices=[(str(n), name) for n, name in WEEKDAYS.items()],
        widget=forms.CheckboxSelectMultiple, initial=[str(n) for n in range(5)],
    )  # fmt: skip
    away = DaysField(
        label=_("Away"),
        required=False,
        help_text=_(
            "Days on which it is on no site, as 2026-12-24 to 2027-01-02, 2027-03-05. Public holidays are known."
        ),
    )
    home = forms.CharField(label=_("Starts from"), max_length=120, required=False)

    def __init__(self, *args: Any, trades: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["of"].choices = list(trades)  # type: ignore[attr-defined]

    @property
    def told(self) -> CrewInput:
        told = self.cleaned_data
        company, _slash, trade = told["of"].partition("/")
        return CrewInput(
            uuid.UUID(company), trade, told["name"], told["people"], told["home"], self.point,
            frozenset(told["weekdays"]), tuple(told["away"]),
        )  # fmt: skip


class SiteAsksForm(PointForm):
    """What one site asks of the crews."""

    field_order = ("weight", "wanted_by", "wish", "latitude", "longitude")
    weight = forms.IntegerField(
        label=_("Weight of a day late"),
        min_value=1,
        max_value=HEAVIEST,
        help_text=_("1 to 9: a day late at 4 counts like four days at 1"),
    )
    wanted_by = DayField(
        label=_("Wanted by"),
        required=False,
        help_text=_(
            "The last day of all work. Where nothing is said: the day it could be done with crews of its own."
        ),
    )
    wish = DayField(
        label=_("Would have the crew on"),
        required=False,
        help_text=_("A wish; what it costs the others is shown."),
    )

    @property
    def told(self) -> Asked:
        told = self.cleaned_data
        return Asked(told["weight"], told["wanted_by"], told["wish"], self.point)


class WayForm(SheetForm):
    """Days on the road between two sites."""

    one = forms.ChoiceField(label=_("From"))
    other = forms.ChoiceField(label=_("To"))
    days = forms.IntegerField(
        label=_("Days on the road"),
        min_value=0,
        max_value=MOST_DAYS,
        required=False,
        help_text=_("Left empty, the distance says it."),
    )

    def __init__(self, *args: Any, sites: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        listed = list(sites)
        for name in ("one", "other"):
            self.fields[name].choices = listed  # type: ignore[attr-defined]


class LevelForm(SheetForm):
    """How long to search."""

    seconds = forms.TypedChoiceField(
        label=_("Search for"),
        coerce=int,
        choices=[(n, format_lazy("{n} {seconds}", n=n, seconds=_("seconds"))) for n in SECONDS],
    )


def _days(part: str) -> list[date]:
    try:
        first, *rest = [date.fromisoformat(text) for text in re.split(r"\s*(?:to|/|–)\s*", part)]
    except ValueError:
        raise ValidationError(
            _("“%(typed)s” is no day; write it like 2026-12-24, or 2026-12-24 to 2027-01-02."),
            params={"typed": part},
        ) from None
    last = rest[0] if rest else first
    if len(rest) > 1 or not 0 <= (last - first).days <= LONGEST:
        raise ValidationError(
            _("“%(typed)s”: the last day is the same day or a later one, within a year."),
            params={"typed": part},
        )
    return [first + timedelta(days=n) for n in range((last - first).days + 1)]
