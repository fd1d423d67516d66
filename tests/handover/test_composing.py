"""What a report says, composed from the frozen snapshot alone."""

import json
from html import unescape
from zoneinfo import ZoneInfo

import pytest

from coordination.access.models import Person
from coordination.gates.models import Clearing
from coordination.handover.composing import code_of, compose_gate_report
from coordination.handover.contents import chapters, found_words, work_of
from coordination.handover.numbered import numbers_of
from coordination.handover.reading import Reader, source_words
from coordination.handover.title_block import in_rows
from coordination.paper import renderer
from coordination.projects.models import Task
from tests.gates.sites import Site

US = Reader("en-us", "us", ZoneInfo("America/New_York"))
METRIC = Reader("en-us", "metric", ZoneInfo("Europe/Vienna"))


def html_of(clearing: Clearing) -> str:
    return unescape(compose_gate_report(clearing, language="en-us", paper="letter").html)


def test_it_says_what_was_checked_against_what_from_where_with_which_result(clearing: Clearing) -> None:
    html = html_of(clearing)
    for words in (
        "Gate report: close-in",
        '<p class="measured">2\' 6"</p><p class="source">inside, tape, Bo Tran</p>',
        "2' 5\" to 2' 7\"",
        '<p class="source">common practice</p>',
        "elevator-critical",
        "Ida Marsh, March 2, 2026",
        "released by the authority's document",
        "No. E-77 of March 2, 2026",
        "All of it is in place.",
    ):
        assert words in html, words
    for word in ("complies", "approved by us", "certified", "verdict", "certificate"):
        assert word not in html.lower()


def test_what_came_later_changes_no_word_and_no_file(site: Site, clearing: Clearing) -> None:
    before = compose_gate_report(clearing, language="en-us", paper="letter")
    site.photo("rough@pit#receptacle", "electrician")
    Task.objects.filter(project=site.project).update(trade="flooring")
    Person.objects.update(name="Somebody Else")
    after = compose_gate_report(Clearing.objects.get(pk=clearing.pk), language="en-us", paper="letter")
    assert (after.html, sorted(after.resources), after.identifier, after.attachments) == (
        before.html,
        sorted(before.resources),
        before.identifier,
        before.attachments,
    )


def test_one_photo_for_several_views_is_shown_once_and_the_list_leads_there(clearing: Clearing) -> None:
    """Two links to one place in the paper would be a fault of it: the same file may stand under several views."""
    snapshot = json.loads(bytes(clearing.snapshot))
    task = next(task for task in snapshot["tasks"] if any(r["kind"] == "photo" for r in task["requirements"]))
    view = next(r for r in task["requirements"] if r["kind"] == "photo" and r["evidence"])
    task["requirements"].append({**view, "key": "other", "text": {"en": "Seen from above", "es": "x"}})
    places = chapters(snapshot, US)
    digest = view["evidence"][0]["sha256"]
    plates = [plate for place in places for plate in place.plates if plate.picture.sha256 == digest]
    assert [plate.first for plate in plates] == [True]
    assert plates[0].picture.caption.endswith("; Seen from above") or view["evidence"][0].get("note")
    same = {**view["evidence"][0], "sha256": "0" * 64}
    task["requirements"].append({**view, "key": "twin", "evidence": [same]})
    places = chapters(snapshot, US)  # another original whose copy has the same bytes is a photo of its own
    leading = [
        number
        for place in places
        for number in (
            *(
                found.number
                for work in place.works
                for line in work.lines
                for found in line.found
                if found.first
            ),
            *(plate.number for plate in place.plates if plate.first),
        )
    ]
    assert len(leading) == len(set(leading)) == len(numbers_of(snapshot))


def test_the_code_is_that_of_the_snapshot_the_language_and_the_paper(clearing: Clearing) -> None:
    codes = {
        code_of(clearing, kind="gate report", language=language, paper=paper)
        for language in ("en-us", "es")
        for paper in ("letter", "a4")
    }
    assert len(codes) == 4
    assert all(len(code) == 11 and code[5] == "-" for code in codes)


