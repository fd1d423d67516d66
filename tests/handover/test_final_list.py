"""Each item of the final list is present, not needed or missing by name; what lies behind walls; days to keep."""

import json
from typing import Any

import pytest

from coordination.handover.behind_walls import walls
from coordination.handover.due_dates import Due, due_dates
from coordination.handover.final_list import FinalLine, final_list
from coordination.handover.final_words import FinalWords
from coordination.siteprep.handover_items import handover_list
from tests.handover.wholes import AT, FOOT, US, fact, item, need, place, said, task, whole


def line(key: str, site: dict[str, Any]) -> FinalLine:
    return next(each for section in final_list(site, US) for each in section.lines if each.key == key)


CERTIFIED = item(number="EL-8478", dated="2026-03-01", media_type="application/pdf", rendition=None)
PAPERS = task("handover@site", need("owner-papers", item(review=None), text={"en": "Owner's papers"}))


def test_nothing_handed_in_is_missing_with_who_owes_it() -> None:
    site = whole(task("acceptance@site", need("certificate", release="elevator"), trade="building official"))
    found = line("certificate", site)
    assert (found.state, found.owed, found.proofs) == ("missing", ("certificate; elevator authority",), ())


def test_what_the_authority_gave_is_present_with_its_number() -> None:
    need_ = need("certificate", CERTIFIED, release="elevator", how="released")
    found = line("certificate", whole(task("acceptance@site", need_, trade="building official")))
    assert found.state == "present"
    assert [proof.words for proof in found.proofs] == ["certificate, No. EL-8478 of March 1, 2026"]
    assert found.owed == ()


@pytest.mark.parametrize(
    ("outcome", "words"),
    [("handed in", "handed in, not reviewed yet"), ("refused", "refused")],
)
def test_what_is_not_accepted_is_missing_and_says_how_it_stands(outcome: str, words: str) -> None:
    need_ = need("owner-papers", item(), outcome=outcome, how=outcome)
    found = line("maintenance-program", whole(task("handover@site", need_)))
    assert (found.state, found.owed) == ("missing", (f"owner-papers; {words}; Larkspur Lifting",))


def test_what_was_let_go_stays_missing_and_points_to_the_concession() -> None:
    found = line("maintenance-program", whole(task("handover@site", need("owner-papers", how="conceded"))))
    assert (found.state, found.owed) == ("missing", ("owner-papers: let go by concession, see there",))


def test_an_item_falls_away_for_a_known_fact_and_never_for_an_unknown_one() -> None:
    no_sump = line("sump", whole(facts=[fact("pit.sump", False)]))
    assert (no_sump.state, no_sump.why) == ("not needed", "This pit has no sump.")
    assert line("sump", whole()).state == "missing"


def test_what_the_plan_does_not_ask_for_is_not_needed_and_says_so() -> None:
    found = line("electrical-final", whole())
    assert (found.state, found.why) == ("not needed", "The plan of this site does not ask for it.")


def test_what_only_a_person_can_say_is_missing_until_it_is_written_down() -> None:
    assert line("keys", whole()).owed == (
        "not written down yet: each key, how many, who has it; Larkspur Lifting",
    )
    told = said("present", "Two recall keys, in the box beside the recall switch.")
    found = line("keys", whole(said={"keys": told}))
    assert (found.state, found.proofs[0].words) == (
        "present",
        "Two recall keys, in the box beside the recall switch (says Ida Marsh, March 2, 2026)",
    )
    no_keys = line("keys", whole(said={"keys": said("not needed", "No key switch was fitted.")}))
    assert (no_keys.state, no_keys.why) == (
        "not needed",
        "No key switch was fitted (says Ida Marsh, March 2, 2026)",
    )


def test_nobody_talks_away_what_the_plan_asks_for() -> None:
    site = whole(
        task("handover@site", need("owner-papers")),
        said={"diagrams": said("not needed", "Nobody wants them.")},
    )
    assert line("diagrams", site).state == "missing"


