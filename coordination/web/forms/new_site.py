"""Setting up a site: by hand with a model's data sheet, or from a job file."""

from collections.abc import Iterable
from typing import Any
from zoneinfo import available_timezones

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext_lazy as _

from coordination.web.forms.base import SheetForm

MOST_BYTES = 200_000
TOML = forms.ClearableFileInput(attrs={"accept": ".toml,application/toml,text/plain"})
CODE_SETS = [
    ("us", _("US codes: elevator, hoistway, hoistway door, story")),
    ("en", _("EN 81 standards: lift, well, landing door, storey")),
]
Choices = Iterable[tuple[str, str]]


class TomlField(forms.FileField):
    """A TOML file that a person wrote; cleaned to its text."""

    widget = TOML

    def clean(self, value: Any, initial: Any = None) -> str:
        file: UploadedFile | None = super().clean(value, initial)
        if not file:
            return ""
        if (file.size or 0) > MOST_BYTES:
            raise ValidationError(
                _("%(name)s is too large for a file that a person wrote."), params={"name": file.name}
            )
        try:
            return file.read().decode("utf-8")
        except UnicodeDecodeError:
            raise ValidationError(
                _("%(name)s is not a text file in UTF-8."), params={"name": file.name}
            ) from None


class SiteForm(SheetForm):
    """Name, place, zone, code set, and the data sheet of the lift's model. ``uid`` makes a second press harmless."""

    uid = forms.UUIDField(label=_("Form"), widget=forms.HiddenInput)
    name = forms.CharField(label=_("Name of the job"), max_length=120)
    place = forms.CharField(label=_("Where it is"), max_length=200, required=False)
    zone = forms.CharField(
        label=_("Time zone"),
        max_length=64,
        help_text=_("As America/New_York"),
        widget=forms.TextInput(attrs={"list": "zones", "autocomplete": "off"}),
    )
    code_set = forms.ChoiceField(label=_("Codes and words"), choices=CODE_SETS, widget=forms.RadioSelect)
    company = forms.ChoiceField(label=_("For"), required=False)
    model = forms.ChoiceField(
        label=_("Data sheet of the model"),
        required=False,
        help_text=_("Its figures are entered as facts that name it as their source."),
    )
    sheet = TomlField(label=_("Or a data sheet of your own, in TOML"), required=False)

    def __init__(self, *args: Any, companies: Choices, models: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        listed = list(companies)
        self.fields["company"].choices = listed  # type: ignore[attr-defined]
        self.fields["model"].choices = [("", _("none yet")), *models]  # type: ignore[attr-defined]
        if len(listed) < 2:
            del self.fields["company"]

    def clean_zone(self) -> str:
        zone: str = self.cleaned_data["zone"].strip()
        if zone not in available_timezones():
            raise ValidationError(
                _("%(typed)s is not a time zone; write one such as America/New_York."), params={"typed": zone}
            )
        return zone

    def clean(self) -> dict[str, Any]:
        told = super().clean() or {}
        if told.get("model") and told.get("sheet"):
            self.add_error("sheet", _("Choose a data sheet or send one, not both."))
        return told


class JobFileForm(SheetForm):
    """A whole job in one file, and the data sheet that it names where that is not among ours."""

    uid = forms.UUIDField(label=_("Form"), widget=forms.HiddenInput)
    company = forms.ChoiceField(label=_("For"), required=False)
    job = TomlField(label=_("Job file, in TOML"))
    sheet = TomlField(label=_("The data sheet that it names, if it is not one of ours"), required=False)

    def __init__(self, *args: Any, companies: Choices, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        listed = list(companies)
        self.fields["company"].choices = listed  # type: ignore[attr-defined]
        if len(listed) < 2:
            del self.fields["company"]
