"""Packed folders: safe names, hashes that sha256sum accepts, nothing given out that must not be, made once."""

import io
import json
import os
import re
import subprocess
import sys
import uuid
import zipfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import exifread
import pytest
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from coordination.access.permissions import NotAllowed
from coordination.background.running import run_until_idle
from coordination.background.work import Work
from coordination.evidence.arrivals import take_in
from coordination.evidence.items import HandIn
from coordination.evidence.models import Evidence, Rendition
from coordination.files.keeping import path_of, verify
from coordination.files.models import Blob
from coordination.handover import packs
from coordination.handover.models import Pack
from coordination.handover.packing.laying import Wanted, lay
from coordination.handover.packing.names import piece_name, safe
from coordination.handover.packing.sinks import FolderSink, ZipSink, put_text
from coordination.handover.packs import ask_for_pack, make_pack, pack_of, packs_of, packs_to_make
from coordination.handover.whole import whole_of
from coordination.record.models import Event
from tests.gates.sites import Site

ROOT = Path(__file__).resolve().parents[2]
ORIGINALS = Wanted("folder", "en-us", "letter", originals=True)


@pytest.fixture(autouse=True)
def _papers_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The PDFs are tested where they are shaped."""
    monkeypatch.setattr(
        "coordination.handover.packing.laying.pdf_of", lambda order: b"%PDF-1.7 " + order.title.encode()
    )


def with_position() -> bytes:
    """A JPEG that says where and with what it was taken."""
    exif = Image.Exif()
    exif[0x010F], exif[0x0110] = "Maker", "Phone 9"
    exif.get_ifd(0x8825).update({1: "N", 2: (44.0, 28.0, 30.0), 3: "W", 4: (73.0, 12.0, 30.0)})
    file = io.BytesIO()
    Image.new("RGB", (400, 300), (90, 120, 60)).save(file, "JPEG", exif=exif)
    return file.getvalue()


@pytest.fixture
def worked(site: Site) -> Site:
    """A photo with its position is handed in besides."""
    arrived = take_in(site.project, with_position(), kind="photo", file_name="outlet.jpg")
    item = HandIn(uuid.uuid4(), blob=arrived.blob, image=arrived.image, file_name="outlet.jpg")
    site.hand_in("rough@pit#receptacle", "electrician", item)
    return site


def asked(site: Site, by: str = "coordinator", kind: str = "folder") -> Pack:
    visitor = site.cast.by_link("owner", site.at) if by == "owner" else site.who(by)
    return ask_for_pack(site.project, visitor, site.step(), kind=kind, language="en-us")


def packed(site: Site, by: str = "coordinator", kind: str = "folder") -> Pack:
    pack = asked(site, by, kind)
    make_pack(str(pack.uid))
    pack.refresh_from_db()
    return pack


def inside(pack: Pack) -> zipfile.ZipFile:
    assert pack.blob is not None
    return zipfile.ZipFile(path_of(pack.blob))


def pictures_in(archive: zipfile.ZipFile) -> Iterator[bytes]:
    for name in archive.namelist():
        if name.endswith(".jpg"):
            yield archive.read(name)


# ---- names
@given(st.text(max_size=80))
def test_a_name_is_safe_on_every_system(text: str) -> None:
    name = safe(text)
    assert name
    assert set(name) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
    assert len(name) <= 41
    assert name.split(".")[0] not in {"con", "prn", "aux", "nul", "com1", "lpt9"}


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Rail wall (left)", "rail-wall-left"),
        ("Fosa: émbolo", "fosa-embolo"),
        ("../../etc", "etc"),
        ("CON", "con-"),
        ("墙", "x"),
    ],
)
def test_names_read_like_what_they_are(text: str, name: str) -> None:
    assert safe(text) == name


def test_a_file_is_named_by_place_number_work_day_and_view() -> None:
    named = piece_name("pit", 1, "formwork", "2026-11-03", "north", ending="jpg")
    assert named == "pit/01-formwork-2026-11-03-north.jpg"


# ---- folder and ZIP
def test_a_folder_holds_what_its_manifest_says_and_sha256sum_agrees(worked: Site, tmp_path: Path) -> None:
    folder = tmp_path / "folder"
    folder.mkdir()
    steps: list[tuple[int, int]] = []
    lacking = lay(
        whole_of(worked.project, worked.step()), FolderSink(folder), ORIGINALS, lambda *at: steps.append(at)
    )
    assert [(each.name, each.why) for each in lacking] == [
        ("pictures/pit/02-rough-2026-03-02-receptacle.jpg", "no copy of this photo could be made")
    ]
    answer = subprocess.run(
        ["sha256sum", "-c", "SHA256SUMS"], cwd=folder, capture_output=True, text=True, check=True
    )
    lines = answer.stdout.splitlines()
    there = {str(path.relative_to(folder)) for path in folder.rglob("*") if path.is_file()}
    assert {line.removesuffix(": OK") for line in lines} == there - {"SHA256SUMS"}
    assert all(line.endswith(": OK") for line in lines)
    assert {"index.html", "index.css", "how-to-check.txt", "list.csv", "state.json", "missing.txt"} <= there
    assert "originals/rail-wall/01-backing-2026-03-02-left.jpg" in there
    assert "papers/evidence-pit.pdf" in there
    assert steps[0][0] == 0
    assert steps[-1][0] == steps[-1][1] == len(steps) - 1
    (folder / "originals/rail-wall/01-backing-2026-03-02-left.jpg").write_bytes(b"altered")
    again = subprocess.run(
        ["sha256sum", "-c", "SHA256SUMS"], cwd=folder, capture_output=True, text=True, check=False
    )
    assert again.returncode == 1
    assert "01-backing-2026-03-02-left.jpg: FAILED" in again.stdout


def test_originals_come_out_byte_for_byte(worked: Site) -> None:
    archive = inside(packed(worked, kind="archive"))
    given = {
        path_of(row.blob).read_bytes() for row in Evidence.objects.exclude(blob=None).select_related("blob")
    }
    assert set(pictures_in(archive)) == given


def test_unzip_finds_no_error_and_the_same_standing_gives_the_same_bytes(
    worked: Site, tmp_path: Path
) -> None:
    pack = packed(worked)
    assert pack.blob is not None
    subprocess.run(["unzip", "-tqq", str(path_of(pack.blob))], check=True, timeout=60)
    subprocess.run(["unzip", "-q", str(path_of(pack.blob)), "-d", str(tmp_path)], check=True, timeout=60)
    subprocess.run(
        ["sha256sum", "--quiet", "-c", "SHA256SUMS"], cwd=tmp_path / "harrow-lane-handover", check=True
    )
    Pack.objects.update(made_at=None, blob=None)
    make_pack(str(pack.uid))
    assert Pack.objects.get().sha256 == pack.sha256


def test_a_very_large_file_is_written_in_pieces_and_its_entry_tells_its_size(tmp_path: Path) -> None:
    with ZipSink(tmp_path / "a.zip", "root", datetime(1979, 1, 1, tzinfo=UTC)) as sink:
        sink.put("big.bin", (bytes(1 << 20) for _ in range(40)), 40 << 20)
        put_text(sink, "words.txt", "x" * 5000)
    with zipfile.ZipFile(tmp_path / "a.zip") as archive:
        [big, words] = archive.infolist()
        assert (big.file_size, big.compress_type, big.date_time[0]) == (40 << 20, zipfile.ZIP_STORED, 1980)
        assert words.compress_size < 200
        assert archive.testzip() is None


# ---- who gets what
def test_the_variant_of_a_link_says_nowhere_where_or_with_what_a_photo_was_taken(worked: Site) -> None:
    for kind in ("folder", "archive"):
        archive = inside(packed(worked, "owner", kind))
        found = list(pictures_in(archive))
        assert found
        for content in found:
            tags = exifread.process_file(io.BytesIO(content), details=False)
            assert [tag for tag in tags if "GPS" in tag or "Model" in tag or "Make" in tag] == []
        words = "".join(
            archive.read(name).decode()
            for name in archive.namelist()
            if name.endswith((".json", ".html", ".csv"))
        )
        assert not re.search(r"(?<![0-9a-f])555-0\d", words)
        assert "Phone 9" not in words
    with_originals = inside(packed(worked, "coordinator", "archive"))
    tags = [
        exifread.process_file(io.BytesIO(content), details=False) for content in pictures_in(with_originals)
    ]
    assert any("GPS GPSLatitude" in each for each in tags)


def test_whoever_may_not_have_originals_does_not_find_the_pack_that_holds_them(worked: Site) -> None:
    pack = packed(worked, "coordinator", "archive")
    owner = worked.cast.by_link("owner", worked.at)
    assert pack_of(owner, pack.uid) is None
    assert packs_of(owner) == []
    assert [each.uid for each in packs_of(worked.who("contractor"))] == [pack.uid]


@pytest.mark.parametrize("name", ["framer", "crew"])
def test_no_others_may_have_papers_packed(worked: Site, name: str) -> None:
    with pytest.raises(NotAllowed):
        asked(worked, name)


# ---- asked for, made, made once
def test_asked_for_twice_while_nothing_changed_it_is_one_pack_and_one_event(worked: Site) -> None:
    first, again = asked(worked), asked(worked, "contractor")
    assert (first.pk, Event.objects.filter(verb="papers asked for").count()) == (again.pk, 1)
    make_pack(str(first.uid))
    assert asked(worked).pk == first.pk
    worked.photo("rough@pit#receptacle", "electrician")
    assert asked(worked).pk != first.pk


def test_the_background_finds_it_packs_it_and_rests(worked: Site) -> None:
    pack = asked(worked)
    work = Work("packs", find=packs_to_make, do=make_pack, limit=60)
    tried = run_until_idle([work], timezone.now(), children=False)
    assert [(one.key, one.error) for one in tried] == [(str(pack.uid), "")]
    pack.refresh_from_db()
    assert pack.blob is not None
    verify(pack.blob)
    assert (pack.done, pack.sha256, list(packs_to_make(timezone.now()))) == (pack.total, pack.blob.sha256, [])
    event = Event.objects.get(verb="papers packed")
    assert pack.sha256 in event.body


def test_one_lost_original_is_listed_with_its_reason_and_stops_nothing(worked: Site) -> None:
    evidence = Evidence.objects.get(requirement=worked.need("backing@rail-wall#left"))
    path_of(evidence.blob).unlink()
    card = Evidence.objects.get(requirement=worked.need("rough@pit#inspection"))
    path = path_of(card.blob)
    path.chmod(0o640)
    path.write_bytes(b"altered")
    pack = packed(worked, kind="archive")
    assert [(each["name"], each["why"]) for each in pack.missing] == [
        ("pit/03-rough-2026-03-02-inspection.jpg", "the file was altered in the store"),
        ("rail-wall/01-backing-2026-03-02-left.jpg", "the file is missing from the store"),
    ]
    archive = inside(pack)
    assert "the file is missing from the store" in archive.read("harrow-lane-originals/missing.txt").decode()
    assert len(list(pictures_in(archive))) == 2


def test_a_paper_that_fails_is_listed_and_the_folder_is_packed(
    worked: Site, monkeypatch: pytest.MonkeyPatch
) -> None:
    from coordination.paper import PaperError

    def broken(order: object) -> bytes:
        raise PaperError("no picture")

    monkeypatch.setattr("coordination.handover.packing.laying.pdf_of", broken)
    pack = packed(worked)
    assert {each["why"] for each in pack.missing} == {"the paper could not be made: no picture"}
    assert "harrow-lane-handover/index.html" in inside(pack).namelist()


def test_a_newer_pack_lets_the_file_of_the_older_go(worked: Site) -> None:
    first = packed(worked)
    worked.photo("rough@pit#receptacle", "electrician")
    second = packed(worked)
    first.refresh_from_db()
    assert (first.blob, bool(first.sha256)) == (None, True)
    assert [each.uid for each in packs_of(worked.who("coordinator"))] == [second.uid]
    assert Blob.objects.filter(sha256=first.sha256).exists()  # let go later, as whatever nobody claims


def test_the_folder_says_of_what_it_was_made(worked: Site) -> None:
    archive = inside(packed(worked))
    told = json.loads(archive.read("harrow-lane-handover/state.json"))
    assert told["as_of"]["seq"] > 0
    assert (
        f"place {told['as_of']['seq']} of the record"
        in archive.read("harrow-lane-handover/how-to-check.txt").decode()
    )


def test_a_line_that_a_spreadsheet_would_run_is_text(worked: Site) -> None:
    Evidence.objects.filter(file_name="outlet.jpg").update(sender_name='=HYPERLINK("x")')
    told = inside(packed(worked)).read("harrow-lane-handover/list.csv").decode()
    assert "'=HYPERLINK" in told


def test_copies_that_are_not_there_yet_are_made_when_somebody_asks(worked: Site) -> None:
    before = Rendition.objects.count()
    pack = packed(worked)
    assert Rendition.objects.count() > before
    assert pack.missing == []


KILLED = """
import os, sys
sys.path.insert(0, {root!r})
os.environ.setdefault("DJANGO_SETTINGS_MODULE", "coordination.settings")
import django
django.setup()
from coordination.handover import packs
from coordination.handover.models import Pack
from coordination.handover.packing import laying
laying.pdf_of = lambda order: b"%PDF-1.7 the same bytes each time"
where = {where!r}
if where == "half way":
    laying._Laying._finish = lambda self: os._exit(9)
