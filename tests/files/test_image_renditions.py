# ruff: noqa: PLR0917  fixtures are named by what they make
"""What may be shown: upright, the right colours, and nothing in it but pixels."""

import io

import pytest
from PIL import Image, ImageChops, ImageCms, ImageFile

from coordination.files.images import ImageRefused, make_renditions
from tests.files.conftest import CAMERA, run

CLOCKWISE = ["red", "green", "blue", "white"]


def opened(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(data))


@pytest.mark.parametrize("name", ["a.jpg", "a.png", "a.webp", "a.heic"])
def test_sizes_of_a_large_picture(drawn, heic, name):
    path = heic(drawn("a.jpg", "2400x1800")) if name == "a.heic" else drawn(name, "2400x1800")
    copies = make_renditions(path)
    assert {size: opened(copy).size for size, copy in copies.items()} == {1600: (1600, 1200), 320: (320, 240)}
    assert {opened(copy).format for copy in copies.values()} == {"JPEG"}


def test_a_small_picture_is_not_blown_up(drawn):
    copies = make_renditions(drawn("a.png", "400x300"))
    assert {size: opened(copy).size for size, copy in copies.items()} == {1600: (400, 300), 320: (320, 240)}


def test_a_strip_keeps_its_thinner_side(drawn):
    assert opened(make_renditions(drawn("a.png", "4000x2"), sizes=[320])[320]).size == (320, 1)


@pytest.fixture
def turned_elsewhere(drawn, tagged, corner_colours, tmp_path):
    """Corner colours after another program has turned a JPEG (it knows orientation in no other kind)."""

    def turn(orientation: int) -> list[str]:
        lying = tagged(drawn("lying.jpg", "800x600"), Orientation=orientation)
        run("convert", lying, "-auto-orient", tmp_path / "upright.png")
        return corner_colours((tmp_path / "upright.png").read_bytes())

    return turn


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("name", ["a.jpg", "a.png", "a.webp"])
def test_every_orientation_comes_out_upright(
    drawn, tagged, corner_colours, turned_elsewhere, name, orientation
):
    copy = make_renditions(tagged(drawn(name, "800x600"), Orientation=orientation), sizes=[320])[320]
    assert corner_colours(copy) == turned_elsewhere(orientation)
    assert opened(copy).size == ((320, 240) if orientation < 5 else (240, 320))


@pytest.mark.parametrize("orientation", range(1, 9))
def test_heic_is_not_turned_twice(drawn, tagged, heic, corner_colours, turned_elsewhere, orientation):
    phone = heic(tagged(drawn("a.jpg", "800x600"), Orientation=orientation))
    assert corner_colours(make_renditions(phone, sizes=[320])[320]) == turned_elsewhere(orientation)


def test_heic_whose_exif_says_turned_but_whose_container_does_not(drawn, tagged, heic, corner_colours):
    path = tagged(heic(drawn("a.jpg", "800x600")), Orientation=6)
    assert run("exiftool", "-n", "-s3", "-Orientation", path).strip() == "6"
    assert corner_colours(make_renditions(path, sizes=[320])[320]) == CLOCKWISE


@pytest.mark.parametrize("name", ["a.jpg", "a.png", "a.webp", "a.heic"])
def test_no_place_time_device_or_comment_is_carried_over(drawn, tagged, heic, name):
    path = heic(drawn("a.jpg")) if name == "a.heic" else drawn(name)
    tagged(path, **CAMERA, **{"XMP-dc:Description": "kept secret"})
    if name == "a.jpg":
        tagged(path, Comment="<script>alert(1)</script>")
    for copy in make_renditions(path).values():
        assert not any(word in copy for word in (b"script", b"secret", b"Exif", b"xap", b"Plainview", b"ICC"))
        with opened(copy) as picture:
            assert dict(picture.getexif()) == {}
            assert set(picture.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}


def test_exiftool_finds_nothing_personal_in_a_rendition(drawn, tagged, tmp_path):
    copy = tmp_path / "copy.jpg"
    copy.write_bytes(make_renditions(tagged(drawn("a.jpg"), **CAMERA))[320])
    groups = {line.split("]")[0].strip("[ ") for line in run("exiftool", "-G", copy).splitlines()}
    assert groups == {"ExifTool", "File", "JFIF", "Composite"}


def test_what_hangs_behind_a_picture_stays_behind(drawn):
    film = b"\0\0\0\x18ftypmp42" + b"film" * 500
    assert all(
        b"filmfilm" not in copy for copy in make_renditions(drawn("a.jpg").read_bytes() + film).values()
    )


