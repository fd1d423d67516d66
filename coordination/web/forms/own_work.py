"""Work that a project adds: what, where, whose, how long, what comes before it and behind it."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from coordination.gates.own_work import MOST_DAYS, MOST_NAME, WorkWish
from coordination.web.forms.base import DayField, SheetForm
from coordination.web.forms.own_gates import Boxes, Choices, Several, boxes_of


class OwnWorkForm(SheetForm):
    """``choices`` gives places, trades and the boxes of tasks by field."""

    name = forms.CharField(
        label=_("What is to be done"),
        max_length=MOST_NAME,
        error_messages={"required": _("Say what is to be done.")},
    )
    place = forms.ChoiceField(label=_("Where"))
    trade = forms.ChoiceField(label=_("Whose work it is"))
    days = forms.IntegerField(label=_("Working days it takes"), min_value=1, max_value=MOST_DAYS, initial=1)
    due = DayField(label=_("To be done by"), required=False)
    accepts = forms.ChoiceField(
        label=_("Who looks at it when it is done"),
        choices=[
            ("coordinator", _("the coordinator")),
            ("contractor", _("the general contractor")),
            ("", _("nobody; done is enough")),
        ],
        widget=forms.RadioSelect,
        required=False,
    )
    after = Several(label=_("Work that comes first"), required=False)
    before = Several(label=_("Work that waits for it"), required=False)

    def __init__(self, *args: Any, choices: dict[str, Choices], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, offered in choices.items():
            first = [("", "")] if name in {"place", "trade"} else []
            self.fields[name].choices = [*first, *offered]  # type: ignore[attr-defined]

    def folded(self) -> list[Boxes]:
        """The long lists."""
        return [boxes_of(self[name], opened=False) for name in ("after", "before")]

    def wish(self) -> WorkWish:
        told = self.cleaned_data
        return WorkWish(
            told["name"],
            told["place"],
            told["trade"],
            days=told["days"],
            after=tuple(told["after"]),
            before=tuple(told["before"]),
            accepts=told["accepts"],
            due=told["due"],
        )
