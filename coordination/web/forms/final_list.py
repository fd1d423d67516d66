"""What is written down for one item of the final list."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from coordination.web.forms.base import SheetForm


class ItemForm(SheetForm):
    """Where it is, or why it is not needed; a day where the item has one; a paper beside it."""

    state = forms.ChoiceField(
        label=_("It is"),
        choices=[("present", _("there")), ("not needed", _("not needed"))],
        widget=forms.RadioSelect,
        initial="present",
    )
    words = forms.CharField(
        label=_("In words"),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": _("Write where it is, or why it is not needed.")},
    )
    day = forms.DateField(label=_("Day"), required=False, widget=forms.DateInput(attrs={"type": "date"}))
    file = forms.FileField(label=_("Paper: a PDF or a picture"), required=False)

    def __init__(self, *args: Any, asks: str = "", asks_day: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["words"].help_text = asks
        if asks_day:
            self.fields["day"].label = asks_day
        else:
            del self.fields["day"]