elif where == "after keeping":
    kept = packs.keep
    def keep(*args, **more):
        kept(*args, **more)
        os._exit(9)
    packs.keep = keep
elif where == "before commit":
    packs._let_older_ones_go = lambda pack: os._exit(9)
packs.make_pack(str(Pack.objects.get().uid))
"""


@pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
@pytest.mark.parametrize("where", ["half way", "after keeping", "before commit"])
def test_killed_and_done_again_there_is_one_whole_pack(real_database: str, settings, where: str) -> None:
    from tests.gates.sites import build

    site = build()
    site.signed()
    pack = asked(site)
    environment = {**os.environ, "SILL_DATABASE": real_database, "SILL_VAR": str(settings.VAR)}

    def make(until: str) -> int:
        program = KILLED.format(root=str(ROOT), where=until)
        answer = subprocess.run(
            [sys.executable, "-c", program],
            env=environment,
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )
        assert answer.returncode in (0, 9), answer.stderr
        return answer.returncode

    assert (make(where), Pack.objects.filter(made_at=None).count()) == (9, 1)
    assert (make(""), Pack.objects.filter(made_at=None).count()) == (0, 0)
    assert make("") == 0
    pack.refresh_from_db()
    assert pack.blob is not None
    verify(pack.blob)
    assert Event.objects.filter(verb="papers packed").count() == 1
    assert list(Path(settings.FILE_UPLOAD_TEMP_DIR).glob("pack-*")) == []
    assert packs.root_of(pack.project, "folder") == "harrow-lane-handover"
