"""Marks on paper: over the photo as it is held upright, in words beneath it, and never moved by what comes later."""

import hashlib
import io
import re
import subprocess
import uuid
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pypdf
import pytest
from PIL import Image, ImageDraw
from scipy import ndimage

from coordination.evidence.arrivals import take_in
from coordination.evidence.items import HandIn
from coordination.evidence.marking import MarkInput, put_mark, take_mark_back
from coordination.evidence.models import Evidence, Mark, Rendition
from coordination.evidence.renditions import ensure_renditions
from coordination.files.keeping import path_of
from coordination.gates.actions import review_requirement
from coordination.gates.models import Clearing
from coordination.handover.composing import compose_gate_report, snapshot_of
from coordination.handover.contact_sheets import contact_sheet_order, sheet_of_place
from coordination.handover.packing.laying import Wanted, lay
from coordination.handover.packing.sinks import FolderSink
from coordination.handover.sheet_paper import pdf_of, reader_of
from coordination.handover.whole import whole_of
from coordination.paper import Order
from coordination.projects.trade_words import speaking
from coordination.record.verification import verify_stream
from tests.gates.sites import Site, build

RECEPTACLE, LEFT = "rough@pit#receptacle", "backing@rail-wall#left"
UPRIGHT, THING = (400, 300), (80, 60, 140, 120)
# Upper left of the thing's middle, in ten-thousandths of the upright picture.
MIDDLE = (2750, 3000)
BLUE, ACCENT = (20, 60, 230), (0x9C, 0x4A, 0x1A)
# EXIF 2.32, 4.6.4 A: how a picture with that orientation must have been stored to be upright like this.
STORED = {
    1: None,
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_90,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_270,
}


def stored(orientation: int) -> bytes:
    """A JPEG that is upright only when its orientation is honoured; a blue thing lies left of the middle."""
    upright = Image.new("RGB", UPRIGHT, (200, 205, 210))
    ImageDraw.Draw(upright).rectangle(THING, fill=BLUE)
    ImageDraw.Draw(upright).rectangle((0, 0, orientation, orientation), fill=(90, 90, 90))
    way, exif, file = STORED[orientation], Image.Exif(), io.BytesIO()
    exif[0x0112] = orientation
    (upright.transpose(way) if way is not None else upright).save(file, "JPEG", exif=exif, quality=95)
    return file.getvalue()


def shown(site: Site, orientation: int) -> Evidence:
    content = stored(orientation)
    arrived = take_in(site.project, content, kind="photo", file_name=f"{orientation}.jpg")
    item = HandIn(uuid.uuid4(), blob=arrived.blob, image=arrived.image, file_name=f"{orientation}.jpg")
    return site.hand_in(RECEPTACLE, "electrician", item)


def put(site: Site, row: Evidence, by: str = "contractor", **given: object) -> Mark:
    told = {"kind": "arrow", "points": ((7000, 8000), MIDDLE), "words": "box too low", **given}
    mark = MarkInput(sender_key=uuid.uuid4(), **told)  # type: ignore[arg-type]
    return put_mark(site.project, site.who(by), site.step(), row.uid, mark)


def cleared(site: Site) -> Clearing:
    site.sign("close-in", "contractor")
    site.sign("close-in", "crew")
    site.clear("close-in")
    return Clearing.objects.select_related("gate__task__project__supplier", "event").get()


def composed(clearing: Clearing):
    return compose_gate_report(clearing, language="en-us", paper="letter")


@pytest.fixture
def site(db: None) -> Site:
    site = build()
    site.ready()
    return site


