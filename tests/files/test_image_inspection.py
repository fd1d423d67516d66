"""What a picture says of itself is what independent programs wrote into it; what is no picture is refused by name."""

import bz2
import gzip
import io
import lzma
import random
import shutil
import struct
import subprocess
import zipfile
import zlib
from datetime import datetime, timedelta
from pathlib import Path

import exifread
import pytest

from coordination.files.images import ImageFacts, ImageRefused, inspect_image
from coordination.files.images.opening import MOST_BYTES
from tests.files.conftest import CAMERA, run

KINDS = [("a.jpg", "JPEG", "image/jpeg"), ("a.png", "PNG", "image/png"), ("a.webp", "WEBP", "image/webp")]
SRGB = Path("/usr/share/color/icc/ghostscript/srgb.icc")
TAKEN = datetime(2026, 3, 9, 14, 5, 6)  # noqa: DTZ001
PLAIN = {"taken_at": None, "offset": None, "has_gps": False, "gps": None, "device": "", "tail": 0}
SAID = {
    "taken_at": TAKEN,
    "offset": timedelta(hours=-5),
    "has_gps": True,
    "gps": (41.5, -81.25),
    "device": "Plainview Handy 3",
    "tail": 0,
}


def reason_of(source, **options) -> str:
    with pytest.raises(ImageRefused) as refusal:
        inspect_image(source, **options)
    return refusal.value.reason


def png_chunk(name: bytes, content: bytes) -> bytes:
    return struct.pack(">I", len(content)) + name + content + struct.pack(">I", zlib.crc32(name + content))


def png_of(width: int, height: int, *chunks: bytes) -> bytes:
    header = png_chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 1, 0, 0, 0, 0))
    pixels = png_chunk(b"IDAT", zlib.compress(b"\0\0"))
    return b"\x89PNG\r\n\x1a\n" + header + b"".join(chunks) + pixels + png_chunk(b"IEND", b"")


@pytest.mark.parametrize(("name", "kind", "media_type"), KINDS)
def test_plain_pictures(drawn, name, kind, media_type):
    path = drawn(name, "400x300", "-strip")
    assert inspect_image(path) == ImageFacts(kind, media_type, 400, 300, orientation=1, **PLAIN)


@pytest.mark.parametrize(("name", "kind", "media_type"), KINDS)
def test_what_the_camera_wrote(drawn, tagged, name, kind, media_type):
    path = tagged(drawn(name, "400x300", "-strip"), **CAMERA)
    assert inspect_image(path) == ImageFacts(kind, media_type, 400, 300, orientation=1, **SAID)


def test_heic_with_what_the_camera_wrote(drawn, tagged, heic):
    path = tagged(heic(drawn("a.jpg")), **CAMERA)
    assert inspect_image(path) == ImageFacts("HEIC", "image/heic", 400, 300, orientation=1, **SAID)


def test_the_name_decides_nothing(drawn, tmp_path):
    disguised = shutil.copy(drawn("a.png"), tmp_path / "b.jpg")
    assert inspect_image(disguised).format == "PNG"


@pytest.mark.parametrize("orientation", range(1, 9))
def test_orientation_as_an_independent_reader_sees_it(drawn, tagged, orientation):
    path = tagged(drawn("a.jpg", "400x300"), Orientation=orientation)
    with path.open("rb") as file:
        independent = exifread.process_file(file)["Image Orientation"].values[0]
    facts = inspect_image(path)
    assert facts.orientation == independent == orientation
    assert (facts.width, facts.height) == ((400, 300) if orientation < 5 else (300, 400))


@pytest.mark.parametrize("orientation", range(1, 9))
def test_heic_is_upright_already(drawn, tagged, heic, orientation):
    facts = inspect_image(heic(tagged(drawn("a.jpg", "400x300"), Orientation=orientation)))
    assert facts.orientation == 1
    assert (facts.width, facts.height) == ((400, 300) if orientation < 5 else (300, 400))


def test_time_and_place_as_independent_readers_see_them(drawn, tagged):
    path = tagged(drawn("a.jpg"), **CAMERA)
    with path.open("rb") as file:
        independent = exifread.process_file(file, details=False)
    assert str(independent["EXIF DateTimeOriginal"]) == f"{inspect_image(path).taken_at:%Y:%m:%d %H:%M:%S}"
    said = run("exiftool", "-n", "-s3", "-GPSLatitude", "-GPSLongitude", path).split()
    assert [float(word) for word in said] == list(inspect_image(path).gps)


