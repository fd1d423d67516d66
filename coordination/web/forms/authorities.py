"""What is known of an authority: office, telephone, permit, notice, inspections in order."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from coordination.projects.models import Authority
from coordination.web.forms.base import DayField, SheetForm
from coordination.web.forms.companies import PHONE

MOST_INSPECTIONS = 12
LONGEST_NOTICE = 180


class AuthorityForm(SheetForm):
    """``kind`` is posted hidden. Office, permit and notice are site facts: left empty, they stay as they are."""

    kind = forms.ChoiceField(choices=[(kind, kind) for kind in Authority.KINDS], widget=forms.HiddenInput)
    name = forms.CharField(
        label=_("Office"), max_length=120, required=False, help_text=_("Left empty, it stays as it is.")
    )
    phone = forms.CharField(
        label=_("Telephone"), max_length=40, required=False, widget=forms.TextInput(attrs=PHONE)
    )
    permit = forms.CharField(
        label=_("Permit number"), max_length=60, required=False, help_text=_("Left empty, it stays as it is.")
    )
    permit_on = DayField(label=_("Date of the permit"), required=False)
    notice = forms.IntegerField(
        label=_("Days of notice before an inspection"),
        required=False,
        min_value=0,
        max_value=LONGEST_NOTICE,
        error_messages={
            name: _("Write whole days from 0 to 180.") for name in ("invalid", "min_value", "max_value")
        },
        help_text=_("Left empty, it stays as it is."),
    )
    inspections = forms.CharField(
        label=_("Inspections, in order"),
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text=_("One on each line, such as: rough-in."),
    )

    def clean_inspections(self) -> tuple[str, ...]:
        names = [name.strip() for name in self.cleaned_data["inspections"].splitlines()]
        found = tuple(filter(None, names))
        if len(found) > MOST_INSPECTIONS:
            raise forms.ValidationError(_("At most %(most)s inspections."), params={"most": MOST_INSPECTIONS})
        return found


def authority_form(kind: str, standing: dict[str, Any]) -> AuthorityForm:
    """The form of one authority, with what stands."""
    told = {**standing, "inspections": "\n".join(standing["inspections"]), "kind": kind}
    return AuthorityForm(initial=told, auto_id=f"id_{kind}_%s")
