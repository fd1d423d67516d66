"""Handing in, and what somebody says of it: one small form for each kind of requirement."""

import re
import uuid
from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.validators import MaxLengthValidator
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from coordination.web.forms.base import PHOTO_TYPES, DayField, MomentField, PhotosField, SheetForm
from coordination.web.shapes.needs import Need

MOST_REASON = 300


class HandInForm(SheetForm):
    """What every hand-in carries: the sender's own key, the terms that were seen, and on whose word it is entered.

    The key is made with the page: pressed twice, it is the same item.
    """

    key = forms.UUIDField(label=_("Form"), widget=forms.HiddenInput)
    terms = forms.CharField(widget=forms.HiddenInput, required=False, max_length=64)
    note = forms.CharField(label=_("Note"), max_length=500, required=False)
    taken_by = forms.CharField(
        label=_("Who took it"),
        max_length=120,
        error_messages={"required": _("Only a named authorised person does this. Give that person’s name.")},
    )
    company = forms.CharField(widget=forms.HiddenInput, required=False, max_length=120)
    source = forms.CharField(
        label=_("Where it came from"),
        max_length=120,
        required=False,
        help_text=_("A texted photo, a call: who sent it, when. It is recorded with your name."),
    )

    def __init__(self, *args: Any, need: Need, for_company: str | None = None, **kwargs: Any) -> None:
        """``for_company`` is the name of the company it is entered for; None for one's own work."""
        initial = {"key": uuid.uuid4(), "terms": need.terms_sha, "company": for_company or ""}
        super().__init__(*args, auto_id=f"need-{need.uid}-%s", initial=initial, **kwargs)
        self.need, self.for_company = need, for_company
        if not need.authorised or need.form_kind not in {"photo", "reading", "series"}:
            del self.fields["taken_by"]
        if for_company is None:
            del self.fields["company"], self.fields["source"]
        else:
            self.fields["source"].required = True
            self.fields["source"].error_messages["required"] = _(
                "Say where it came from: a texted photo, a call."
            )

    @property
    def shown(self) -> Sequence[forms.BoundField]:
        """The fields that components/field.html writes; files stand in components/upload.html."""
        return [field for field in self if field.name not in {"photos", "document"}]


class AlsoField(forms.MultipleChoiceField):
    """Other views, each as ``uid:digest of its terms``. One that is settled meanwhile is left out by the action."""

    def valid_value(self, value: str) -> bool:
        return re.fullmatch(r"[0-9a-f-]{36}:[0-9a-f]{0,64}", value) is not None


class PhotoForm(HandInForm):
    """Several photos of one view."""

    photos = PhotosField(
        label=_("Photos"),
        allow_empty_file=True,
        help_text=_("Several at once: JPEG, PNG, WebP or HEIC."),
        error_messages={"required": _("Take a photo, or choose one.")},
    )
    compare_place = forms.BooleanField(
        label=_("Compare where the photos were taken with the site"),
        required=False,
        help_text=_("Only “at the site” or “far from it” is kept, and only where a photo says its place."),
    )
    also = AlsoField(label=_("It also shows"), required=False, widget=forms.CheckboxSelectMultiple)
    field_order = ("key", "terms", "photos", "also", "compare_place")

    def __init__(self, *args: Any, need: Need, **kwargs: Any) -> None:
        super().__init__(*args, need=need, **kwargs)
        if not need.compares_place:
            del self.fields["compare_place"]
        self.fields["also"].choices = need.also  # type: ignore[attr-defined]
        if not need.also and not self.is_bound:
            del self.fields["also"]


def taken_field() -> MomentField:
    """When a reading was taken. The page fills in now, and goes on doing so until somebody types another time."""
    return MomentField(label=_("Taken on"), required=False, max_length=40)


class ReadingForm(HandInForm):
    """What was read, and with what."""

    typed = forms.CharField(
        label=_("What was read"), max_length=200, error_messages={"required": _("Type what was read.")}
    )
    instrument = forms.CharField(
        label=_("Read with"), max_length=120, required=False, help_text=_("Tape, level, meter: which one.")
    )
    taken_at = taken_field()
    field_order = ("key", "terms", "typed", "instrument", "taken_at")

    def __init__(self, *args: Any, need: Need, **kwargs: Any) -> None:
        super().__init__(*args, need=need, **kwargs)
        attributes = self.fields["typed"].widget.attrs
        attributes["autocomplete"] = "off"
        if not need.asks_length:
            attributes["inputmode"] = "decimal"
        self.fields["typed"].help_text = _('Like 9\' 4 1/2", 14" or 2857 mm.') if need.asks_length else ""