@pytest.mark.parametrize(
    ("tags", "expected"),
    [
        ({"DateTimeOriginal": "2026:02:30 10:00:00"}, {"taken_at": None}),
        ({"DateTimeOriginal": "0000:00:00 00:00:00"}, {"taken_at": None}),
        ({"ModifyDate": "2026:03:09 14:05:06"}, {"taken_at": None}),
        ({"CreateDate": "2026:03:09 14:05:06"}, {"taken_at": TAKEN, "offset": None}),
        ({"DateTimeOriginal": "2026:03:09 14:05:06", "OffsetTimeOriginal": "+99:00"}, {"offset": None}),
        ({"DateTimeOriginal": "2026:03:09 14:05:06", "OffsetTimeOriginal": "+05:45"}, {"offset": timedelta(hours=5.75)}),
        ({"GPSLatitude": "41.5", "GPSLatitudeRef": "N"}, {"has_gps": True, "gps": None}),
        ({"GPSAltitude": "200"}, {"has_gps": True, "gps": None}),
        ({"GPSLatitude": "33.9", "GPSLatitudeRef": "S", "GPSLongitude": "18.4", "GPSLongitudeRef": "E"}, {"gps": (-33.9, 18.4)}),
        ({"Make": "Plainview", "Model": "Plainview 7"}, {"device": "Plainview 7"}),
        ({"Orientation": 9}, {"orientation": 1}),
    ],
)  # fmt: skip
def test_tags_that_make_little_sense(drawn, tagged, tags, expected):
    facts = inspect_image(tagged(drawn("a.jpg"), **tags))
    assert {key: getattr(facts, key) for key in expected} == expected


@pytest.mark.parametrize(
    ("data", "reason"),
    [
        (b"", "empty"),
        (b"Poured on Tuesday.\n", "not a picture"),
        (b"\xff\xd8", "not a picture"),
        (b"\xff\xd8\xff\xd9", "damaged"),
        (b"<?xml version='1.0'?>\n<!-- x -->\n<svg xmlns='http://www.w3.org/2000/svg'/>", "svg"),
        (b"  <svg onload='alert(1)'>", "svg"),
        (b"GIF89a" + bytes(20), "gif"),
        (gzip.compress(b"<svg xmlns='http://www.w3.org/2000/svg'/>", mtime=0), "svg"),
        (gzip.compress(b"Poured on Tuesday.", mtime=0), "not a picture"),
        ("<?xml version='1.0'?><svg onload='alert(1)'/>".encode("utf-16"), "svg"),
        ("<!-- x --><svg onload='alert(1)'/>".encode("utf-16-be"), "svg"),
        (b"<!--" + b"x" * 9000 + b"--><!DOCTYPE svg><svg onload='alert(1)'/>", "svg"),
        (b"<!--" + b"x" * 9000 + b"--><p><svg onload='alert(1)'/>", "not a picture"),
        (b"<!-- -->" * 100_000, "not a picture"),
        (b"<!--" * 100_000, "not a picture"),
        (b"BM" + bytes(60), "kind not accepted"),
        (b"II*\0" + bytes(60), "kind not accepted"),
        (b"%!PS-Adobe-3.0 EPSF-3.0\n", "kind not accepted"),
        (b"\0\0\0\x18ftypavif" + bytes(12), "kind not accepted"),
        (b"\0\0\0\x18ftypisom" + bytes(12), "not a picture"),
        (b"\0\0\0\x18ftypmsf1" + bytes(12), "animated"),
        (b"\0\0\0\x18ftypheic" + bytes(12), "truncated"),
    ],
)
def test_what_is_no_picture_is_refused_by_name(tmp_path, data, reason):
    path = tmp_path / "photo.jpg"
    path.write_bytes(data)
    assert reason_of(path) == reason_of(data) == reason


@pytest.mark.parametrize("share", [0.01, 0.3, 0.6, 0.9, 0.9999])
@pytest.mark.parametrize("name", ["a.jpg", "progressive.jpg", "a.png", "a.webp", "a.heic"])
def test_cut_off_pictures(drawn, heic, name, share):
    if name == "a.heic":
        path = heic(drawn("a.jpg", "400x300", "-attenuate", "2", "+noise", "Gaussian"))
    else:
        more = ["-interlace", "JPEG"] if name.startswith("progressive") else []
        path = drawn(name, "600x450", "-attenuate", "2", "+noise", "Gaussian", *more)
    whole = path.read_bytes()
    assert inspect_image(whole).tail == 0
    assert reason_of(whole[: int(len(whole) * share)]) == "truncated"


