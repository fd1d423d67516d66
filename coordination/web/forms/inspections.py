"""The result of an inspection as the authority's report gives it, and the items that were not passed."""

import re
from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from coordination.evidence.models import CORRECTIONS, FAILED, PASSED
from coordination.gates.actions.inspecting import ItemWish
from coordination.web.forms.base import PHOTO_TYPES, DayField, SheetForm

ROWS = 4
MOST = 100
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

    def clean(self) -> dict[str, Any]:
        """A row that says where, whose or until when must say what: it would be lost otherwise."""
        told = super().clean() or {}
        given = any(told.get(name) or name in self.errors for name in ("place", "trade", "due"))
        if given and not (told.get("text") or "").strip() and "text" not in self.errors:
            self.add_error("text", _("Say what was not passed, or empty the whole row."))
        return told

    def wish(self) -> ItemWish | None:
        """The item, or None where the row is empty."""
        told = self.cleaned_data
        if not told["text"].strip():
            return None
        return ItemWish(told["text"], told["place"], told["trade"], told["due"])


def item_forms(
    posted: Mapping[str, str] | None, *, places: Choices, trades: Choices, more: bool = False
) -> list[ItemForm]:
    """The rows of the page, in their order: as many as were sent, and some ``more``, which judges nothing yet."""
    offered: dict[str, Any] = {"places": list(places), "trades": list(trades)}
    numbers = range(1, min(rows_in(posted or {}) + (ROWS if more else 0), MOST) + 1)
    if not more:
        return [ItemForm(posted, prefix=f"item-{number}", **offered) for number in numbers]
    return [
        ItemForm(initial=typed_in(posted or {}, f"item-{number}-"), prefix=f"item-{number}", **offered)
        for number in numbers
    ]


def rows_in(posted: Mapping[str, str]) -> int:
    """How many rows the page had that was sent."""
    sent = [int(found[1]) for name in posted if (found := re.fullmatch(r"item-([0-9]{1,3})-text", name))]
    return max([ROWS, *sent])


def typed_in(posted: Mapping[str, str], prefix: str = "") -> dict[str, str]:
    """What was typed, by field, to stand in a form that is not judged."""
    return {name.removeprefix(prefix): value for name, value in posted.items() if name.startswith(prefix)}