def test_a_warranty_without_its_last_day_is_missing_though_its_paper_is_there() -> None:
    assert line("warranty", whole(PAPERS)).owed == ("not written down yet: last day; Larkspur Lifting",)
    told = said("present", "Parts and labor, call the supplier.", day="2027-03-02")
    found = line("warranty", whole(PAPERS, said={"warranty": told}))
    assert (found.state, found.day_of, found.day) == ("present", "last day", "March 2, 2027")


def test_every_item_is_one_of_three_whatever_stands() -> None:
    for site in (whole(), whole(PAPERS), whole(facts=[fact("lift.class", "private residence")])):
        lines = [each for section in final_list(site, US) for each in section.lines]
        assert [each.key for each in lines] == [
            each.key for section in handover_list().sections for each in handover_list().of(section)
        ]
        for each in lines:
            assert each.state in {"present", "not needed", "missing"}
            assert bool(each.owed) == (each.state == "missing"), each.key
            assert bool(each.why) == (each.state == "not needed"), each.key
            assert each.state != "present" or each.proofs, each.key


def test_behind_the_walls_stand_only_photos_of_work_that_other_work_hides() -> None:
    photo = need("left", item(), kind="photo", text={"en": "Left backing"})
    refused = need("right", item(review={"outcome": "refused", "reasons": ["dark"], "reviewer": "x", "at": AT}),
                   kind="photo")  # fmt: skip
    site = whole(
        task("backing@rail-wall", photo, refused, trade="framing", text="Backing"),
        task("board@rail-wall", need("board", item(), kind="photo"), trade="drywall", text="Board"),
        places=[
            place("rail-wall", "rail wall", "Rail wall"),
            place("landing-2", "landing", "Landing 2", "2"),
        ],
        links=[{"before": "backing@rail-wall", "after": "board@rail-wall", "covers": True, "handoff": False}],
        drawing={
            "landings": [{"key": "2", "elevation": 10 * FOOT}],
            "pit_floor": -FOOT,
            "top": 20 * FOOT,
            "brackets": [FOOT, 6 * FOOT],
            "rail_wall": "left",
        },
    )
    [wall] = walls(site, US)
    assert (wall.name, wall.elevation) == (
        "Rail wall (left)",
        "from the pit floor to the top of the hoistway; rail brackets above the pit floor: 2' 0\", 7' 0\"",
    )
    assert [(each.what, each.hidden_by, each.copy) for each in wall.photos] == [
        ("Left backing", "Board", "cd" * 32)
    ]


def test_days_to_keep_come_from_what_was_said_read_and_let_go() -> None:
    days = need("extinguisher-date", item(value=300, sha256=None, media_type=None), kind="reading",
                unit="calendar day", text={"en": "Next inspection of the extinguisher"})  # fmt: skip
    concession = {
        "text": {"en": "Spread"},
        "expires_on": "2026-05-01",
        "scope": "rail wall",
        "kind": "concession",
    }
    site = whole(
        task("room-clear@site", days, trade="general contractor"),
        said={"next-tests": said("present", "Category 1, by the maintainer.", day="2027-02-01")},
        concessions=[concession],
    )
    found = due_dates(site, final_list(site, US), US)
    assert [(str(each.on), each.what) for each in found] == [
        ("2026-05-01", "Concession ends: Spread"),
        ("2026-12-27", "Next inspection of the extinguisher"),
        ("2027-02-01", "Next periodic test and renewal of the certificate: due on"),
    ]
    assert isinstance(found[0], Due)


def test_the_words_of_the_folder_hold_no_judgement_of_ours() -> None:
    words = FinalWords(whole(PAPERS), US)
    text = json.dumps(
        [[vars(line) for line in section.lines] for section in words.sections], default=str
    ).lower()
    for word in ("complies", "verdict", "approved by us"):
        assert word not in text