def test_an_embedded_preview_is_not_taken_for_the_end(drawn, tagged, tmp_path):
    preview = drawn("preview.jpg", "160x120")
    path = drawn("a.jpg", "1200x900")
    run("exiftool", "-q", "-overwrite_original", f"-ThumbnailImage<={preview}", path)
    data = path.read_bytes()
    assert data.count(b"\xff\xd9") > 1
    assert inspect_image(data).tail == 0
    assert reason_of(data[: data.rindex(b"\xff\xda") + 500]) == "truncated"


def test_moving_pictures(tmp_path):
    frames = ["xc:red", "xc:blue", "-resize", "40x40"]
    run("convert", "-delay", "10", *frames, tmp_path / "moving.webp")
    moving_png = png_of(1, 1, png_chunk(b"acTL", struct.pack(">II", 2, 0)))
    assert [reason_of(tmp_path / "moving.webp"), reason_of(moving_png)] == ["animated", "animated"]


def test_a_bomb_is_refused_before_a_pixel_is_made():
    assert reason_of(png_of(32_000, 32_000)) == "too many pixels"


@pytest.mark.parametrize(("width", "height", "taken"), [(10_000, 10_000, True), (10_000, 10_001, False)])
def test_one_hundred_megapixels_is_the_limit(width, height, taken):
    if taken:
        assert inspect_image(png_of(width, height)).width == width
    else:
        assert reason_of(png_of(width, height)) == "too many pixels"


def test_fifty_megabytes_is_the_limit(drawn, tmp_path):
    path = drawn("a.jpg")
    with path.open("r+b") as file:
        file.truncate(MOST_BYTES)
    assert inspect_image(path).tail > 49_000_000
    with path.open("r+b") as file:
        file.truncate(MOST_BYTES + 1)
    assert reason_of(path) == "too many bytes"


