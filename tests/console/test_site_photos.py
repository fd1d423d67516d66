"""Photographs drawn by code, read back by libraries that did not write them."""

import io
from datetime import UTC, datetime, timedelta, timezone

import exifread
import numpy as np
import pytest
from PIL import Image, ImageOps

from coordination.console.demo.site_photos import MAKE, MODEL, TWELVE_MEGAPIXELS, VIEWS, draw_photo, view_for

CHICAGO = timezone(timedelta(hours=-6))
TAKEN = datetime(2026, 3, 3, 9, 41, 7, tzinfo=CHICAGO)
SMALL = (640, 480)


def photo(view="pit", **how):
    return draw_photo(view, **({"seed": 1, "taken_at": TAKEN, "size": SMALL} | how))


def opened(data):
    return Image.open(io.BytesIO(data))


def grey(data):
    return np.asarray(ImageOps.exif_transpose(opened(data)).convert("L"), float)


def tags(data):
    """Tags by a reader that is not the writer; from a HEIC or WebP box it gets the TIFF part that the box holds."""
    if data[4:8] == b"ftyp" or data[8:12] == b"WEBP":
        data = data[max(data.rfind(b"MM\0*"), data.rfind(b"II*\0")) :]
    return {key: str(value) for key, value in exifread.process_file(io.BytesIO(data), details=False).items()}


@pytest.mark.parametrize("view", VIEWS)
def test_every_view_is_a_picture_with_something_in_it(view):
    pixels = grey(photo(view))
    assert pixels.shape == (480, 640)
    assert 40 < pixels.mean() < 225
    assert pixels.std() > 14


def test_views_and_seeds_differ_and_the_same_is_the_same():
    assert len({photo(view) for view in VIEWS}) == len(VIEWS)
    assert photo(seed=1) != photo(seed=2)
    assert photo(seed=1) == photo(seed=1)


def test_twelve_megapixels_are_the_default():
    data = draw_photo("guard", seed=3, taken_at=TAKEN)
    assert (opened(data).size, opened(data).format) == (TWELVE_MEGAPIXELS, "JPEG")
    assert 600_000 < len(data) < 6_000_000


def test_date_offset_and_camera_are_in_the_exif():
    read = tags(photo())
    assert {
        key: read[key]
        for key in ("EXIF DateTimeOriginal", "EXIF OffsetTimeOriginal", "Image Make", "Image Model")
    } == {
        "EXIF DateTimeOriginal": "2026:03:03 09:41:07",
        "EXIF OffsetTimeOriginal": "-06:00",
        "Image Make": MAKE,
        "Image Model": MODEL,
    }


@pytest.mark.parametrize(("fmt", "format_"), [("JPEG", "JPEG"), ("PNG", "PNG"), ("WEBP", "WEBP")])
def test_formats_carry_their_exif(fmt, format_):
    data = photo(fmt=fmt, orientation=6)
    assert opened(data).format == format_
    read = tags(data)
    assert (read["EXIF DateTimeOriginal"], read["Image Orientation"]) == (
        "2026:03:03 09:41:07",
        "Rotated 90 CW",
    )


def test_heic_opens_upright_and_carries_its_date():
    from pillow_heif import open_heif

    data = photo(fmt="HEIC", orientation=6)
    assert data[4:12] in (b"ftypheic", b"ftypheix", b"ftypmif1")
    picture = open_heif(io.BytesIO(data), convert_hdr_to_8bit=True).to_pillow()
    assert tags(data)["EXIF DateTimeOriginal"] == "2026:03:03 09:41:07"
    upright = np.asarray(picture.convert("L"), float)
    plain = grey(photo(fmt="JPEG", orientation=6))
    assert upright.shape == plain.shape
    assert abs(upright - plain).mean() < 12


@pytest.mark.parametrize("orientation", range(1, 9))
def test_turned_by_its_exif_the_picture_is_upright(orientation):
    turned = orientation >= 5
    data = photo("guard", orientation=orientation, size=SMALL[::-1] if turned else SMALL)
    assert opened(data).size == (SMALL[::-1] if turned else SMALL)
    assert exifread.process_file(io.BytesIO(data), details=False)["Image Orientation"].values == [orientation]
    assert abs(grey(data) - grey(photo("guard"))).mean() < 6


def test_the_spoiled_one_is_dark_and_blurred():
    good, bad = (grey(photo(spoiled=spoiled, size=(1600, 1200))) for spoiled in (False, True))
    assert bad.mean() < 0.6 * good.mean()

    def sharpness(pixels):
        """Variance of the Laplacian at a size where noise is averaged out."""
        small = np.asarray(
            Image.fromarray(pixels.astype(np.uint8)).resize((160, 120), Image.Resampling.BOX), float
        )
        return (
            4 * small[1:-1, 1:-1] - small[:-2, 1:-1] - small[2:, 1:-1] - small[1:-1, :-2] - small[1:-1, 2:]
        ).var()

    assert sharpness(bad) < 0.3 * sharpness(good)


def test_location_only_when_asked():
    assert [key for key in tags(photo()) if key.startswith("GPS")] == []
    read = exifread.process_file(io.BytesIO(photo(gps=(41.5, -93.625))), details=False)
    latitude, longitude = (
        [float(v) for v in read[f"GPS GPS{name}"].values] for name in ("Latitude", "Longitude")
    )
    assert (latitude, str(read["GPS GPSLatitudeRef"])) == ([41, 30, 0], "N")
    assert (longitude, str(read["GPS GPSLongitudeRef"])) == ([93, 37, 30], "W")


def test_time_zones_are_written_as_offsets():
    assert tags(photo(taken_at=datetime(2026, 7, 1, 12, tzinfo=UTC)))["EXIF OffsetTimeOriginal"] == "+00:00"
    assert (
        tags(photo(taken_at=datetime(2026, 7, 1, 12, tzinfo=timezone(timedelta(hours=5, minutes=30)))))[
            "EXIF OffsetTimeOriginal"
        ]
        == "+05:30"
    )


@pytest.mark.parametrize(
    ("wrong", "name"),
    [
        ({"view": "kitchen"}, "view"),
        ({"taken_at": datetime(2026, 3, 3)}, "taken_at"),  # noqa: DTZ001 - the fault under test
        ({"size": (4, 4)}, "size"),
        ({"orientation": 9}, "orientation"),
        ({"fmt": "BMP"}, "fmt"),
        ({"gps": (120.0, 0.0)}, "gps"),
    ],
)
def test_wrong_arguments_are_named(wrong, name):
    with pytest.raises(ValueError, match=f"^{name}:"):
        photo(**wrong)


@pytest.mark.parametrize(
    ("words", "view"),
    [
        ("vertical backing, both sides of the rail", "framing"),
        ("sump recess", "pit"),
        ("Main disconnect with its auxiliary contact", "machine room"),
        ("GFCI receptacle in the pit", "receptacle"),
        ("smoke detector, landing 2", "smoke detector"),
        ("guard at the opening", "guard"),
        ("hoistway door frame", "door frame"),
        ("batch ticket", "document"),
        ("something else", "framing"),
    ],
)
def test_a_requirement_finds_its_view(words, view):
    assert view_for(words) == view
