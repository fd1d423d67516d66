"""Trade sheets: what is on them, who sees which, one page each, as of which plan."""

import io
import re
from dataclasses import replace
from html import unescape
from pathlib import Path
from typing import Any

import pytest
from django.urls import reverse
from pypdf import PdfReader

from coordination.gates import actions
from coordination.gates.own_gates import GateWish
from coordination.gates.own_work import WorkWish
from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.facts import load_facts
from coordination.siteprep.plan import derive
from coordination.web.shapes.needs import tolerance_words
from coordination.web.shapes.papers import made_of
from coordination.web.shapes.trade_sheets import Sheets
from tests.gates.sites import BACKING, JOB, ROUGH, Site, build
from tests.standing_cast import LATER

QUERIES = 15
WITH_LET_GO = 38
FACTS = Path(__file__).resolve().parents[2] / "fixtures" / "facts" / "candle-works.toml"


def listed(site: Site) -> str:
    return reverse("trade-sheets", args=[site.project.uid])


def sheet(site: Site, trade: str, place: str, name: str = "trade-sheet") -> str:
    return reverse(name, args=[site.project.uid, trade, place])


def says(answer: Any) -> str:
    text = re.sub(r"<svg.*?</svg>|<[^>]+>|\s+", " ", answer.content.decode(), flags=re.S)
    return " ".join(unescape(text).split())


def text_of(answer: Any) -> tuple[int, str]:
    """Pages and words of a PDF, read back by another program's reader."""
    assert answer.headers["Content-Type"] == "application/pdf"
    reader = PdfReader(io.BytesIO(answer.content))
    return len(reader.pages), " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def test_the_list_goes_by_trade_and_place(site: Site, seen_by: Any) -> None:
    answer = seen_by("contractor").get(listed(site))
    groups = {group.name: [line.place_name for line in group.lines] for group in answer.context["groups"]}
    assert groups == {
        "Framing": ["Rail wall"],
        "Electrical": ["Pit"],
        "General contractor": ["Pit"],
        "Drywall": ["Rail wall"],
        "Elevator": ["Hoistway"],
    }
    assert "As of plan revision 1, drawing revision C, Wed 4 Mar 2026" in says(answer)


def test_a_sheet_says_what_is_asked_with_tolerance_source_and_who_looks(site: Site, seen_by: Any) -> None:
    text = says(seen_by("contractor").get(sheet(site, "framing", "rail-wall")))
    for words in (
        "Framing: Rail wall",
        "Copper Creek Framing",
        "555-0142",
        "continuous backing both sides, 30 in apart",
        "spread: 2' 5\" to 2' 7\"",
        "looked at by: coordinator",
        "common practice",
        "The approved drawing governs.",
    ):
        assert words in text


def test_the_same_on_one_page(site: Site, seen_by: Any) -> None:
    answer = seen_by("contractor").get(sheet(site, "framing", "rail-wall", "trade-sheet-pdf"))
    pages, text = text_of(answer)
    assert pages == 1
    for words in (
        "Framing: Rail wall",
        "As of plan revision 1, drawing revision C, Wed 4 Mar 2026",
        "continuous backing both sides, 30 in apart",
        "2' 5\" to 2' 7\"",
        "No permission to enter the hoistway",
    ):
        assert words in text
    assert re.search(r"complies|approved by us|certificate", text) is None
    assert answer.headers["Content-Disposition"] == 'attachment; filename="harrow-lane-framing-rail-wall.pdf"'
    assert answer.headers["Content-Security-Policy"].startswith("sandbox")
    box = PdfReader(io.BytesIO(answer.content)).pages[0].mediabox
    assert (round(box.width), round(box.height)) == (612, 792)


def test_a_new_plan_is_on_the_sheet_at_once(site: Site, seen_by: Any) -> None:
    renamed = replace(JOB.tasks[0], first_line={"en": "backing 36 in apart"})
    site.accept(replace(JOB, tasks=(renamed, *JOB.tasks[1:]), drawing_revision="D"))
    text = says(seen_by("contractor").get(sheet(site, "framing", "rail-wall")))
    assert "backing 36 in apart" in text
    assert "As of plan revision 2, drawing revision D" in text


@pytest.mark.parametrize("name", ["framer", "by link: framer"])
def test_a_subcontractor_sees_their_own_trades_sheets_only(site: Site, seen_by: Any, name: str) -> None:
    client = seen_by(name)
    assert [group.name for group in client.get(listed(site)).context["groups"]] == ["Framing"]
    assert client.get(sheet(site, "framing", "rail-wall")).status_code == 200
    others = [("electrical", "pit"), ("drywall", "rail-wall"), ("framing", "pit"), ("nonsense", "pit")]
    for trade, place in others:
        for kind in ("trade-sheet", "trade-sheet-pdf"):
            assert client.get(sheet(site, trade, place, kind)).status_code == 404
    assert client.get(reverse("trade-sheets-pdf", args=[site.project.uid, "electrical"])).status_code == 404


def test_two_of_one_trade_each_see_the_same_trade(site: Site, seen_by: Any) -> None:
    assert seen_by("electrician").get(sheet(site, "electrical", "pit")).status_code == 200


@pytest.mark.parametrize(
    "name", ["owner", "left", "stranger", "by link: inspector", "by link: revoked", "by link: owner"]
)
def test_for_others_there_are_none(site: Site, seen_by: Any, name: str) -> None:
    client = seen_by(name)
    addresses = [
        listed(site),
        sheet(site, "framing", "rail-wall"),
        sheet(site, "framing", "rail-wall", "trade-sheet-pdf"),
        reverse("trade-sheets-pdf", args=[site.project.uid, "framing"]),
    ]
    assert [client.get(address).status_code for address in addresses] == [404] * 4


