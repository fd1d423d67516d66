"""What the forms share: lengths as people type them, days, several photos at once."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django import forms
from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.utils.functional import Promise
from django.utils.timezone import get_current_timezone
from django.utils.translation import gettext_lazy as _

from coordination.evidence.refusals import NotAReading
from coordination.evidence.series import read_moment
from coordination.siteprep.lengths import LengthError, UnitSystem, format_length, parse_length
from coordination.web.refused import in_words

MOMENT = "%Y-%m-%dT%H:%M"
PHOTO_TYPES = "image/jpeg,image/png,image/webp,image/heic,image/heif,.jpg,.jpeg,.png,.webp,.heic,.heif"

LENGTH_ERRORS: dict[str, str | Promise] = {
    "not a length": _('“%(typed)s” is not a length. Write it like 9\' 4 1/2", 14" or 2857 mm.'),
    "no unit": _('“%(typed)s” has no unit. Write it like 9\' 4 1/2", 14" or 2857 mm.'),
    "comma in number": _("Write “%(typed)s” with a point instead of a comma, or without it."),
    "inches over a foot": _("“%(typed)s” has twelve inches or more after the feet. Write the feet on."),
    "division by nothing": _("“%(typed)s” has a fraction over nothing."),
    "finer than a nanometre": _("“%(typed)s” is finer than anybody can measure."),
}


class SheetForm(forms.Form):
    """A form on a sheet: its fields are written with components/field.html."""

    required_css_class = ""
    use_required_attribute = False

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("label_suffix", "")
        super().__init__(*args, **kwargs)


class LengthField(forms.CharField):
    """A length as typed, cleaned to nanometres; ``typed`` texts stay as they were in the form's data."""

    def __init__(self, *, system: UnitSystem | None = None, **kwargs: Any) -> None:
        self.system = system
        super().__init__(**kwargs)
        self.widget.attrs.setdefault("autocomplete", "off")

    def clean(self, value: Any) -> int | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            return parse_length(text, self.system)
        except LengthError as wrong:
            sentence = LENGTH_ERRORS.get(wrong.reason, LENGTH_ERRORS["not a length"])
            raise ValidationError(sentence, code="length", params={"typed": wrong.typed}) from None

    def prepare_value(self, value: Any) -> Any:
        return format_length(value, self.system or "us") if isinstance(value, int) else value


class DayField(forms.DateField):
    """A calendar day, with the browser's own picker."""

    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class MomentField(forms.CharField):
    """A day and hour on the site's own clock, with the browser's own picker; cleaned to a moment.

    Typed in words it is read as in a series. An hour that the clocks strike twice is the first.
    """

    widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format=MOMENT)

    def clean(self, value: Any) -> datetime | None:
        text = super().clean(value)
        if not text:
            return None
        try:
            return datetime.fromisoformat(read_moment(text)).replace(tzinfo=get_current_timezone())
        except NotAReading as wrong:
            raise ValidationError(in_words(wrong), code="moment") from None


class SeveralFiles(forms.ClearableFileInput):
    """A file input that takes several files at once."""

    allow_multiple_selected = True


class PhotosField(forms.FileField):
    """One or more photos; cleaned to a list. What they really are is looked at when they are stored."""

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("widget", SeveralFiles(attrs={"accept": PHOTO_TYPES}))
        super().__init__(**kwargs)

    def clean(self, value: Any, initial: Any = None) -> list[UploadedFile]:  # type: ignore[override]
        given: Sequence[Any] = value if isinstance(value, list | tuple) else [value] if value else []
        if not given:
            super().clean(None, initial)
            return []
        files = [super(PhotosField, self).clean(file, initial) for file in given]
        for file in files:
            if file.size > settings.UPLOAD_LIMIT:
                raise ValidationError(
                    _("%(name)s is larger than %(limit)s MB."),
                    code="too large",
                    params={"name": file.name, "limit": settings.UPLOAD_LIMIT // 1_000_000},
                )
        return files
