"""The scan of a variance lies in packed folders like other documents, and tells no stranger where it was taken."""

import csv
import io
from pathlib import Path

import exifread
import pytest
from PIL import Image

from coordination.evidence.arrivals import take_in
from coordination.evidence.strangers_words import COPY_NAMED
from coordination.files.for_strangers import look_at
from coordination.files.keeping import path_of
from coordination.files.models import Blob
from coordination.gates import actions
from coordination.gates.models import Concession
from coordination.handover.packing.filing import handed_in
from coordination.handover.packing.laying import Wanted, lay
from coordination.handover.packing.sinks import FolderSink
from coordination.handover.sheet_paper import reader_of
from coordination.handover.whole import whole_of
from tests.files.scans import scanned
from tests.gates.sites import Site, build
from tests.handover.test_packing import with_position

NEED = "rough@pit#receptacle"
NAME = "variances/01-rough-2026-03-02-receptacle"
WORDS = "Town Hall (building department), No. V-12, dated March 2, 2026"


@pytest.fixture(autouse=True)
def _papers_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("coordination.handover.packing.laying.pdf_of", lambda order: b"%PDF-1.7 made")


@pytest.fixture
def site(db: None) -> Site:
    return build()


def vary(site: Site, scan: bytes, name: str) -> Blob:
    blob = take_in(site.project, scan, kind="document", file_name=name).blob
    site.vary(NEED, blob=blob, file_name=name)
    return blob


def laid(site: Site, folder: Path, *, kind: str = "folder", originals: bool = True) -> dict[str, bytes]:
    """By name what lies there; nothing lacks."""
    folder.mkdir()
    wanted = Wanted(kind, "en-us", "letter", originals=originals)
    assert lay(whole_of(site.project, site.step()), FolderSink(folder), wanted) == []
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_the_folder_has_the_original_and_a_copy_and_its_page_leads_there(site: Site, tmp_path: Path) -> None:
    blob = vary(site, with_position(), "town hall.jpg")
    there = laid(site, tmp_path / "folder")
    assert there[f"originals/{NAME}.jpg"] == path_of(blob).read_bytes()
    assert Image.open(io.BytesIO(there[f"pictures/{NAME}.jpg"])).size == (400, 300)
    page = there["index.html"].decode()
    assert f'<a href="originals/{NAME}.jpg">{WORDS}</a>' in page
    assert "Authorities’ variances" in page
    [row] = [
        line
        for line in csv.DictReader(io.StringIO(there["list.csv"].decode()))
        if line["place"] == "variances"
    ]
    assert (row["task"], row["asked for"], row["state"], row["by"]) == (
        "rough",
        f"{WORDS}: Photo",
        "done",
        "Ana Ruiz",
    )
    assert (row["SHA-256"], row["file"]) == (blob.sha256, f"originals/{NAME}.jpg")
    archive = laid(site, tmp_path / "archive", kind="archive")
    assert archive[f"{NAME}.jpg"] == path_of(blob).read_bytes()


@pytest.mark.parametrize(("kind", "name"), [("folder", f"pictures/{NAME}.jpg"), ("archive", f"{NAME}.jpg")])
def test_strangers_get_a_copy_that_does_not_say_where_it_was_taken(
    site: Site, tmp_path: Path, kind: str, name: str
) -> None:
    blob = vary(site, with_position(), "town hall.jpg")
    there = laid(site, tmp_path / "folder", kind=kind, originals=False)
    assert [path for path in there if "variances/" in path] == [name]
    assert exifread.process_file(io.BytesIO(there[name]), details=False) == {}
    assert path_of(blob).read_bytes() not in there.values()
    assert there == laid(site, tmp_path / "again", kind=kind, originals=False)


@pytest.mark.parametrize(("kind", "folder"), [("folder", "documents/"), ("archive", "")])
def test_strangers_get_a_scanned_pdf_without_location_and_device(
    site: Site, tmp_path: Path, kind: str, folder: str
) -> None:
    blob = vary(site, scanned(), "town hall.pdf")
    there = laid(site, tmp_path / "folder", kind=kind, originals=False)
    [name] = [path for path in there if "variances/" in path]
    assert name == f"{folder}{NAME}-{COPY_NAMED}.pdf"
    assert there[name] == path_of(look_at(blob).blob).read_bytes()
    assert path_of(blob).read_bytes() not in there.values()
    original = laid(site, tmp_path / "originals", kind=kind)
    assert path_of(blob).read_bytes() in original.values()


def test_one_that_ended_is_still_filed_and_says_so(site: Site) -> None:
    blob = vary(site, with_position(), "town hall.jpg")
    granted = Concession.objects.get()
    ending = (site.project, site.who("contractor"), site.step(), granted.uid, "withdrawn by the town")
    actions.end_concession(*ending)
    whole = whole_of(site.project, site.step())
    [filed] = [each for each in handed_in(whole, reader_of(whole, "en-us")) if each.place == "variances"]
    assert (filed.sha256, filed.state, filed.media_type) == (blob.sha256, "withdrawn", "image/jpeg")


def test_a_lost_scan_is_listed_with_its_reason(site: Site, tmp_path: Path) -> None:
    path_of(vary(site, with_position(), "town hall.jpg")).unlink()
    wanted = Wanted("folder", "en-us", "letter", originals=True)
    (tmp_path / "folder").mkdir()
    lacking = lay(whole_of(site.project, site.step()), FolderSink(tmp_path / "folder"), wanted)
    assert [(each.name, each.why) for each in lacking] == [
        (f"pictures/{NAME}.jpg", "the file is missing from the store"),
        (f"originals/{NAME}.jpg", "the file is missing from the store"),
    ]