def test_a_flipped_bit_in_a_png_is_noticed(drawn):
    data = bytearray(drawn("a.png").read_bytes())
    data[len(data) // 2] ^= 4
    assert reason_of(bytes(data)) == "damaged"


def archive() -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as made:
        made.writestr("a.txt", "inside")
    return file.getvalue()


@pytest.mark.parametrize("name", ["a.jpg", "a.png", "a.webp", "a.heic"])
@pytest.mark.parametrize(
    "tail",
    [archive(), b"<script>alert(1)</script>", b"\n<HTML><body>", b"<?php echo 1;", b"%PDF-1.7\n", b"MZ\x90\0", b"\x7fELF\2"],
    ids=["zip", "script", "page", "php", "pdf", "exe", "elf"],
)  # fmt: skip
def test_a_second_file_behind_the_picture(drawn, heic, name, tail):
    path = heic(drawn("a.jpg")) if name == "a.heic" else drawn(name)
    assert reason_of(path.read_bytes() + tail) == "another file inside"


def test_a_pdf_or_archive_in_a_comment(drawn):
    data = drawn("a.jpg", "400x300", "-strip").read_bytes()
    for hidden in (b"%PDF-1.4\n1 0 obj\n", archive()):
        comment = b"\xff\xfe" + struct.pack(">H", len(hidden) + 2) + hidden
        assert reason_of(data[:2] + comment + data[2:]) == "another file inside"


def commented(data: bytes, hidden: bytes, marker: int = 0xFE) -> bytes:
    """A JPEG with a segment of its own behind its first mark."""
    return data[:2] + struct.pack(">BBH", 0xFF, marker, len(hidden) + 2) + hidden + data[2:]


PAGE = b"<html><script>alert(1)</script></html>"


@pytest.mark.parametrize("marker", [0xFE, 0xE1, 0xE5, 0xED])
@pytest.mark.parametrize(
    "hidden",
    [PAGE, b"<?php system($_GET['c']); ?>", b"<svg onload=alert(1)>", bytes(1500) + b"%PDF-1.4\n", b"x" * 30_000 + PAGE],
    ids=["page", "php", "svg", "late pdf", "late page"],
)  # fmt: skip
def test_a_second_file_in_a_segment(drawn, marker, hidden):
    data = drawn("a.jpg", "400x300", "-strip").read_bytes()
    assert inspect_image(commented(data, b"Poured < Tuesday, PDF and svg to follow.", marker)).tail == 0
    assert reason_of(commented(data, hidden, marker)) == "another file inside"


def test_a_page_in_what_independent_tools_write(drawn, tagged):
    for name in ("a.jpg", "a.png", "a.webp"):
        assert reason_of(tagged(drawn(name), ImageDescription=PAGE.decode())) == "another file inside"
    assert reason_of(tagged(drawn("b.jpg"), Comment=PAGE.decode())) == "another file inside"


@pytest.mark.parametrize(
    ("name", "content"),
    [
        (b"tEXt", b"Comment\0%b"),
        (b"zTXt", b"Comment\0\0%z"),
        (b"iTXt", b"Comment\0\0\0en\0Comment\0%b"),
        (b"iTXt", b"Comment\0\1\0en\0Comment\0%z"),
    ],
)
def test_a_page_in_the_text_of_a_png(name, content):
    def holding(text: bytes) -> bytes:
        told = content.replace(b"%b", text).replace(b"%z", zlib.compress(text))
        return png_of(8, 1, png_chunk(name, told))

    assert inspect_image(holding(b"Poured on Tuesday.")).format == "PNG"
    assert {reason_of(holding(text)) for text in (PAGE, b"<svg onload=alert(1)>")} == {"another file inside"}
    assert inspect_image(png_of(8, 1, png_chunk(b"zTXt", b"Comment\0\0broken"))).format == "PNG"


@pytest.mark.parametrize(
    "tail",
    [
        bytes(16) + b"Rar!\x1a\x07\0", b"x\x7fELF\2\1\1" + bytes(9), b"\0\x7fELF", gzip.compress(b"inside", mtime=0),
        b"x" * 40 + gzip.compress(b"inside", mtime=0), b"*/=alert(1)/*", b"\n\n#!/bin/sh\n", bytes(3) + bz2.compress(b"inside"),
        lzma.compress(b"inside"), b"\xff" * 5 + b"7z\xbc\xaf\x27\x1c",
    ],
    ids=["rar", "elf", "elf cut", "gzip", "late gzip", "script", "shell", "bzip2", "xz", "7z"],
)  # fmt: skip
def test_a_second_file_behind_padding(drawn, tail):
    data = drawn("a.jpg").read_bytes()
    assert inspect_image(data + bytes(16)).tail == 16
    assert reason_of(data + tail) == "another file inside"


def test_a_picture_that_runs_as_a_script(drawn):
    """The length of its first segment reads as the beginning of a comment, a later one ends it."""
    data = drawn("a.jpg", "400x300", "-strip").read_bytes()
    head = bytes(int.from_bytes(b"/*") - 2)
    assert inspect_image(commented(data, head, 0xE0)).tail == 0
    assert reason_of(commented(commented(data, b"*/=alert(1)/*"), head, 0xE0)) == "another file inside"


def test_what_cameras_and_editors_write_is_no_second_file(drawn, tagged):
    """XMP, a colour profile, a preview, a second picture and a film behind it, as independent tools write them."""
    preview, path = drawn("preview.jpg", "160x120"), tagged(drawn("a.jpg", "1200x900"), **CAMERA)
    said = ["-XMP:Description=Forms < 9' 4\" & plumb", "-IPTC:Keywords=pit", "-XMP:CreatorTool=Handy 3.1"]
    profile = [f"-icc_profile<={SRGB}"] if SRGB.exists() else []
    run("exiftool", "-q", "-overwrite_original", f"-ThumbnailImage<={preview}", *said, *profile, path)
    film = b"\0\0\0\x18ftypmp42" + random.Random(7).randbytes(3_000_000)
    second = drawn("depth.jpg", "300x200", "-attenuate", "2", "+noise", "Gaussian").read_bytes()
    assert inspect_image(path.read_bytes() + second + film).tail == len(second) + len(film)


def test_what_cameras_put_behind_a_picture_is_counted_and_left_alone(drawn):
    film = b"\0\0\0\x18ftypmp42" + bytes(500)
    second = drawn("depth.jpg", "100x100").read_bytes()
    whole = drawn("a.jpg").read_bytes()
    assert [inspect_image(whole + more).tail for more in (film, second)] == [len(film), len(second)]


def test_mangled_metadata_does_not_hide_the_picture(drawn, tagged):
    data = bytearray(tagged(drawn("a.jpg"), **CAMERA).read_bytes())
    start = data.index(b"Exif\0\0") + 14
    end = start + int.from_bytes(data[start - 16 : start - 14]) - 16
    data[start:end] = b"\xfe" * (end - start)
    assert inspect_image(bytes(data)) == ImageFacts("JPEG", "image/jpeg", 400, 300, orientation=1, **PLAIN)


def test_independent_tools_agree_that_the_made_files_are_real(drawn, heic):
    said = [
        run("exiftool", "-s3", "-FileType", path).strip() for path in (drawn("a.webp"), heic(drawn("a.jpg")))
    ]
    assert said == ["WEBP", "HEIC"]
    subprocess.run(["identify", drawn("b.png")], check=True, capture_output=True)
