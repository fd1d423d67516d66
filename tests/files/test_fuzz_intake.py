"""Files that are made to be wrong, taken in as uploads are: facts or a refusal, in bounded time, and nothing left over."""

import io
import json
import os
import struct
import subprocess
import sys
import time
import zipfile
import zlib
from pathlib import Path
from uuid import UUID

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from PIL import Image

from coordination.files.documents import DocumentRefused, inspect_document
from coordination.files.images import ImageRefused, inspect_image, make_renditions, measure
from coordination.files.keeping import arriving
from tests.files.conftest import CAMERA, run
from tests.files.test_image_fuzz import mangled

SUPPLIER = UUID("11111111-1111-4111-8111-111111111111")
KINDS = ("a.jpg", "progressive.jpg", "a.png", "a.webp", "a.heic", "a.pdf")
SECONDS = 20.0  # on a machine that does much else besides; each takes milliseconds
changes = st.lists(
    st.tuples(st.sampled_from(["flip", "cut", "drop", "double", "ff"]), st.floats(0, 1, exclude_max=True), st.integers(1, 255)),
    max_size=4,
)  # fmt: skip
FUZZ = settings(
    max_examples=120,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)


@pytest.fixture
def made(drawn, tagged, heic, tmp_path) -> dict[str, bytes]:
    noise = ["-attenuate", "1", "+noise", "Gaussian"]
    found = {name: drawn(name, "96x64", *noise) for name in ("a.jpg", "a.png", "a.webp")}
    found["progressive.jpg"] = drawn("progressive.jpg", "96x64", *noise, "-interlace", "JPEG")
    found["a.heic"] = heic(found["a.jpg"], "a.heic")
    for path in found.values():
        tagged(path, **CAMERA)
    with Image.open(found["a.jpg"]) as picture:
        picture.save(tmp_path / "a.pdf")  # not by ImageMagick: systems forbid it to write PDFs
    return {name: path.read_bytes() for name, path in (*found.items(), ("a.pdf", tmp_path / "a.pdf"))}


def archive() -> bytes:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w") as archived:
        archived.writestr("a.html", "<script>alert(1)</script>")
    return file.getvalue()


def outcome(data: bytes, root: Path) -> str:
    """What becomes of the bytes as an upload; whatever it is, no temporary file stays and it does not take long."""
    begun = time.monotonic()
    with arriving(SUPPLIER, data) as arrival:
        said = arrival.path.read_bytes()
        assert said == data
        told = _told(said)
    assert list((root / "incoming").iterdir()) == []
    assert time.monotonic() - begun < SECONDS
    return told


def _told(data: bytes) -> str:
    try:
        facts = inspect_document(data)
        if facts.image is not None:
            assert inspect_image(data) == facts.image
            measure(data)
            make_renditions(data)
    except (ImageRefused, DocumentRefused) as refusal:
        return refusal.reason
    return "taken"


@FUZZ
@given(name=st.sampled_from(KINDS), how=changes)
def test_mangled_files_of_every_kind(made, settings, name, how):
    outcome(mangled(made[name], how), Path(settings.FILES_ROOT))


@FUZZ
@given(
    kinds=st.tuples(st.sampled_from(KINDS), st.sampled_from(KINDS)),
    cuts=st.tuples(st.floats(0, 1), st.floats(0, 1)),
    how=changes,
)
@example(kinds=("a.jpg", "a.png"), cuts=(0.02, 0.0), how=[])
@example(kinds=("a.heic", "a.jpg"), cuts=(0.1, 0.5), how=[])
def test_the_head_of_one_kind_on_the_body_of_another(made, settings, kinds, cuts, how):
    (one, other), (at, until) = (made[kind] for kind in kinds), cuts
    spliced = one[: int(at * len(one))] + other[int(until * len(other)) :]
    outcome(mangled(spliced, how) if spliced else spliced, Path(settings.FILES_ROOT))


SECOND_FILES = {
    "zip": archive(),
    "page": b"<!doctype html><script>alert(1)</script>",
    "script": b"*/=1;alert(1);//",
    "program": b"MZ\x90\0" + bytes(64),
    "pdf": b"%PDF-1.7\n1 0 obj<</Type/Catalog>>endobj\n%%EOF",
}


@pytest.mark.parametrize("second", ["zip", "page", "program", "pdf"])
@pytest.mark.parametrize("name", ["a.jpg", "a.png", "a.webp", "a.heic"])
def test_two_files_in_one_are_refused(made, settings, name, second):
    assert outcome(made[name] + SECOND_FILES[second], Path(settings.FILES_ROOT)) == "another file inside"


@pytest.mark.parametrize(
    ("data", "reason"),
    [
        (b"GIF89a/*" + bytes(40) + SECOND_FILES["script"], "gif"),
        (b"GIF89a" + archive(), "gif"),
        (SECOND_FILES["pdf"] + SECOND_FILES["page"], "damaged"),
        (SECOND_FILES["pdf"] + archive(), "another file inside"),
        (b"<html>" + SECOND_FILES["pdf"], "not a document"),
        (b"#!/bin/sh\n" + SECOND_FILES["pdf"], "not a document"),
        (b"<svg xmlns='http://www.w3.org/2000/svg'><!-- " + archive() + b" --></svg>", "svg"),
    ],
    ids=["gif+js", "gif+zip", "pdf+page", "pdf+zip", "page+pdf", "sh+pdf", "svg+zip"],
)
def test_what_opens_as_two_things_is_neither(settings, data, reason):
    assert outcome(data, Path(settings.FILES_ROOT)) == reason


