"""The page of a packed folder: what is urgent first, places from the pit upwards, each photo once."""

import re
from pathlib import Path
from unittest.mock import patch

from django.template.loader import render_to_string

from coordination.access.telephones import dialled
from coordination.handover.behind_walls import Hidden
from coordination.handover.final_list import FinalLine, Proof
from coordination.handover.packing.folder_photos import Photos
from coordination.handover.packing.laid import Laid
from coordination.handover.packing.laying import Wanted, lay
from coordination.handover.packing.sinks import FolderSink
from coordination.handover.whole import whole_of
from tests.gates.sites import Site

ONE, TWO, LOST = "1" * 64, "2" * 64, "3" * 64


def hidden(sha: str, what: str) -> Hidden:
    return Hidden(what, "Frame", "Board", "March 2", sha, sha, {"uid": what, "sha256": sha})


def line(*shas: str) -> FinalLine:
    proofs = tuple(Proof("Valve", sha, is_picture=True, item={"uid": sha, "sha256": sha}) for sha in shas)
    return FinalLine("oil-shut-off", "Valve", "present", proofs, "", (), "", "", "", "", "", "")


def test_a_photo_is_shown_once_and_mentioned_by_its_number() -> None:
    photos = Photos(
        Laid(originals={ONE: "originals/1.jpg"}, copies={ONE: "pictures/1.jpg", TWO: "pictures/2.jpg"})
    )
    above = photos.of_line(line(ONE, LOST))
    behind = photos.behind(
        [hidden(TWO, "left"), hidden(ONE, "valve"), hidden(LOST, "lost"), hidden(TWO, "same")]
    )
    assert [(each.number, each.again, each.src) for each in (*above, *behind)] == [
        (1, False, "pictures/1.jpg"),
        (2, False, "pictures/2.jpg"),
        (1, True, "pictures/1.jpg"),
        (3, False, ""),
        (2, True, "pictures/2.jpg"),
    ]
    first, _left, again, lost, _same = (
        render_to_string("handover_folder/photo.html", {"photo": each, "caption": each.what})
        for each in (*above, *behind)
    )
    assert ('id="photo-1"' in first, 'src="pictures/1.jpg"' in first, 'href="originals/1.jpg"' in first) == (
        True,
    ) * 3
    assert ('href="#photo-1"' in again, "<img" in again, "id=" in again) == (True, False, False)
    assert "This photo could not be packed." in lost


def test_what_is_urgent_comes_first_and_places_go_upwards(site: Site, tmp_path: Path) -> None:
    with patch("coordination.handover.packing.laying.pdf_of", lambda order: b"%PDF-1.7"):
        told = whole_of(site.project, site.step())
        lay(told, FolderSink(tmp_path), Wanted("folder", "en-us", "letter", originals=True))
    page = (tmp_path / "index.html").read_text()
    parts = re.findall(r'<section id="([^"]+)"', page)
    assert [part for part in parts if part != "lacking"] == [
        "shut-offs", "contacts", "days", "places", "concessions", "reports", "list", "about",
    ]  # fmt: skip
    places = re.findall(r'<details id="place-([^"]+)"', page)
    assert places == [
        key for key in ("pit", "rail-wall", "hoistway", "landing-1", "landing-2") if key in places
    ]
    assert places[:2] == ["pit", "rail-wall"]
    [pit] = re.findall(r'id="place-pit"><summary>.*?class="count">(.*?)</span>', page, re.DOTALL)
    photos = {
        each["sha256"]
        for task in told["tasks"]
        if task["place"] == "pit"
        for need in task["requirements"]
        if need["kind"] == "photo"
        for each in (*need["evidence"], *need["earlier"])
    }
    assert pit.startswith(f"{len(photos)} photo")
    pictures = re.findall(r'<img src="(pictures/[^"]+)"', page)
    assert len(pictures) == len(set(pictures)) > 0
    for company in told["companies"]:
        assert not company["phone"] or f'href="{dialled(company["phone"])}"' in page
