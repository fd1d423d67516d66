"""Telling a witness, saying whether it came, and a witness point of a project's own."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from coordination.gates.actions.witnessing import MOST_NOTICE
from coordination.gates.sentences import PARTIES
from coordination.siteprep.plan_parts import WITNESSES
from coordination.web.forms.base import DayField, SheetForm


class TellForm(SheetForm):
    """For which day, and how they were told."""

    for_day = DayField(label=_("For which day"), error_messages={"required": _("Say for which day.")})
    how = forms.CharField(
        label=_("How they were told"),
        max_length=120,
        help_text=_("Telephone, letter, the authority’s own page."),
        error_messages={"required": _("Say how they were told.")},
    )
    party_name = forms.CharField(label=_("Who was told"), max_length=120, required=False)


class CameForm(SheetForm):
    """Whether they came, and who."""

    attended = forms.ChoiceField(
        label=_("Did they come?"),
        choices=[("yes", _("they came")), ("no", _("nobody came"))],
        widget=forms.RadioSelect,
    )
    who = forms.CharField(label=_("Who came"), max_length=120, required=False)
    note = forms.CharField(label=_("Note"), max_length=500, required=False)


class PointForm(SheetForm):
    """A witness point of the project's own."""

    task = forms.ChoiceField(label=_("At which work"))
    party = forms.ChoiceField(label=_("Who may attend"))
    text = forms.CharField(label=_("What is to be seen"), max_length=200)
    notice_days = forms.IntegerField(
        label=_("Working days of notice"), min_value=0, max_value=MOST_NOTICE, initial=2
    )

    def __init__(self, *args: Any, tasks: Iterable[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["task"].choices = [("", ""), *tasks]  # type: ignore[attr-defined]
        self.fields["party"].choices = [(key, PARTIES[key]) for key in WITNESSES]  # type: ignore[attr-defined]