def test_wide_colours_are_converted_as_another_engine_does(tmp_path):
    """A colour given in a wider space must look the same in the copy, which carries no profile."""
    wide = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB"))
    picture = Image.new("RGB", (64, 64), (200, 80, 60))
    swapped = swapped_profile()
    picture.save(tmp_path / "wide.png", icc_profile=swapped)
    run(
        "convert",
        tmp_path / "wide.png",
        "-profile",
        write(tmp_path / "srgb.icc", wide.tobytes()),
        tmp_path / "independent.png",
    )
    with Image.open(tmp_path / "independent.png") as other:
        expected = other.convert("RGB").getpixel((32, 32))
    found = opened(make_renditions(tmp_path / "wide.png", sizes=[64])[64]).getpixel((32, 32))
    assert expected != (200, 80, 60)
    assert max(abs(a - b) for a, b in zip(found, expected, strict=True)) <= 3


def write(path, data):
    path.write_bytes(data)
    return path


def swapped_profile() -> bytes:
    """sRGB's profile with the primaries of red and green exchanged: a change nobody can overlook."""
    data = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    return data.replace(b"rXYZ", b"tmp!").replace(b"gXYZ", b"rXYZ").replace(b"tmp!", b"gXYZ")


def test_a_broken_profile_counts_as_none(tmp_path):
    Image.new("RGB", (64, 64), (200, 80, 60)).save(tmp_path / "a.png", icc_profile=b"no profile at all")
    found = opened(make_renditions(tmp_path / "a.png", sizes=[64])[64]).getpixel((32, 32))
    assert max(abs(a - b) for a, b in zip(found, (200, 80, 60), strict=True)) <= 2


@pytest.mark.parametrize(
    ("more", "expected"),
    [
        (["-colorspace", "Gray"], (127, 127, 127)),
        (["-colorspace", "CMYK"], (128, 128, 128)),
        (["-type", "Palette"], (128, 128, 128)),
        (["-depth", "16", "-colorspace", "Gray", "-define", "png:bit-depth=16"], (127, 127, 127)),
        (["-depth", "16"], (128, 128, 128)),
    ],
)
def test_every_pixel_form_comes_out_as_the_same_grey(tmp_path, more, expected):
    path = tmp_path / ("a.jpg" if "CMYK" in more else "a.png")
    run("convert", "-size", "64x64", "xc:gray(128)", *more, path)
    found = opened(make_renditions(path, sizes=[64])[64]).getpixel((32, 32))
    assert max(abs(a - b) for a, b in zip(found, expected, strict=True)) <= 2


def test_what_is_transparent_becomes_white(tmp_path):
    run("convert", "-size", "64x64", "xc:none", tmp_path / "a.png")
    assert opened(make_renditions(tmp_path / "a.png", sizes=[64])[64]).getpixel((32, 32)) == (255, 255, 255)


def test_the_copy_shows_what_the_original_shows(drawn, tmp_path):
    path = tmp_path / "plasma.jpg"
    run(
        "convert",
        "-size",
        "2000x1500",
        "-seed",
        "7",
        "plasma:fractal",
        "-blur",
        "0x2",
        "-quality",
        "95",
        path,
    )
    copy = opened(make_renditions(path)[1600]).convert("RGB")
    independent = tmp_path / "small.png"
    run("convert", path, "-filter", "Lanczos", "-resize", "1600x1200", independent)
    with Image.open(independent) as other:
        difference = ImageChops.difference(copy, other.convert("RGB")).convert("L").histogram()
    mean = sum(value * count for value, count in enumerate(difference)) / sum(difference)
    assert mean < 2.0


def test_the_same_picture_twice_gives_the_same_bytes(drawn):
    path = drawn("a.jpg", "2000x1500")
    assert make_renditions(path) == make_renditions(path)


@pytest.mark.parametrize("name", ["a.png", "a.webp", "a.heic"])
def test_damage_inside_is_found_when_decoding(drawn, heic, name):
    noisy = ["-attenuate", "2", "+noise", "Gaussian"]
    path = heic(drawn("a.jpg", "800x600", *noisy)) if name == "a.heic" else drawn(name, "800x600", *noisy)
    data = path.read_bytes()
    with pytest.raises(ImageRefused) as refusal:
        make_renditions(data[: len(data) // 2])
    assert refusal.value.reason in {"truncated", "damaged"}


def test_half_a_photo_is_refused_also_after_a_pdf_was_made(drawn, monkeypatch):
    """WeasyPrint tells Pillow, for the whole process, to fill up what is missing with grey."""
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)
    data = drawn("a.png", "800x600", "-attenuate", "2", "+noise", "Gaussian").read_bytes()
    damaged = data[: len(data) // 2] + bytes(2000) + data[len(data) // 2 + 2000 :]
    for bad in (data[: len(data) // 2], damaged):
        with pytest.raises(ImageRefused):
            make_renditions(bad)