def test_a_real_pdf_with_an_archive_behind_it_is_refused(made, settings):
    assert outcome(made["a.pdf"] + archive() + b"\n%%EOF", Path(settings.FILES_ROOT)) == "another file inside"


@FUZZ
@given(
    name=st.sampled_from(["a.jpg", "a.png", "a.webp", "a.heic"]),
    content=st.binary(max_size=300),
    data=st.data(),
)
def test_absurd_exif_never_hides_a_picture(made, settings, name, content, data):
    """The bytes of the EXIF block itself are replaced, its frame stays: the picture is taken, and says less."""
    original = made[name]
    start = original.find(b"II*\0") if b"II*\0" in original else original.find(b"MM\0*")
    assert start > 0
    kept = data.draw(st.integers(4, 60))
    spoilt = bytearray(original)
    spoilt[start + kept : start + kept + len(content)] = content[: max(0, 180 - kept)]
    if name == "a.png":
        spoilt = bytearray(with_right_checksums(bytes(spoilt)))
    if len(spoilt) == len(original):
        assert outcome(bytes(spoilt), Path(settings.FILES_ROOT)) in {
            "taken",
            "another file inside",
            "damaged",
        }


def with_right_checksums(png: bytes) -> bytes:
    at, out = 8, bytearray(png[:8])
    while at + 12 <= len(png):
        length = int.from_bytes(png[at : at + 4])
        body = png[at + 4 : at + 8 + length]
        out += struct.pack(">I", length) + body + struct.pack(">I", zlib.crc32(body))
        at += 12 + length
    return bytes(out)


def with_size(name: str, data: bytes, width: int, height: int) -> bytes:
    """The same file that says it were as large as that."""
    big, little = (
        struct.pack(">II", width, height),
        struct.pack("<I", width - 1)[:3] + struct.pack("<I", height - 1)[:3],
    )
    if name == "a.png":
        return with_right_checksums(data[:16] + big + data[24:])
    if name == "a.jpg":
        at = data.index(b"\xff\xc0")
        return data[: at + 5] + struct.pack(">HH", min(height, 65500), min(width, 65500)) + data[at + 9 :]
    if name == "a.webp":
        at = data.index(b"VP8X") + 12
        return data[:at] + little + data[at + 6 :]
    at = data.index(b"ispe") + 8
    return data[:at] + big + data[at + 8 :]


@pytest.mark.parametrize("name", ["a.jpg", "a.png", "a.webp", "a.heic"])
def test_giants_in_name_only_are_refused(made, settings, name):
    giant = with_size(name, made[name], 60_000, 60_000)
    assert giant != made[name]
    assert outcome(giant, Path(settings.FILES_ROOT)) in {"too many pixels", "damaged", "truncated"}


IN_A_CHILD = """
import json, sys, time
from pathlib import Path
import django
django.setup()
from tests.files.test_fuzz_intake import _told
from tests.benchmarks.taking_in import peak
begun, before = time.monotonic(), peak()
told = [_told(Path(name).read_bytes()) for name in sys.argv[1:]]
print(json.dumps([told, before, peak(), time.monotonic() - begun]))
"""


def in_a_child(*paths: Path) -> tuple[list[str], int, float]:
    """What becomes of files in a process of its own, megabytes that took at most, and seconds."""
    environment = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "coordination.settings",
        "PYTHONPATH": os.pathsep.join(path for path in sys.path if path),
    }
    command = [sys.executable, "-c", IN_A_CHILD, *map(str, paths)]
    answer = subprocess.run(command, env=environment, capture_output=True, text=True, check=True, timeout=300)
    told, before, peak, seconds = json.loads(answer.stdout)
    return told, peak - before, seconds


def test_almost_giants_in_name_only_take_no_more_than_a_giant_may(made, tmp_path):
    """Just within the limit of pixels, with next to no data behind it."""
    paths = []
    for name in ("a.jpg", "a.png", "a.webp", "a.heic"):
        paths.append(tmp_path / name)
        paths[-1].write_bytes(with_size(name, made[name], 9_990, 9_990))
    told, megabytes, seconds = in_a_child(*paths)
    assert set(told[1:]) <= {"damaged", "truncated"}
    assert megabytes < 450
    assert seconds < 6 * SECONDS


def test_a_hundred_megapixels_and_fifty_megabytes_are_taken(tmp_path):
    """Real files by an independent tool at both limits, several one after the other."""
    jpeg, heavy = tmp_path / "giant.jpg", tmp_path / "heavy.jpg"
    run("convert", "-size", "10000x10000", "gradient:navy-gold", "-quality", "80", jpeg)
    run("convert", "-size", "1000x1000", "plasma:", heavy)
    with heavy.open("r+b") as file:
        file.truncate(50_000_000)
    told, megabytes, _seconds = in_a_child(jpeg, heavy, jpeg)
    assert told == ["taken"] * 3
    assert megabytes < 400
