"""Lengths as people type them, and several photos at once."""

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.template.loader import render_to_string

from coordination.siteprep.lengths import parse_length
from coordination.web.forms import LengthField, PhotosField, SheetForm


@pytest.mark.parametrize("typed", ["9' 4 1/2\"", '14"', "2857 mm"])
def test_a_length_is_read_exactly(typed: str) -> None:
    assert LengthField().clean(typed) == parse_length(typed)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ("wide", '“wide” is not a length. Write it like 9\' 4 1/2", 14" or 2857 mm.'),
        ("14", '“14” has no unit. Write it like 9\' 4 1/2", 14" or 2857 mm.'),
        ("2,857 mm", "Write “2,857 mm” with a point instead of a comma, or without it."),
        ("9' 13\"", "“9' 13\"” has twelve inches or more after the feet. Write the feet on."),
        ('1/0"', '“1/0"” has a fraction over nothing.'),
    ],
)
def test_what_is_no_length_is_named_with_what_would_be_right(typed: str, said: str) -> None:
    with pytest.raises(ValidationError) as wrong:
        LengthField().clean(typed)
    assert wrong.value.messages == [said]


def test_a_length_not_given_is_nothing() -> None:
    assert LengthField(required=False).clean("  ") is None


def photo(name: str, size: int = 10) -> SimpleUploadedFile:
    return SimpleUploadedFile(name, b"x" * size, "image/jpeg")


def test_several_photos_come_as_a_list() -> None:
    files = [photo("a.jpg"), photo("b.jpg")]
    assert PhotosField().clean(files) == files


def test_no_photo_where_one_is_wanted() -> None:
    with pytest.raises(ValidationError) as wrong:
        PhotosField().clean([])
    assert wrong.value.code == "required"
    assert PhotosField(required=False).clean([]) == []


def test_a_photo_too_large_is_named(settings: pytest.FixtureRequest) -> None:
    settings.UPLOAD_LIMIT = 2_000_000  # type: ignore[attr-defined]
    with pytest.raises(ValidationError) as wrong:
        PhotosField().clean([photo("small.jpg"), photo("huge.jpg", 2_000_001)])
    assert wrong.value.messages == ["huge.jpg is larger than 2 MB."]


class OneLength(SheetForm):
    width = LengthField(label="Clear width", help_text="Between finished faces.")


def test_an_error_is_tied_to_its_field_and_keeps_what_was_typed() -> None:
    form = OneLength({"width": "4 and a bit"})
    page = render_to_string("components/field.html", {"field": form["width"]})
    assert 'aria-invalid="true"' in page
    assert 'aria-describedby="id_width_helptext id_width_error"' in page
    assert 'id="id_width_error" role="alert"' in page
    assert 'id="id_width_helptext"' in page
    assert 'value="4 and a bit"' in page