def text_of(pdf: bytes) -> str:
    pages = pypdf.PdfReader(io.BytesIO(pdf)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def pages_of(pdf: bytes, folder: Path) -> list[np.ndarray]:
    """Every page as pixels, painted by another program."""
    (folder / "report.pdf").write_bytes(pdf)
    subprocess.run(["pdftoppm", "-r", "110", "report.pdf", "page"], cwd=folder, check=True)
    return [
        np.asarray(Image.open(path).convert("RGB")).astype(int) for path in sorted(folder.glob("page*.ppm"))
    ]


def like(pixels: np.ndarray, colour: tuple[int, int, int]) -> np.ndarray:
    return np.abs(pixels - np.array(colour)).max(axis=2) < 40


def reported(site: Site) -> bytes:
    return composed(cleared(site)).render()


def sheet_of(site: Site, place: str = "pit") -> Order:
    for row in Evidence.objects.select_related("blob").filter(blob__media_type="image/jpeg"):
        ensure_renditions(row)
    whole = whole_of(site.project, site.step())
    with speaking("us"):
        sheet = sheet_of_place(whole, reader_of(whole, "en-us"), place)
        assert sheet is not None
        return contact_sheet_order(whole, sheet, language="en-us", paper="letter")


def on_a_sheet(site: Site) -> bytes:
    return pdf_of(sheet_of(site))


@pytest.mark.parametrize("printed", [reported, on_a_sheet])
def test_the_mark_sits_on_the_same_thing_however_the_phone_was_held(
    site: Site, tmp_path: Path, printed: Callable[[Site], bytes]
) -> None:
    rows = [shown(site, orientation) for orientation in STORED]
    originals = {row.blob.sha256: path_of(row.blob).read_bytes() for row in rows}
    for row in rows:
        put(site, row)
    pdf = printed(site)
    things = []
    for page in pages_of(pdf, tmp_path):
        regions, _number = ndimage.label(
            ndimage.binary_closing(like(page, BLUE) | like(page, ACCENT), iterations=2)
        )
        for number, place in enumerate(ndimage.find_objects(regions), 1):
            inside = page[place][regions[place] == number].reshape(-1, 1, 3)
            if like(inside, BLUE).sum() > 200:
                things.append(page[place])
    assert len(things) == len(STORED)
    for thing in things:
        blue = ndimage.find_objects(like(thing, BLUE).astype(int))[0]
        tip = like(thing[blue], ACCENT)
        assert tip.sum() > 20
        assert tip[tip.shape[0] // 2 :, tip.shape[1] // 2 :].sum() > 0.6 * tip.sum()
    for sha256, content in originals.items():
        assert hashlib.sha256(content).hexdigest() == sha256
        assert content == path_of(Evidence.objects.get(blob__sha256=sha256).blob).read_bytes()  # fmt: skip


def test_the_marks_are_drawn_and_said(site: Site) -> None:
    row = shown(site, 1)
    put(site, row)
    put(
        site,
        row,
        "electrician",
        kind="dimension",
        points=((1000, 9000), (9000, 9000)),
        words="clear",
        typed="30 in",
    )
    paper = composed(cleared(site))
    assert f'<img src="marked/{row.uid}.svg"' in paper.html
    text = text_of(paper.render())
    assert "1, arrow, left side, a third down: box too low (Ana Ruiz)" in text
    assert "2, dimension, middle, at the bottom: 30 in, clear (" in text
    drawing = paper.resources[f"marked/{row.uid}.svg"]
    assert isinstance(drawing, bytes)
    assert b"../photo/" in drawing
    assert drawing.count(b"data-mark=") == 2
    assert ">30 in</text>" in drawing.decode()  # fmt: skip


def test_an_evidence_sheet_says_the_marks_and_a_lost_copy_stops_nothing(site: Site) -> None:
    row, other = shown(site, 1), shown(site, 3)
    put(site, row)
    put(site, other, words="it floats")
    sheet_of(site)
    path_of(Rendition.objects.select_related("blob").get(evidence=other, size=1600).blob).unlink()
    order = sheet_of(site)
    assert {name for name in order.resources if name.startswith("marked/")} == {f"marked/{row.uid}.svg"}
    said = "1, arrow, left side, a third down: box too low"
    assert f'<img src="marked/{row.uid}.svg" alt="Photo 2: Photo' in order.html
    assert f'. Marks: {said}">' in order.html
    text = text_of(pdf_of(order))
    assert f"{said} (Ana Ruiz)" in text
    assert "The copy of this photo is not on the disk." in text
    assert "it floats (Ana Ruiz)" in text


def test_a_packed_folder_draws_the_marks_over_copies_that_stay_as_they_are(
    site: Site, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("coordination.handover.packing.laying.pdf_of", lambda order: b"%PDF-1.7")
    row = Evidence.objects.select_related("blob").get(requirement=site.need(LEFT))
    ensure_renditions(row)
    copy = path_of(Rendition.objects.select_related("blob").get(evidence=row, size=1600).blob).read_bytes()
    put(site, row)
    lay(whole_of(site.project, site.step()), FolderSink(tmp_path), Wanted("folder", "en-us", "letter", True))
    page = (tmp_path / "index.html").read_text()
    [figure] = [part for part in page.split("<figure") if "data-mark=" in part]
    src = re.search(r'^ id="([^"]+)"><a class="picture marked" href="#([^"]+)"><img src="([^"]+)"', figure)
    assert src
    assert (src[1], page.count(f'id="{src[1]}"')) == (src[2], 1)
    assert re.search(r'<a class="target" href="originals/[^"]+">The photo without marks</a>', figure)
    assert (tmp_path / src[3]).read_bytes() == copy
    assert figure.count('data-kind="arrow"') == 1
    said = "1, arrow, left side, a third down: box too low"
    assert f'. Marks: {said}"' in figure
    assert f"<li>{said} (Ana Ruiz)</li>" in figure
    assert not re.search(r"style=|<script", figure)


def test_what_is_put_or_taken_back_later_moves_no_old_paper(site: Site) -> None:
    row = shown(site, 1)
    first, second = put(site, row), put(site, row, words="second")
    clearing = cleared(site)
    before = composed(clearing).render()
    put(site, row, words="came later")
    take_mark_back(site.project, site.who("contractor"), site.step(), second.uid)
    again = composed(
        Clearing.objects.select_related("gate__task__project__supplier", "event").get(pk=clearing.pk)
    )
    assert clearing.reopened_at is None
    assert again.render() == before
    frozen = [
        [mark["uid"] for mark in item["marks"]]
        for task in snapshot_of(clearing)["tasks"]
        for need in task["requirements"]
        for item in need["evidence"]
        if item["uid"] == str(row.uid)
    ]
    assert frozen == [[str(first.uid), str(second.uid)]]
    assert verify_stream(site.project.stream).length


def test_a_refused_photo_that_stays_on_the_paper_says_why(db: None) -> None:
    site = build()
    site.start("backing@rail-wall", "framer")
    wrong = site.photo(LEFT, "framer")
    mark = put(site, wrong, kind="ring", points=((1000, 1000), (4000, 4000)), words="blocking stops short")
    review_requirement(
        site.project, site.who("contractor"), site.step(), site.need(LEFT).uid, "refused", marks=[mark.uid]
    )
    site.photo(LEFT, "framer")
    site.read("backing@rail-wall#spread", "framer", '30"')
    offer = site.offer("backing@rail-wall", "framer")
    site.review(LEFT, "contractor"), site.review("backing@rail-wall#spread", "coordinator")
    site.answer(offer, "rails@hoistway", "crew")
    site.inspect()
    site.settle()
    paper = composed(cleared(site))
    text = text_of(paper.render())
    assert "Refused by Ana Ruiz: Mark 1: blocking stops short" in text
    assert "1, ring, left side, a third down: blocking stops short (Ana Ruiz; why it was refused)" in text
    assert f'<img src="marked/{wrong.uid}.svg"' in paper.html


def test_papers_of_snapshots_from_before_there_were_marks_are_as_they_were(site: Site) -> None:
    from coordination.handover.marked import mark_lines, marked_photos, picture_name, with_marks

    item = {"uid": "u", "rendition": {"sha256": "ab", "width": 4, "height": 3}}
    assert (picture_name(item), marked_photos([item]), mark_lines(item), with_marks("Photo", item)) == (
        "photo/ab.jpg",
        {},
        (),
        "Photo",
    )