def test_the_snapshot_and_the_hashes_of_the_originals_travel_inside(clearing: Clearing) -> None:
    composed = compose_gate_report(clearing, language="en-us", paper="letter")
    snapshot, manifest, hashes = composed.attachments
    assert snapshot.content == bytes(clearing.snapshot)
    frozen = json.loads(snapshot.content)
    originals = {
        item["sha256"]
        for task in frozen["tasks"]
        for requirement in task["requirements"]
        for item in requirement["evidence"]
        if item["sha256"]
    }
    assert {line.split("  ")[0] for line in hashes.content.decode().splitlines()} == originals
    assert len(originals) == 3
    told = json.loads(manifest.content)
    assert (told["code"], told["snapshot"]) == (composed.code, clearing.sha256)
    assert told["record"]["clearing"] == {"length": clearing.event.seq, "hash": clearing.event.hash}
    assert told["renderer"] == renderer().split(", ")
    assert {(each["sha256"], each["number"]) for each in told["originals"]} == {
        (digest, number) for number, digest in enumerate(numbers_of(frozen), start=1)
    }
    pinned = {f"photo/{each['rendition']['sha256']}.jpg" for each in told["originals"] if each["rendition"]}
    assert pinned == {name for name in composed.resources if name.startswith("photo/")}


def test_no_telephone_and_no_place_of_a_photo_is_printed(clearing: Clearing) -> None:
    html = html_of(clearing)
    assert "555-" not in html
    assert "GPS" not in html


@pytest.mark.parametrize(
    ("reader", "value", "unit", "printed"),
    [
        (US, 42702.9275, "N", "9600 lbf"),  # 9600 lbf times 4.448 221 615 260 5 N
        (METRIC, 42702.9275, "N", "42703 N"),
        (US, 12.8, "degree C", "55.04 °F"),
        (METRIC, 12.8, "degree C", "12.8 °C"),
        (US, 215.0, "lux", "215 lx"),
        (US, 355_600_000, "length", "1' 2\""),
        (METRIC, 355_600_000, "length", "355.6 mm"),
        (US, 1, "day", "1 day"),
        (US, 45, "calendar day", "45 calendar days"),
        (US, None, "volt", ""),
    ],
)
def test_values_are_printed_in_the_units_of_the_job(reader: Reader, value, unit: str, printed: str) -> None:
    assert reader.value(value, unit) == printed


@pytest.mark.parametrize(
    ("source", "printed"),
    [
        (
            {"document": "NEC (NFPA 70)", "clause": "110.26(A)(1)", "status": "code", "confirm_with": ""},
            "NEC (NFPA 70), 110.26(A)(1); code value",
        ),
        (
            {
                "document": "common practice, no source",
                "clause": "18 in square",
                "status": "practice",
                "confirm_with": "contractor",
            },
            "common practice, no source, 18 in square; confirm with: general contractor",
        ),
        (None, ""),
    ],
)
def test_a_source_says_how_far_it_may_be_trusted_once(source, printed: str) -> None:
    assert source_words(source, US) == printed


def test_an_entry_for_somebody_else_says_so() -> None:
    item = {
        "value": "Tom Reed",
        "sender": "Ana Ruiz",
        "entered_for": "Copper Creek Framing",
        "entry_source": "call",
    }
    found = found_words(item, "", US)
    assert (found.value, found.words) == ("Tom Reed", "entered by Ana Ruiz for Copper Creek Framing (call)")


def test_whoever_signed_is_named_once() -> None:
    assert found_words({"value": "Ana Ruiz", "sender": "Ana Ruiz"}, "", US).words == ""


def test_a_photo_without_a_picture_is_listed_as_missing_with_its_hash() -> None:
    evidence = {
        "media_type": "image/heic",
        "rendition": None,
        "sha256": "ab" * 32,
        "file_name": "left.heic",
        "sender": "Bo Tran",
        "received_at": "2026-03-02T15:30:00+00:00",
    }
    requirement = {
        "key": "left",
        "kind": "photo",
        "text": {"en": "Left backing"},
        "evidence": [evidence],
        "outcome": "accepted",
    }
    task = {"key": "a", "text": {"en": "Backing"}, "trade": "framing", "requirements": [requirement]}
    [line] = work_of(task, US).lines
    [picture] = line.pictures
    assert (picture.name, picture.missing, picture.sha256) == (
        "",
        "no picture could be made of this original",
        "ab" * 32,
    )


def test_the_title_block_has_three_pairs_to_a_row() -> None:
    pairs = [("a", "1"), ("b", "2"), ("c", "3"), ("d", "4")]
    assert in_rows(pairs) == [pairs[:3], pairs[3:]]
