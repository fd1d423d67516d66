"""Whatever was let go stands on every later paper that shows what it is about, and on no other."""

import io
import json
from dataclasses import replace
from datetime import date, timedelta
from html import unescape
from re import findall, sub
from typing import Any

import pypdf
import pytest

from coordination.gates import actions
from coordination.gates.queries import look_at
from coordination.handover.brief import brief_order
from coordination.handover.composing import compose_gate_report
from coordination.handover.contact_sheets import contact_sheet_order, sheet_of_place, sheet_of_task
from coordination.handover.due_dates import due_dates
from coordination.handover.final_words import final_order
from coordination.handover.let_go import let_go, standing_words
from coordination.handover.sheet_paper import pdf_of, reader_of
from coordination.handover.summary import missing_lines, sums
from coordination.handover.weekly import week_orders
from coordination.handover.whole import whole_of
from coordination.projects.trade_words import speaking
from tests.gates.sites import BACKING, JOB, ROUGH, Site, build
from tests.handover.held_on_record import SPREAD
from tests.handover.test_held_on_record import Tables
from tests.handover.wholes import US, need, task, whole
from tests.projects.small_plans import with_task, without_task

TODAY = date(2026, 3, 9)
RECEPTACLE = f"{ROUGH.key}#receptacle"
TOLD = {"language": "en-us", "paper": "letter"}
PEOPLE = ("Bo Tran", "Ida Marsh", "Ana Ruiz", "Copper Creek", "Low Rise")
PERMIT, CONCESSION, VARIANCE = (
    "Deviation permit: spread",
    "Concession: spread",
    "Authority’s variance: Photo",
)


@pytest.fixture
def granted(db: None) -> Site:
    """A permit that was taken back, a concession that stands, a variance that stands until a day."""
    site = build()
    for role in ("coordinator", "contractor"):
        permit = site.concede(SPREAD, role, kind="deviation permit")
    actions.end_concession(site.project, site.who("coordinator"), site.step(), permit.uid, "wrong wall")
    site.start(BACKING.key, "framer")
    site.photo(f"{BACKING.key}#left", "framer")
    site.read(SPREAD, "framer", '32"')
    for role in ("coordinator", "contractor"):
        site.concede(SPREAD, role, quantity="two brackets")
    site.vary(RECEPTACLE, expires_on=site.at.date() + timedelta(days=90))
    return site


def words(html: str) -> str:
    return " ".join(unescape(sub(r"<[^>]+>", " ", html)).split())


def week(site: Site, *, for_owner: bool = False) -> str:
    scene = look_at(site.project, site.step())
    return next(iter(week_orders(scene, TODAY, for_owner=for_owner, **TOLD))).html


def sheet(site: Site, place: str = "", key: str = "") -> str:
    told = whole_of(site.project, site.step())
    reader = reader_of(told, "en-us")
    found = sheet_of_place(told, reader, place) if place else sheet_of_task(told, reader, key)
    assert found is not None
    return contact_sheet_order(told, found, **TOLD).html


def test_the_week_has_all_of_the_site_with_number_scope_voices_days_and_what_does_not_conform(
    granted: Site,
) -> None:
    lines = [words(each) for each in findall(r"<li><p><strong>.*?</li>", week(granted), flags=16)]
    stands, varied, ended = lines
    assert stands.startswith(
        f"{CONCESSION} · backing, Rail wall shim ordered · For which part: rail wall, left side"
    )
    assert "Limited to: two brackets" in stands
    assert "What does not conform: 2' 8\", out of tolerance (Bo Tran, March 2, 2026" in stands
    assert "Granted by: " in stands
    assert "(elevator coordinator), March 2, 2026" in stands
    assert varied.startswith(
        f"{VARIANCE} · rough, Pit Town Hall (building department), No. V-12, dated March 2, 2026"
    )
    assert "Limited to: until May 31, 2026" in varied
    assert "attached by: Ana Ruiz (general contractor), March 2, 2026" in varied
    assert ended.startswith(f"{PERMIT} · backing, Rail wall · ended March 2, 2026")