def test_nor_for_another_suppliers_people(site: Site, seen_by: Any) -> None:
    far = build("far.")
    assert seen_by("coordinator").get(listed(far)).status_code == 404
    assert seen_by("framer").get(sheet(far, "framing", "rail-wall")).status_code == 404


def test_phones_only_for_who_may_see_them(site: Site, seen_by: Any) -> None:
    assert "555-0142" not in says(seen_by("framer").get(sheet(site, "framing", "rail-wall")))


def test_list_and_sheet_cost_the_same_for_one_and_many(
    site: Site, seen_by: Any, django_assert_num_queries: Any
) -> None:
    client = seen_by("contractor")
    site.accept(replace(JOB, tasks=JOB.tasks[:1], links=(), gates=()))
    with django_assert_num_queries(QUERIES):
        assert len(client.get(listed(site)).context["groups"]) == 1
    site.accept(JOB)
    with django_assert_num_queries(QUERIES):
        assert len(client.get(listed(site)).context["groups"]) == 5
    with django_assert_num_queries(QUERIES + 1):  # whether anything was let go
        client.get(sheet(site, "framing", "rail-wall"))


def test_what_was_let_go_stands_on_the_sheet_of_the_work_that_it_touches(
    site: Site, seen_by: Any, django_assert_num_queries: Any
) -> None:
    spread = "backing@rail-wall#spread"
    client, read = seen_by("contractor"), sheet(site, "framing", "rail-wall")
    site.concede(spread, "coordinator", kind="deviation permit", quantity="two brackets")
    assert "Concessions, deviation permits" not in says(client.get(read))  # one voice of two
    site.concede(spread, "contractor", kind="deviation permit", quantity="two brackets")
    with django_assert_num_queries(WITH_LET_GO):
        told = says(client.get(read))
    granted = "Deviation permit: spread · backing shim ordered · For which part: rail wall, left side · Limited to: two brackets"
    assert granted in told
    assert "Concessions, deviation permits" not in says(client.get(sheet(site, "electrical", "pit")))
    site.vary("rough@pit#receptacle")
    with django_assert_num_queries(WITH_LET_GO):
        assert granted in says(client.get(read))
    pages, text = text_of(client.get(sheet(site, "electrical", "pit", "trade-sheet-pdf")))
    assert pages == 1
    for words in ("Authority’s variance: Photo", "Town Hall (building department), No. V-12", "the pit"):
        assert words in text, words
    assert "spread" not in text


def test_without_a_plan_there_is_no_sheet(cast: Any, signed_in: Any) -> None:
    client = signed_in("contractor")
    answer = client.get(reverse("trade-sheets", args=[cast.project.uid]))
    assert (answer.status_code, answer.context["groups"]) == (200, [])
    assert client.get(reverse("trade-sheet", args=[cast.project.uid, "framing", "pit"])).status_code == 404


def test_forces_are_in_the_jobs_units() -> None:
    terms = {"unit": "force", "low": 5337.866, "high": None}
    assert tolerance_words(terms, "us") == "at least 1200 lbf"
    assert tolerance_words(terms, "metric") == "at least 5338 N"


def test_the_whole_of_a_trade_has_a_page_for_each_place(site: Site, seen_by: Any) -> None:
    sweep = replace(JOB.tasks[2], key="sweep@hoistway", place="hoistway")
    site.accept(replace(JOB, tasks=(*JOB.tasks, sweep)))
    answer = seen_by("contractor").get(
        reverse("trade-sheets-pdf", args=[site.project.uid, "general-contractor"])
    )
    pages, text = text_of(answer)
    assert (pages, text.count("General contractor: ")) == (2, 2)


def test_a_paper_that_does_not_fit_says_how_many_pages_it_has(db: Any) -> None:
    context = {"heading": "Long", "size": "letter", "inputs": {"caption": "", "rows": [["a", "b"]] * 900}}
    made = made_of(
        "paper/calculation.html", [context], {}, title="Long", language="en", made_at=LATER, pages=1
    )
    pages = PdfReader(io.BytesIO(made)).pages
    assert len(pages) > 1
    assert f"1 / {len(pages)}" in pages[0].extract_text()


def test_every_sheet_of_a_whole_job_can_be_drawn(site: Site) -> None:
    facts = load_facts(FACTS)
    site.accept(derive(facts, load_catalogue()))
    sheets = Sheets(site.who("coordinator"), LATER.date())
    for trade, place in sheets.tasks:
        made = sheets.sheet(trade, place)
        assert made is not None
        assert made.works
        assert all(work.name for work in made.works)
        assert all(item.source for work in made.works for item in work.asked)


def test_own_work_and_own_hold_points_stand_on_the_sheets_and_on_paper(site: Site, seen_by: Any) -> None:
    wish = WorkWish("Pad out the studs", "rail-wall", "framing")
    actions.add_work(site.project, site.who("contractor"), site.step(), wish)
    before = GateWish("Joint walk", conditions=(("task accepted", ROUGH.key),), before=(BACKING.key,))
    actions.add_gate(site.project, site.who("contractor"), site.step(), before)
    client = seen_by("by link: framer")
    shown = says(client.get(sheet(site, "framing", "rail-wall")))
    pages, paper = text_of(client.get(sheet(site, "framing", "rail-wall", "trade-sheet-pdf")))
    assert pages == 1
    for text in (shown, paper):
        for words in ("Pad out the studs", "Photo of what was done", "Hold point before it: Joint walk"):
            assert words in text
    rough = says(seen_by("contractor").get(sheet(site, "electrical", "pit")))
    assert "Hold point that waits for it: Joint walk" in rough
    groups = seen_by("contractor").get(listed(site)).context["groups"]
    assert "Pad out the studs" in next(group for group in groups if group.name == "Framing").lines[0].tasks
