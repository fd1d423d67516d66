"""PDFs in packed folders: strangers get copies, read here by programs that share nothing with whoever makes them."""

import csv
import hashlib
import io
import subprocess
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from pypdf import PdfReader

from coordination.evidence.arrivals import take_in
from coordination.evidence.models import Evidence
from coordination.files.keeping import path_of
from coordination.files.models import PaperForStrangers
from coordination.handover.list_words import say_of_item
from coordination.handover.models import Pack
from coordination.handover.packs import ask_for_pack, make_pack
from tests.files.scans import (
    NAMED,
    by_cairo,
    by_exiftool,
    by_weasyprint,
    photo_with_position,
    plain_photo,
    scanned,
    signed,
    told_by_exiftool,
)
from tests.gates.sites import Site

Attach = Callable[[bytes], Evidence]
HEADS = ["SHA-256", "file", "SHA-256 of that file", "given as"]


@pytest.fixture(autouse=True)
def _papers_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Our own PDFs are tested where they are shaped."""
    monkeypatch.setattr("coordination.handover.packing.laying.pdf_of", lambda order: b"%PDF-1.7 ours")


def unpacked(site: Site, by: str, kind: str, folder: Path) -> Path:
    """The ZIP that one of the cast, or the owner's link, gets, unpacked by another program."""
    visitor = site.cast.by_link("owner", site.at) if by == "owner" else site.who(by)
    pack = ask_for_pack(site.project, visitor, site.step(), kind=kind, language="en-us")
    make_pack(str(pack.uid))
    subprocess.run(["unzip", "-q", path_of(Pack.objects.get(pk=pack.pk).blob), "-d", folder], check=True)
    [inside] = folder.iterdir()
    return inside


def listed(folder: Path) -> list[dict[str, str]]:
    """What list.csv says of files that are no photos."""
    rows = csv.DictReader(io.StringIO((folder / "list.csv").read_text()))
    found = [{name: row[name] for name in HEADS} for row in rows]
    return [row for row in found if row["SHA-256"] and not row["file"].endswith(".jpg")]


