"""The result of an inspection as the authority's report gives it, and the items that were not passed."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from coordination.evidence.models import CORRECTIONS, FAILED, PASSED
from coordination.gates.actions.inspecting import ItemWish
from coordination.web.forms.base import PHOTO_TYPES, DayField, SheetForm

ROWS = 4
RESULTS = [
    (PASSED, _("passed")),
    (CORRECTIONS, _("passed, with corrections to be made")),
    (FAILED, _("not passed: they come again")),
]
Choices = Iterable[tuple[str, str]]


class ResultForm(SheetForm):
    """The report: what it came to, its number and date, the paper itself."""

    key = forms.UUIDField(widget=forms.HiddenInput)
    result = forms.ChoiceField(
        label=_("What the report says"),
        choices=RESULTS,
        widget=forms.RadioSelect,
        error_messages={
            "required": _("Say what the inspection came to: passed, passed with corrections, or failed.")
        },
    )
    number = forms.CharField(
        label=_("Number on it"),
        max_length=80,
        error_messages={"required": _("Give the number that stands on the authority’s document.")},
    )
    dated = DayField(
        label=_("Date on it"),
        error_messages={"required": _("Give the date that stands on the authority’s document.")},
    )
    document = forms.FileField(
        label=_("The written report"),
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": f"application/pdf,.pdf,{PHOTO_TYPES}"}),
        help_text=_("A PDF, or a photo of the paper."),
        error_messages={"required": _("Choose the paper, or take a photo of it.")},
    )
    again_on = DayField(label=_("Day of the re-inspection, if it is known"), required=False)
    note = forms.CharField(label=_("Note"), max_length=500, required=False)


class ItemForm(SheetForm):
    """One thing that was not passed. A row without words is none."""

    text = forms.CharField(label=_("What was not passed"), max_length=160, required=False)
    place = forms.ChoiceField(label=_("Where"), required=False)
    trade = forms.ChoiceField(label=_("Whose work it is"), required=False)
    due = DayField(label=_("To be done by"), required=False)

    def __init__(self, *args: Any, places: Choices, trades: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["place"].choices = [("", ""), *places]  # type: ignore[attr-defined]
        self.fields["trade"].choices = [("", ""), *trades]  # type: ignore[attr-defined]

    def wish(self) -> ItemWish | None:
        """The item, or None where the row is empty."""
        told = self.cleaned_data
        if not told["text"].strip():
            return None
        return ItemWish(told["text"], told["place"], told["trade"], told["due"])


def item_forms(posted: Any, *, places: Choices, trades: Choices, rows: int = ROWS) -> list[ItemForm]:
    """The rows of the page, in their order."""
    offered: dict[str, Any] = {"places": list(places), "trades": list(trades)}
    return [ItemForm(posted, prefix=f"item-{number}", **offered) for number in range(1, rows + 1)]