class DocumentForm(HandInForm):
    """A paper. On an authority's own document, number and date must stand."""

    document = forms.FileField(
        label=_("Paper"),
        allow_empty_file=True,
        widget=forms.FileInput(attrs={"accept": f"application/pdf,.pdf,{PHOTO_TYPES}"}),
        help_text=_("A PDF, or a photo of the paper."),
        error_messages={"required": _("Choose the paper, or take a photo of it.")},
    )
    number = forms.CharField(label=_("Number on it"), max_length=80, required=False)
    dated = DayField(label=_("Date on it"), required=False)
    replaces = forms.ChoiceField(label=_("What stands there"), required=False)
    field_order = ("key", "terms", "document", "replaces", "number", "dated")

    def __init__(self, *args: Any, need: Need, **kwargs: Any) -> None:
        super().__init__(*args, need=need, **kwargs)
        self._offer_to_replace(need)
        for name in ("number", "dated") if need.release else ():
            self.fields[name].required = True
        self.fields["number"].error_messages["required"] = _(
            "Give the number that stands on the authority’s document."
        )
        self.fields["dated"].error_messages["required"] = _(
            "Give the date that stands on the authority’s document."
        )

    def _offer_to_replace(self, need: Need) -> None:
        """A newer paper beside what stands, or in its place; where that is settled, only in its place."""
        if not need.release:
            self.fields["number"].label = _("Number or revision on it")
        beside = [] if need.only_newer else [("", _("It stands beside it"))]
        newer = [
            (uid, _("It takes the place of %(paper)s") % {"paper": words}) for uid, words in need.replaceable
        ]
        self.fields["replaces"].choices = [*beside, *newer]  # type: ignore[attr-defined]
        if not need.replaceable:
            del self.fields["replaces"]


class SignatureForm(HandInForm):
    """A name under a sentence."""

    typed = forms.CharField(
        label=_("Name of who signs"),
        max_length=200,
        error_messages={"required": _("Write your name to sign.")},
    )
    field_order = ("key", "terms", "typed")

    def __init__(self, *args: Any, need: Need, signer: str = "", **kwargs: Any) -> None:
        super().__init__(*args, need=need, **kwargs)
        self.initial["typed"] = signer
        self.fields["typed"].widget.attrs["autocomplete"] = "name"


FORMS: dict[str, type[HandInForm]] = {
    "photo": PhotoForm,
    "reading": ReadingForm,
    "document": DocumentForm,
    "signature": SignatureForm,
}


class UUIDsField(forms.Field):
    """Several things ticked by their own keys."""

    widget = forms.MultipleHiddenInput

    def to_python(self, value: Any) -> list[uuid.UUID]:
        try:
            return [uuid.UUID(text) for text in value or ()]
        except ValueError:
            raise forms.ValidationError(_("Tick it again: this is no mark.")) from None


class AnswerForm(forms.Form):
    """Accepted, or refused with reasons: some to tick, some in own words."""

    outcome = forms.ChoiceField(choices=[("accepted", "accepted"), ("refused", "refused")])
    reasons = forms.MultipleChoiceField(required=False)
    words = forms.CharField(
        required=False,
        max_length=MOST_REASON,
        validators=[MaxLengthValidator(MOST_REASON)],
        widget=forms.Textarea,
        label=_("In your own words"),
    )
    source = forms.CharField(required=False, max_length=120, label=_("Where it came from"))
    marks = UUIDsField(required=False)

    def __init__(self, *args: Any, known: Sequence[tuple[str, str | Promise]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.known = known
        self.fields["reasons"].choices = list(known)  # type: ignore[attr-defined]

    def why(self) -> list[str]:
        """Every reason as a sentence."""
        told = self.cleaned_data
        return [str(words) for value, words in self.known if value in told["reasons"]] + [
            words for words in [told["words"].strip()] if words
        ]


class RefusalPhotosForm(SheetForm):
    """Photos of what is wrong with work that is held out; none is needed."""

    photos = PhotosField(
        label=_("Photos of what is wrong"),
        required=False,
        allow_empty_file=True,
        help_text=_(
            "They go back with your reasons; marks are put on them afterwards. JPEG, PNG, WebP or HEIC."
        ),
    )


class HandoffForm(AnswerForm, RefusalPhotosForm):
    """The receiver's word: accepted, or refused with reasons and photos."""


class InTheirPlaceForm(forms.Form):
    """Why somebody accepts in the place of a receiver who has not answered."""

    reason = forms.CharField(
        max_length=MOST_REASON,
        label=_("Why"),
        error_messages={"required": _("Say why you accept in the place of who has not answered.")},
    )


class WithdrawForm(forms.Form):
    """Taking back what was handed in."""

    evidence = forms.UUIDField()
    reason = forms.CharField(
        max_length=MOST_REASON, label=_("Why"), error_messages={"required": _("Say why it is withdrawn.")}
    )


class EndingForm(forms.Form):
    """Taking a concession back."""

    concession = forms.UUIDField()
    reason = forms.CharField(
        max_length=MOST_REASON,
        label=_("Why"),
        error_messages={"required": _("Say why the concession is taken back.")},
    )


class ConcessionForm(SheetForm):
    """Going on without a requirement: for which part of the work, why, until when."""

    reason = forms.CharField(
        label=_("Why"),
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": _("Give the reason for going on without it.")},
    )
    scope = forms.CharField(
        label=_("For which part of the work"),
        max_length=500,
        required=False,
        help_text=_("A second voice may leave this empty: it speaks for the same."),
    )
    expires_on = DayField(label=_("Until"), required=False)
    quantity = forms.CharField(
        label=_("Or limited to how many or how much"),
        max_length=200,
        required=False,
        help_text=_("Four brackets, the left wall up to landing 2."),
    )
