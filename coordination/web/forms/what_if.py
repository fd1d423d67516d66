"""What is supposed: work that slips, or a link that people want."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from coordination.dates.own_links import MOST_LAG
from coordination.projects.actions.days import MOST_DAYS
from coordination.web.forms.base import SheetForm

Choices = Iterable[tuple[str, str]]


class SlipForm(SheetForm):
    """Work that comes later, or takes longer."""

    task = forms.ChoiceField(label=_("Work that slips"))
    later = forms.IntegerField(label=_("By how many working days"), min_value=1, max_value=MOST_DAYS)

    def __init__(self, *args: Any, tasks: Choices, **kwargs: Any) -> None:
        super().__init__(*args, auto_id="id_slip_%s", **kwargs)
        self.fields["task"].choices = [("", ""), *tasks]  # type: ignore[attr-defined]


class LinkForm(SheetForm):
    """A link between two pieces of work."""

    before = forms.ChoiceField(label=_("This comes first"))
    after = forms.ChoiceField(label=_("And this waits for it"))
    kind = forms.ChoiceField(
        label=_("How it waits"),
        choices=[
            ("FS", _("it starts when the first is finished")),
            ("SS", _("it starts when the first has started")),
            ("FF", _("it finishes when the first is finished")),
            ("SF", _("it finishes when the first has started")),
        ],
        initial="FS",
    )
    lag = forms.IntegerField(label=_("Days between"), min_value=-MOST_LAG, max_value=MOST_LAG, initial=0)
    unit = forms.ChoiceField(
        label=_("Counted as"),
        choices=[("working", _("working days")), ("calendar", _("calendar days"))],
        initial="working",
    )

    def __init__(self, *args: Any, tasks: Choices, **kwargs: Any) -> None:
        super().__init__(*args, auto_id="id_link_%s", **kwargs)
        listed = [("", ""), *tasks]
        for name in ("before", "after"):
            self.fields[name].choices = listed  # type: ignore[attr-defined]
