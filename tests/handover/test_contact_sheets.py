"""All evidence of a place or a task: what stands, what was refused or withdrawn, what was not handed in."""

import io

import pypdf
import pytest

from coordination.handover.contact_sheets import (
    contact_sheet_order,
    places_with_evidence,
    sheet_of_place,
    sheet_of_task,
)
from coordination.handover.contents import found_words
from coordination.handover.evidence_lines import state_of
from coordination.handover.sheet_paper import pdf_of, reader_of
from coordination.handover.whole import digest_of, text_of, whole_of, without_telephones
from coordination.projects.trade_words import speaking
from tests.gates.sites import Site
from tests.handover.wholes import AT, US, item, need, task, whole

REFUSED = {"outcome": "refused", "reasons": ["too dark."], "reviewer": "Ida Marsh", "at": AT}


def test_photos_are_numbered_through_and_say_how_they_stand() -> None:
    dark = item("ef" * 32, review=REFUSED)
    withdrawn = {**item("aa" * 32, rendition=None), "withdrawn_at": AT}
    site = whole(
        task("dig@pit", need("shores", item(), kind="photo"), trade="concrete", text="dig the pit"),
        task("pour@pit", need("slab", dark, kind="photo", earlier=[withdrawn], how="refused"), need("ticket"),
             trade="concrete"),
    )  # fmt: skip
    sheet = sheet_of_place(site, US, "pit")
    assert sheet is not None
    assert [(shot.number, shot.work, shot.state, shot.lacking) for shot in sheet.shots] == [
        (1, "Dig the pit", "handed in", ""),
        (2, "Pour", "refused", ""),
        (3, "Pour", "withdrawn", "no picture could be made of this original"),
    ]
    assert sheet.shots[1].reviewed == "refused by Ida Marsh, March 2, 2026 10:30 EST: too dark"
    assert sheet.lacking == [("Pour", ("ticket",))]
    assert sheet.in_short == "3 photos; 0 readings, documents and signatures"
    assert [len(row) for row in sheet.rows] == [3]
    task_sheet = sheet_of_task(site, US, "dig@pit")
    assert task_sheet is not None
    assert (task_sheet.title, len(task_sheet.shots)) == ("Dig the pit", 1)
    assert (sheet_of_place(site, US, "attic"), sheet_of_task(site, US, "x@pit")) == (None, None)
    assert places_with_evidence(site) == ["pit"]


@pytest.mark.parametrize(
    ("taken", "told", "in_report"),
    [
        (None, "March 2, 2026 10:30 EST", "tape, Bo Tran"),
        ("2026-03-02T13:30:00+00:00", "taken March 2, 2026 08:30 EST", "tape, {told}, Bo Tran"),
        (
            "2026-03-01T13:30:00+00:00",
            "taken March 1, 2026 08:30 EST, handed in March 2, 2026 10:30 EST",
            "tape, {told}, Bo Tran",
        ),
    ],
)
def test_a_reading_says_when_it_was_taken_and_when_it_came_where_that_was_later(
    taken: str | None, told: str, in_report: str
) -> None:
    read = item("", media_type=None, rendition=None, value=7, instrument="tape", taken_at=taken)
    site = whole(task("dig@pit", need("depth", read, kind="reading", unit="count")))
    sheet = sheet_of_place(site, US, "pit")
    assert sheet is not None
    assert [entry.at for work in sheet.works for entry in work.entries] == [told]
    assert found_words(read, "count", US).words == in_report.format(told=told)


@pytest.mark.parametrize(
    ("accepts", "more", "state"),
    [
        ("contractor", {}, "handed in"),
        (None, {}, "done"),
        ("contractor", {"review": REFUSED}, "refused"),
        ("contractor", {"how": "varied"}, "varied"),
        ("contractor", {"how": "conceded", "review": REFUSED}, "refused"),
        ("contractor", {"withdrawn_at": None}, "earlier"),
        ("contractor", {"withdrawn_at": AT}, "withdrawn"),
    ],
)
def test_the_state_is_that_of_the_piece_of_evidence_itself(accepts, more, state) -> None:
    how = {"how": more["how"]} if "how" in more else {}
    assert state_of(need("left", accepts=accepts, **how), {**item(), **more}) == state


def test_the_same_standing_is_the_same_text_on_any_day(site: Site) -> None:
    first = whole_of(site.project, site.step())
    assert digest_of(whole_of(site.project, site.step(days=2))) == digest_of(first)
    site.photo("rough@pit#receptacle", "electrician")
    assert digest_of(whole_of(site.project, site.step())) != digest_of(first)


def test_no_telephone_is_left_for_whoever_may_not_see_them(site: Site) -> None:
    told = whole_of(site.project, site.step())
    assert '"phone":"555-' in text_of(told)
    assert '"phone":"555-' not in text_of(without_telephones(told))


def test_the_paper_shows_each_photo_with_its_hash_and_is_the_same_bytes_again(site: Site) -> None:
    told = whole_of(site.project, site.step())
    with speaking("us"):
        sheet = sheet_of_place(told, reader_of(told, "en-us"), "rail-wall")
        assert sheet is not None
        order = contact_sheet_order(told, sheet, language="en-us", paper="letter")
        pdf = pdf_of(order)
    reader = pypdf.PdfReader(io.BytesIO(pdf))
    text = " ".join(" ".join(page.extract_text() for page in reader.pages).split())
    assert reader.metadata.title == "Evidence: Rail wall"
    for words in (
        "Evidence: Rail wall",
        "1 · Photo",
        "accepted by",
        "2' 6\", inside, tape",
        "2' 5\" to 2' 7\"",
    ):
        assert words in text, words
    assert sheet.shots[0].sha256 in text.replace(" ", "")
    assert pdf == pdf_of(order)
