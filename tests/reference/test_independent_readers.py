"""What we write is read back by programs that are none of ours.

PDF: pdftotext (Poppler) and pypdf. Photo data: exiftool and exifread, against Exif 2.32 (CIPA DC-008-2019), tags
0x9003 DateTimeOriginal, 0x9011 OffsetTimeOriginal and 0x0112 Orientation.
"""

import io
import json
import subprocess
from datetime import UTC, datetime, timedelta, timezone

import exifread
import pypdf
import pytest

from coordination.console.demo.site_photos import draw_photo
from coordination.files.images import inspect_image, make_renditions
from coordination.paper import Order, render_pdf

TAKEN = datetime(2026, 3, 2, 14, 5, 33, tzinfo=timezone(timedelta(hours=-5)))
OURS = TAKEN.utcoffset()
HTML = """<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Gate report</title></head><body>
<h1>Ready for the crew</h1><p>Clear depth 36 in, found 3' 0 1/2", common practice.</p>
<table><caption>What was checked</caption><thead><tr><th scope="col">Asked for</th></tr></thead>
<tbody><tr><td>½ in plumb, 9 ¼ in backing</td></tr></tbody></table></body></html>"""


def told_by_exiftool(path) -> dict[str, object]:
    command = [
        "exiftool",
        "-json",
        "-n",
        "-DateTimeOriginal",
        "-OffsetTimeOriginal",
        "-Orientation",
        str(path),
    ]
    return json.loads(subprocess.run(command, capture_output=True, check=True, text=True).stdout)[0]


@pytest.mark.parametrize("orientation", [1, 3, 6, 8])
def test_two_readers_and_ours_agree_on_when_and_how_a_photo_was_taken(tmp_path, orientation):
    path = tmp_path / "photo.jpg"
    picture = draw_photo("pit", seed=4, taken_at=TAKEN, size=(640, 480), orientation=orientation)
    path.write_bytes(picture)
    exiftool = told_by_exiftool(path)
    assert (exiftool["DateTimeOriginal"], exiftool["OffsetTimeOriginal"], exiftool["Orientation"]) == (
        "2026:03:02 14:05:33",
        "-05:00",
        orientation,
    )
    tags = exifread.process_file(io.BytesIO(picture), details=False)
    assert str(tags["EXIF DateTimeOriginal"]) == "2026:03:02 14:05:33"
    ours = inspect_image(path)
    assert (ours.orientation, ours.taken_at, ours.offset) == (orientation, TAKEN.replace(tzinfo=None), OURS)


def test_a_copy_for_strangers_says_nothing_of_where_when_or_with_what(tmp_path):
    picture = draw_photo("pit", seed=4, taken_at=TAKEN, size=(640, 480), gps=(44.1, -72.5))
    original = tmp_path / "original.jpg"
    original.write_bytes(picture)
    assert (
        "GPSLatitude"
        in subprocess.run(
            ["exiftool", "-s", str(original)], capture_output=True, check=True, text=True
        ).stdout
    )
    for size, copy in make_renditions(original, [320]).items():
        path = tmp_path / f"{size}.jpg"
        path.write_bytes(copy)
        told = subprocess.run(["exiftool", "-s", "-EXIF:all", "-XMP:all", "-GPS:all", str(path)],
                              capture_output=True, check=True, text=True)  # fmt: skip
        assert told.stdout.strip() == ""


def test_two_readers_find_every_word_of_a_paper_in_its_order(tmp_path):
    order = Order(
        HTML,
        {},
        identifier=b"0123456789abcdef",
        made_at=datetime(2026, 3, 2, tzinfo=UTC),
        language="en",
        title="Gate report",
    )
    pdf = render_pdf(order)
    path = tmp_path / "paper.pdf"
    path.write_bytes(pdf)
    wanted = [
        "Ready for the crew",
        "Clear depth 36 in, found 3' 0 1/2\", common practice.",
        "What was checked",
        "Asked for",
        "½ in plumb, 9 ¼ in backing",
    ]
    poppler = subprocess.run(["pdftotext", str(path), "-"], capture_output=True, check=True, text=True).stdout
    read = pypdf.PdfReader(io.BytesIO(pdf))
    for text in (poppler, "\n".join(page.extract_text() for page in read.pages)):
        places = [" ".join(text.split()).find(words) for words in wanted]
        assert -1 not in places
        assert places == sorted(places)
    assert (read.metadata.title, read.trailer["/Root"]["/Lang"]) == ("Gate report", "en")
    assert subprocess.run(["qpdf", "--check", str(path)], capture_output=True, check=False).returncode == 0