def test_the_owners_week_says_the_same_without_persons(granted: Site) -> None:
    told = words(week(granted, for_owner=True))
    assert [kind in told for kind in (PERMIT, CONCESSION, VARIANCE)] == [True] * 3
    assert [name for name in PEOPLE if name in told] == []
    assert "attached by: general contractor, March 2, 2026" in told
    assert "shim ordered" not in told
    assert "a deeper sump" in told  # what the authority allows


def test_an_evidence_sheet_has_those_of_its_place_or_task(granted: Site) -> None:
    wall, pit = sheet(granted, "rail-wall"), sheet(granted, "pit")
    assert [row[0].split(" · ")[0] for row in Tables(wall, "let-go").rows[1:]] == [
        "spread Concession",
        "spread Deviation permit",
    ]
    [head, row] = Tables(pit, "let-go").rows
    assert row[0] == "Photo Authority’s variance · rough, Pit"
    assert row[4].startswith("Town Hall (building department), No. V-12, dated March 2, 2026 scan, SHA-256 ")
    assert Tables(sheet(granted, key=BACKING.key), "let-go").rows == Tables(wall, "let-go").rows
    assert Tables(sheet(granted, key=ROUGH.key), "let-go").rows == [head, row]
    assert Tables(sheet(granted, key="board@rail-wall"), "let-go").rows == []


def test_the_brief_has_all_and_each_trades_sheet_its_own(granted: Site) -> None:
    with speaking("us"):
        html = brief_order(look_at(granted.project, granted.step()), TODAY, **TOLD).html
    assert len(Tables(html, "let-go").rows) == 1 + 3
    sheets = {
        words(part.split("</h2>")[0]).split(">")[-1].strip(): part
        for part in html.split('<section class="page')
    }
    found = {
        name.split(":")[0]: [kind in words(part) for kind in (CONCESSION, PERMIT, VARIANCE)]
        for name, part in sheets.items()
    }
    assert found["Framing"] == [True, True, False]
    assert found["Electrical"] == [False, False, True]
    assert found["Drywall"] == [False, False, False]


def test_the_same_standing_makes_the_same_papers_on_another_day(granted: Site) -> None:
    def papers() -> list[str]:
        told = whole_of(granted.project, granted.step())
        return [
            sheet(granted, "pit"),
            sheet(granted, "rail-wall"),
            final_order(told, **TOLD).html,
        ]

    first, this_week = papers(), week(granted)
    assert week(granted) == this_week
    granted.step(days=2)
    assert papers() == first
    told = whole_of(granted.project, granted.step())
    with speaking("us"):
        found = sheet_of_place(told, reader_of(told, "en-us"), "pit")
        assert found is not None
        order = contact_sheet_order(told, found, **TOLD)
        pdf = pdf_of(order)
    assert pdf == pdf_of(order)
    read = " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(pdf)).pages).split())
    assert "Concessions, deviation permits and variances" in read


def test_what_was_let_go_of_a_requirement_that_left_the_plan_is_still_printed(granted: Site) -> None:
    without = replace(BACKING, requirements=BACKING.requirements[:1])
    change = granted.lay(with_task(without_task(JOB, BACKING.key), without))
    actions.accept_change(granted.project, granted.who("coordinator"), granted.step(), change.uid)
    told = whole_of(granted.project, granted.step())
    rows = {row.kind: row for row in let_go(told, reader_of(told, "en-us"))}
    assert (rows["Concession"].what, rows["Concession"].work) == ("spread", "backing, Rail wall")
    assert rows["Concession"].ended == "no longer counts: the plan does not ask for it any more"
    assert rows["Concession"].found == "2' 8\", out of tolerance"
    assert rows["Deviation permit"].ended.startswith("ended March 2, 2026")
    assert rows["Authority’s variance"].ended == ""


