"""Files on their way in, and the copies made of them."""

import io
from datetime import UTC, datetime
from pathlib import Path

import pytest
from PIL import Image

from coordination.evidence.arrivals import take_in
from coordination.evidence.models import Evidence, Rendition
from coordination.evidence.refusals import FileRefused
from coordination.evidence.renditions import ensure_renditions, make_missing, without_renditions
from coordination.files.images import ImageRefused, inspect_image
from coordination.files.keeping import OriginalLost, keep, path_of
from coordination.files.models import Blob
from tests.gates.sites import BACKING, picture

LEFT = "backing@rail-wall#left"


def photo(offset: str = "", gps: bool = False) -> bytes:
    file, exif = io.BytesIO(), Image.Exif()
    camera = exif.get_ifd(0x8769)
    camera[0x9003] = "2026:03:02 09:30:00"
    if offset:
        camera[0x9011] = offset
    if gps:
        exif.get_ifd(0x8825).update({1: "N", 2: (44.0, 28.0, 30.0), 3: "W", 4: (73.0, 12.0, 0.0)})
    Image.new("RGB", (2000, 1500), (90, 120, 90)).save(file, "JPEG", exif=exif)
    return file.getvalue()


def kept(folder: Path) -> list[Path]:
    return [path for path in folder.rglob("*") if path.is_file()]


def test_the_cameras_clock_is_read_in_its_own_zone_or_else_in_the_projects(site):
    with_zone = take_in(site.project, photo("+01:00"), kind="photo")
    without = take_in(site.project, photo(), kind="photo")
    assert with_zone.taken_at.astimezone(UTC) == datetime(2026, 3, 2, 8, 30, tzinfo=UTC)
    assert without.taken_at.astimezone(UTC) == datetime(2026, 3, 2, 14, 30, tzinfo=UTC)
    assert (with_zone.image["zone_from"], without.image["zone_from"]) == ("camera", "project")


def test_where_a_photo_was_taken_is_not_kept_beside_it(site):
    arrived = take_in(site.project, photo(gps=True), kind="photo")
    assert arrived.image["has_position"] is True
    assert "44" not in str(arrived.image)


@pytest.mark.parametrize(
    ("kind", "content", "reason"),
    [
        ("photo", b"", "empty"),
        ("photo", b"a note that is called left.jpg", "not a picture"),
        ("photo", picture()[:200], "truncated"),
        ("photo", b"<svg xmlns='x'/>", "svg"),
        ("photo", b"GIF89a" + b"\0" * 40, "gif"),
        ("document", b"plain text", "not a document"),
        ("document", b"%PDF-1.7\n", "truncated"),
    ],
)
def test_what_is_not_what_it_should_be_is_refused_and_leaves_nothing(site, settings, kind, content, reason):
    with pytest.raises(FileRefused) as refusal:
        take_in(site.project, content, kind=kind, file_name="left.jpg")
    assert [(item.key, item.args["file"]) for item in refusal.value.reasons] == [(reason, "left.jpg")]
    assert (kept(settings.FILES_ROOT), Blob.objects.count()) == ([], 0)


def test_a_file_that_is_too_large_is_refused_while_it_comes(site, settings):
    settings.UPLOAD_LIMIT = 1000
    with pytest.raises(FileRefused, match="too many bytes"):
        take_in(site.project, (b"x" * 400 for _piece in range(100)), kind="photo")
    assert kept(settings.FILES_ROOT) == []


def test_copies_are_found_from_state_and_made_once(site):
    site.start(BACKING.key, "framer")
    row = site.photo(LEFT, "framer")
    assert without_renditions() == [str(row.pk)]
    for key in without_renditions() * 2:
        make_missing(key)
    assert without_renditions() == []
    assert sorted(Rendition.objects.values_list("size", "width", "height")) == [
        (320, 320, 240),
        (1600, 400, 300),
    ]


def test_copies_say_nothing_of_place_or_device(site):
    site.start(BACKING.key, "framer")
    arrived = take_in(site.project, photo(gps=True), kind="photo")
    row = site.photo(LEFT, "framer")
    Evidence.objects.filter(pk=row.pk).update(blob=arrived.blob)
    for copy in ensure_renditions(Evidence.objects.get()).values():
        facts = inspect_image(path_of(copy.blob))
        assert (facts.has_gps, facts.device, facts.taken_at) == (False, "", None)


def test_no_copy_is_made_of_an_original_that_was_altered_or_lost(site):
    site.start(BACKING.key, "framer")
    row = site.photo(LEFT, "framer")
    path = path_of(row.blob)
    path.chmod(0o640)
    path.write_bytes(path.read_bytes() + b"x")
    with pytest.raises(OriginalLost, match="altered"):
        ensure_renditions(row)
    path.unlink()
    with pytest.raises(OriginalLost, match="missing"):
        ensure_renditions(row)


def test_a_photo_that_cannot_be_decoded_has_no_copy(site):
    site.start(BACKING.key, "framer")
    cut = keep(site.project.supplier.uid, photo()[:-400], media_type="image/jpeg")
    row = site.photo(LEFT, "framer")
    Evidence.objects.filter(pk=row.pk).update(blob=cut)
    with pytest.raises(ImageRefused):
        ensure_renditions(Evidence.objects.get())
    assert Rendition.objects.count() == 0


def test_evidence_without_a_picture_needs_no_copy(site):
    site.start(BACKING.key, "framer")
    row = site.read("backing@rail-wall#spread", "framer", '30"')
    assert (without_renditions(), ensure_renditions(row)) == ([], {})