def sha_of(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


@pytest.fixture
def papers(attached: Attach, tmp_path: Path) -> list[Evidence]:
    """Cards from four programs; each came in the place of the one before."""
    made = tmp_path / "made"
    made.mkdir()
    contents = (scanned(), by_cairo(scanned(), made), by_weasyprint(made), by_exiftool(scanned(), made))
    return [attached(content) for content in contents]


@pytest.mark.parametrize("kind", ["archive", "folder"])
def test_nothing_in_a_strangers_folder_says_who_where_or_with_what(
    site: Site, papers: list[Evidence], kind: str, tmp_path: Path
) -> None:
    arrived = take_in(site.project, scanned(photo_with_position()), kind="document", file_name="a.pdf")
    told = {"item": "keys", "state": "present", "words": "In the box.", "file": arrived, "file_name": "a.pdf"}
    say_of_item(site.project, site.who("coordinator"), site.step(), **told)
    folder = unpacked(site, "owner", kind, tmp_path / "out")
    ours = set((folder / "papers").glob("*")) if kind == "folder" else set()
    pdfs = set(folder.rglob("*.pdf")) - ours
    assert len(pdfs) == len(papers) + 1
    assert {path.name.endswith("-copy-without-location.pdf") for path in pdfs} == {True}
    for path in pdfs:
        reader = PdfReader(path)
        assert (reader.metadata, dict(reader.attachments), reader.xmp_metadata, len(reader.pages)) == (
            None,
            {},
            None,
            1,
        )
    pictures = list(folder.rglob("*.jpg"))
    assert pictures
    for path in pictures:
        with Image.open(path) as picture:
            assert (dict(picture.getexif()), picture.info.get("icc_profile")) == ({}, None)
    assert told_by_exiftool(folder) == ""
    named = [path.name for path in folder.rglob("*") if path.is_file() and NAMED.search(path.read_bytes())]
    assert named == []


def test_the_list_names_both_hashes_and_the_manifest_that_of_the_copy(
    site: Site, papers: list[Evidence], tmp_path: Path
) -> None:
    folder = unpacked(site, "owner", "archive", tmp_path / "out")
    found = listed(folder)
    assert sorted(row["SHA-256"] for row in found) == sorted(row.blob.sha256 for row in papers)
    for row in found:
        assert row["SHA-256 of that file"] == sha_of(folder / row["file"]) != row["SHA-256"]
        assert row["given as"] == "copy without location and device data"
        assert f"{row['SHA-256 of that file']}  {row['file']}" in (folder / "SHA256SUMS").read_text()
    told = (folder / "how-to-check.txt").read_text()
    assert "Photos and PDFs are copies here, without location and device data" in told
    assert "Each original has the SHA-256" not in told


def test_whoever_may_have_originals_gets_them_untouched(
    site: Site, papers: list[Evidence], tmp_path: Path
) -> None:
    folder = unpacked(site, "contractor", "archive", tmp_path / "out")
    for row in listed(folder):
        assert row["SHA-256"] == row["SHA-256 of that file"] == sha_of(folder / row["file"])
        assert row["given as"] == "original"
    assert "Each original has the SHA-256" in (folder / "how-to-check.txt").read_text()
    assert "Ida Lunde" in told_by_exiftool(folder)


def test_a_signed_one_goes_as_it_is_or_as_a_copy_that_says_it_is_not_signed(
    site: Site, attached: Attach, tmp_path: Path
) -> None:
    attached(signed(plain_photo()))
    row = attached(signed(photo_with_position()))
    folder = unpacked(site, "owner", "folder", tmp_path / "out")
    copy, whole = sorted(listed(folder), key=lambda line: line["SHA-256"] != row.blob.sha256)
    assert whole["SHA-256"] == whole["SHA-256 of that file"] == sha_of(folder / whole["file"])
    assert whole["given as"].startswith("as it was signed")
    assert copy["SHA-256 of that file"] == sha_of(folder / copy["file"]) != row.blob.sha256
    assert "the original is signed, which no copy can be" in copy["given as"]


def test_what_can_have_no_copy_is_left_out_with_its_reason(
    site: Site, attached: Attach, tmp_path: Path
) -> None:
    attached(signed(plain_photo()))
    row = attached(signed(photo_with_position()))
    PaperForStrangers.objects.create(blob=row.blob, how="locked")
    folder = unpacked(site, "owner", "folder", tmp_path / "out")
    none, whole = sorted(listed(folder), key=lambda line: line["file"])
    assert whole["SHA-256"] == whole["SHA-256 of that file"] == sha_of(folder / whole["file"])
    assert whole["given as"].startswith("as it was signed")
    assert none == {"SHA-256": row.blob.sha256, "file": "", "SHA-256 of that file": "", "given as": ""}
    for name in ("missing.txt", "index.html"):
        assert "it is locked with a password" in (folder / name).read_text()


def test_the_same_standing_gives_the_same_bytes(site: Site, papers: list[Evidence]) -> None:
    owner = site.cast.by_link("owner", site.at)
    pack = ask_for_pack(site.project, owner, site.step(), kind="archive", language="en-us")
    hashes = []
    for _ in range(2):
        Pack.objects.update(made_at=None, blob=None)
        make_pack(str(pack.uid))
        hashes.append(Pack.objects.get().sha256)
    assert hashes[0] == hashes[1]
    with zipfile.ZipFile(path_of(Pack.objects.get().blob)) as archive:
        assert archive.testzip() is None


# ---- packed before there were copies
def migrated(pack: Pack) -> None:
    from importlib import import_module

    from django.apps import apps

    let_go = import_module("coordination.handover.migrations.0005_no_whole_pdfs_for_strangers").let_go
    let_go(apps, None)
    pack.refresh_from_db()


@pytest.mark.parametrize(
    ("by", "with_pdf", "stays"), [("owner", True, False), ("owner", False, True), ("contractor", True, True)]
)
def test_folders_of_strangers_that_hold_whole_pdfs_are_let_go(
    site: Site, attached: Attach, by: str, with_pdf: bool, stays: bool
) -> None:
    if with_pdf:
        attached(scanned())
    visitor: Any = site.cast.by_link("owner", site.at) if by == "owner" else site.who(by)
    asked: dict[str, Any] = {"kind": "archive", "language": "en-us"}
    pack = ask_for_pack(site.project, visitor, site.step(), **asked)
    make_pack(str(pack.uid))
    pack.refresh_from_db()
    before = pack.sha256
    migrated(pack)
    assert (pack.blob is not None, pack.sha256, pack.made_at is not None) == (stays, before, True)
    again = ask_for_pack(site.project, visitor, site.step(), **asked)
    assert (again.pk, again.made_at is None) == (pack.pk, not stays)