@pytest.fixture
def report(granted: Site) -> Any:
    """The report of the first gate, cleared with the variance and the concession."""
    granted.start(ROUGH.key, "electrician")
    granted.document(f"{ROUGH.key}#inspection", "contractor")
    granted.offer(ROUGH.key, "electrician")
    granted.settle()
    granted.review(f"{BACKING.key}#left", "contractor")
    granted.answer(granted.offer(BACKING.key, "framer"), "rails@hoistway", "crew")
    for role in ("contractor", "crew"):
        granted.sign("close-in", role)
    return granted.clear("close-in")


def test_a_gate_report_numbers_the_scan_among_the_originals_and_each_leads_to_the_other(report: Any) -> None:
    snapshot = json.loads(bytes(report.snapshot))
    composed = compose_gate_report(report, language="en-us", paper="letter", site="https://lifts.example.org")
    *_others, scan = Tables(composed.html, "files").rows
    [variance] = [item["variance"] for item in snapshot["concessions"] if item["variance"]]
    assert scan[1:3] == ["variance.jpg", variance["sha256"]]
    assert scan[3].startswith("March 2, 2026")
    [row] = [row for row in Tables(composed.html, "let-go").rows if "variance" in row[0]]
    assert f"No. {scan[0]} , scan, SHA-256 {variance['sha256']}" in row[4].replace(
        f"No. {scan[0]},", f"No. {scan[0]} ,"
    )
    for anchor in (f"shown-{scan[0]}", f"original-{scan[0]}"):
        assert composed.html.count(f'href="#{anchor}"') == composed.html.count(f'id="{anchor}"') == 1
    attached = {each.name: each.content for each in composed.attachments}
    assert (
        f"{variance['sha256']}  {variance['sha256'][:12]}-variance.jpg"
        in attached["originals.sha256"].decode()
    )
    [told] = [
        each
        for each in json.loads(attached["manifest.json"])["originals"]
        if each["sha256"] == variance["sha256"]
    ]
    assert (told["number"], told["type"], told["size"]) == (int(scan[0]), "image/jpeg", variance["size"])


def test_a_gate_report_speaks_of_a_variance_where_one_is_meant(report: Any) -> None:
    snapshot = json.loads(bytes(report.snapshot))
    counted = {each.word: each.number for each in sums(snapshot, US)}
    assert (counted["by concession"], counted["by an authority’s variance"]) == (1, 1)
    assert standing_words(snapshot) == (
        "Let go on this site and standing: 1 concession, 1 authority’s variance."
    )
    assert missing_lines(snapshot, US) == [
        "rough: Photo (by an authority’s variance)",
        "backing: spread (by concession)",
    ]


def test_a_snapshot_of_before_numbers_the_scan_too(report: Any) -> None:
    kept = json.loads(bytes(report.snapshot))
    for each in kept["concessions"]:
        if each["variance"]:
            del each["variance"]["media_type"], each["variance"]["received_at"]
        del each["work"]
    report.snapshot = json.dumps(kept).encode()
    html = compose_gate_report(report, language="en-us", paper="letter").html
    assert Tables(html, "files").rows[-1][1] == "variance.jpg"


@pytest.mark.parametrize(
    ("kind", "ends"),
    [
        ("concession", "Concession ends: lamp"),
        ("deviation permit", "Deviation permit ends: lamp"),
        ("variance", "Authority’s variance ends: lamp"),
    ],
)
def test_the_days_to_keep_call_each_by_its_kind(kind: str, ends: str) -> None:
    paper = {"authority": {"kind": "building", "name": "Town Hall"}, "number": "V-1", "dated": "2026-03-01"}
    item = {
        "requirement": "dig@pit#lamp",
        "text": {"en": "lamp"},
        "kind": kind,
        "scope": "the pit",
        "expires_on": "2026-05-01",
        "variance": paper if kind == "variance" else None,
    }
    site = whole(task("dig@pit", need("lamp")), concessions=[item])
    [due] = due_dates(site, (), US)
    known = (
        "Town Hall (building department), No. V-1, dated March 1, 2026" if kind == "variance" else "the pit"
    )
    assert (due.on, due.what, due.known_from) == (date(2026, 5, 1), ends, known)
