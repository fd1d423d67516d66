"""Putting a mark over a photo: by squares, or by the exact points that a finger, mouse or arrow key has found."""

import uuid
from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from coordination.evidence.marking import MarkInput, Point
from coordination.pictures.marks import COLUMNS, FULL, ROWS, box_of, centre_of
from coordination.pictures.pen import PictureError
from coordination.web.forms.base import SheetForm

KINDS: Sequence[tuple[str, str | Promise]] = (
    ("arrow", pgettext_lazy("mark", "arrow")),
    ("ring", pgettext_lazy("mark", "ring")),
    ("dimension", pgettext_lazy("mark", "dimension")),
)
EXACT = ("x1", "y1", "x2", "y2")
# How far an arrow comes from where only its end is said.
AWAY = FULL // 6


class SquareField(forms.CharField):
    """A square as C4, in capitals; empty where none was named."""

    def __init__(self, **kwargs: Any) -> None:
        attributes = {"autocomplete": "off", "autocapitalize": "characters", "data-square": True, "size": 4}
        super().__init__(max_length=4, required=False, widget=forms.TextInput(attrs=attributes), **kwargs)

    def clean(self, value: Any) -> str:
        square = "".join(super().clean(value).upper().split())
        try:
            if square:
                box_of(square)
        except PictureError:
            told = {"typed": value, "last": f"{COLUMNS[-1]}{ROWS}"}
            sentence = _("“%(typed)s” is no square. Write a letter and a number, A1 to %(last)s.")
            raise forms.ValidationError(sentence, params=told) from None
        return square


class MarkForm(SheetForm):
    """One mark. The key is made with the page: pressed twice, it is the same mark."""

    key = forms.UUIDField(label=_("Form"), widget=forms.HiddenInput)
    kind = forms.ChoiceField(label=_("What to put"), choices=KINDS, widget=forms.RadioSelect)
    first = SquareField(label=_("From square"))
    second = SquareField(label=_("To square"))
    typed = forms.CharField(
        label=_("How long it is"),
        max_length=80,
        error_messages={"required": _("Say how long the dimension is.")},
        help_text=_('Only for a dimension: like 9\' 4 1/2", 14" or 2857 mm.'),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    words = forms.CharField(
        label=_("What it shows"),
        max_length=200,
        error_messages={"required": _("Say in a few words what the mark shows.")},
        help_text=_("In a few words: “blocking stops short”."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        initial = {"key": uuid.uuid4(), "kind": "arrow"}
        super().__init__(*args, auto_id="mark-%s", initial=initial, **kwargs)
        is_dimension = self.data.get("kind") == "dimension"
        self.fields["typed"].required = is_dimension or not self.is_bound
        self.fields["words"].required = not is_dimension
        for name in EXACT:
            self.fields[name] = forms.IntegerField(
                required=False, min_value=0, max_value=FULL, widget=forms.HiddenInput
            )

    def clean(self) -> dict[str, Any]:
        told: dict[str, Any] = super().clean() or {}
        if not self.errors:
            told["points"] = self._exact(told) or self._by_squares(told)
        return told

    def given(self) -> MarkInput:
        told = self.cleaned_data
        return MarkInput(told["key"], told["kind"], told["points"], told["words"], told["typed"])

    def _exact(self, told: dict[str, Any]) -> tuple[Point, Point] | None:
        numbers = [told.get(name) for name in EXACT]
        if any(number is None for number in numbers):
            return None
        x1, y1, x2, y2 = numbers
        return (x1, y1), (x2, y2)

    def _by_squares(self, told: dict[str, Any]) -> tuple[Point, Point] | None:
        first, second, kind = told["first"], told["second"], told["kind"]
        if not (first or second) or (kind == "dimension" and not (first and second)):
            sentence = _("Say from which square to which.") if first else _("Say in which square it lies.")
            self.add_error("second" if first else "first", sentence)
            return None
        if kind == "ring":
            return _around(first or second, second or first)
        if kind == "arrow" and (not first or not second or first == second):
            return _towards(centre_of(second or first))
        return centre_of(first), centre_of(second)


def _around(first: str, second: str) -> tuple[Point, Point]:
    """The box that holds both squares."""
    corners = [*box_of(first), *box_of(second)]
    across, down = [x for x, _y in corners], [y for _x, y in corners]
    return (min(across), min(down)), (max(across), max(down))


def _towards(end: Point) -> tuple[Point, Point]:
    """An arrow to ``end`` that comes from the middle's side, so that it lies on the photo."""
    x, y = (part + (AWAY if part < FULL // 2 else -AWAY) for part in end)
    return (x, y), end
