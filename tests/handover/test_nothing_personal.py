"""What leaves the house says neither where a photo was taken nor with what: read with exiftool and pypdf."""

import json
import subprocess
import uuid
from pathlib import Path

import pypdf
import pytest
from django.test import Client
from django.urls import reverse

from coordination.access.models import Assignment
from coordination.console.demo.site_photos import MAKE, MODEL, draw_photo
from coordination.evidence.arrivals import take_in
from coordination.evidence.items import HandIn
from coordination.evidence.models import Evidence, Rendition
from coordination.files.keeping import path_of
from coordination.gates.models import Clearing
from coordination.handover.composing import compose_gate_report
from tests.gates.sites import BACKING, RAILS, Site, build

LEFT = "backing@rail-wall#left"
PERSONAL = {
    "GPS",
    "ExifIFD",
    "IFD0",
    "IFD1",
    "XMP",
    "MakerNotes",
    "Comment",
    "ICC_Profile",
    "IPTC",
    "Photoshop",
}


def said(path: Path) -> dict[str, str]:
    """Every tag by group and name, also of what is embedded."""
    command = ["exiftool", "-j", "-G1", "-ee", "-U", str(path)]
    answer = subprocess.run(command, capture_output=True, text=True, check=True)
    return dict(json.loads(answer.stdout)[0])


def personal(path: Path) -> set[str]:
    words = (MAKE.casefold(), MODEL.casefold(), "gps", "44 deg")
    return {
        key
        for key, value in said(path).items()
        if key.partition(":")[0] in PERSONAL or any(word in f"{key} {value}".casefold() for word in words)
    }


@pytest.fixture
def site(db: None) -> Site:
    """A job whose one photo says where and with what it was taken; its gate is cleared."""
    site = build()
    site.start(BACKING.key, "framer")
    data = draw_photo("framing", seed=3, taken_at=site.at, size=(1800, 1350), gps=(44.4751, -73.2002))
    arrived = take_in(site.project, data, kind="photo", file_name="left.jpg", site=(44.4750, -73.2))
    item = HandIn(uuid.uuid4(), blob=arrived.blob, image=arrived.image, file_name="left.jpg")
    site.hand_in(LEFT, "framer", item)
    site.read("backing@rail-wall#spread", "framer", '30"')
    offer = site.offer(BACKING.key, "framer")
    site.review(LEFT, "contractor")
    site.review("backing@rail-wall#spread", "coordinator")
    site.answer(offer, RAILS.key, "crew")
    site.inspect()
    site.settle()
    site.sign("close-in", "contractor")
    site.sign("close-in", "crew")
    site.clear("close-in")
    return site


def test_the_original_says_it_all_so_that_the_test_can_fail(site: Site) -> None:
    original = path_of(Evidence.objects.get(requirement=site.need(LEFT)).blob)
    assert {"GPS:GPSLatitude", "IFD0:Make", "IFD0:Model"} <= personal(original)


def test_copies_say_nothing(site: Site) -> None:
    copies = [path_of(row.blob) for row in Rendition.objects.select_related("blob")]
    assert len(copies) >= 2
    assert [personal(path) for path in copies] == [set()] * len(copies)


def test_neither_the_report_nor_a_picture_in_it_nor_what_it_carries_says_anything(
    site: Site, tmp_path: Path
) -> None:
    clearing = Clearing.objects.select_related("gate__task__project__supplier", "event").get()
    paper = tmp_path / "report.pdf"
    paper.write_bytes(compose_gate_report(clearing, language="en-us", paper="letter").render())
    reader = pypdf.PdfReader(paper)
    pictures = [image for page in reader.pages for image in page.images]
    assert len(pictures) > 0
    for number, image in enumerate(pictures):
        (tmp_path / f"{number}-{Path(image.name).name}").write_bytes(image.data)
    found = {path.name: personal(path) for path in tmp_path.glob("*-*")}
    assert {name: tags for name, tags in found.items() if tags} == {}
    whole = " ".join(f"{key} {value}" for key, value in said(paper).items()).casefold()
    attached = (
        b" ".join(content for files in reader.attachments.values() for content in files).decode().casefold()
    )
    text = " ".join(page.extract_text() for page in reader.pages).casefold()
    for words in (whole, attached, text):
        assert not any(
            secret in words for secret in (MAKE.casefold(), MODEL.casefold(), "gps", "44.475", "73.2")
        )
    assert "at the site" not in attached


def test_a_telephone_is_neither_printed_nor_carried_by_a_report(site: Site, tmp_path: Path) -> None:
    rows = Assignment.objects.filter(project=site.project).select_related("company")
    phones = {row.company.phone for row in rows}
    clearing = Clearing.objects.select_related("gate__task__project__supplier", "event").get()
    paper = tmp_path / "report.pdf"
    paper.write_bytes(compose_gate_report(clearing, language="en-us", paper="letter").render())
    reader = pypdf.PdfReader(paper)
    attached = b" ".join(content for files in reader.attachments.values() for content in files).decode()
    printed = " ".join(page.extract_text() for page in reader.pages)
    assert len(phones - {""}) > 1
    assert [phone for phone in phones if phone and phone in attached + printed] == []


@pytest.mark.parametrize("name", ["framer", "crew", "contractor"])
def test_what_is_sent_to_browsers_says_nothing(site: Site, tmp_path: Path, name: str, monkeypatch) -> None:
    monkeypatch.setattr("django.utils.timezone.now", lambda: site.at)
    client, row = Client(), Evidence.objects.get(requirement=site.need(LEFT))
    client.force_login(site.cast.people[name])
    for size in ("small", "large"):
        answer = client.get(reverse("media", args=[row.uid, size]))
        copy = tmp_path / f"{size}.jpg"
        copy.write_bytes(b"".join(answer.streaming_content))
        assert (answer.status_code, personal(copy)) == (200, set())
    original = client.get(reverse("media", args=[row.uid, "original"]))
    original.close()
    assert original.status_code == (200 if name == "contractor" else 404)


def test_a_stranger_gets_no_picture_at_all(site: Site) -> None:
    row = Evidence.objects.get(requirement=site.need(LEFT))
    for size in ("small", "large", "original"):
        assert Client().get(reverse("media", args=[row.uid, size])).status_code == 404
