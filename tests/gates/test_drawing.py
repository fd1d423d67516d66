"""The section's numbers come from facts, and what is nobody's figure is drawn but never written."""

from pathlib import Path

import pytest

from coordination.gates.building_numbers import drawing_numbers
from coordination.gates.drawing import PlaceState, SheetWords, section_of, shown_at
from coordination.pictures.section import dimensions_of
from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.facts import load_facts
from coordination.siteprep.lengths import parse_length
from coordination.siteprep.plan import derive

FACTS = Path(__file__).resolve().parents[2] / "fixtures" / "facts"
WORDS = SheetWords("Candle works", "first sheet", ("", "", ""), ("", "", ""))


def numbers_of(facts):
    return drawing_numbers(facts, derive(facts, load_catalogue()))


@pytest.fixture(scope="module")
def facts():
    return load_facts(FACTS / "candle-works.toml")


def written(numbers):
    places = [
        PlaceState("pit", "pit", "Pit", "held", "held"),
        PlaceState("landing-1", "landing", "1", "held", "held", landing="1"),
    ]
    return {(d.kind, d.value) for d in dimensions_of(section_of(numbers, places, WORDS))}


def test_elevations_count_from_the_lowest_finished_floor(facts):
    numbers = numbers_of(facts)
    assert [landing["elevation"] for landing in numbers["landings"]] == [0, parse_length("11' 9\"")]
    assert numbers["pit_floor"] == -parse_length('14"')
    assert numbers["top"] == parse_length("11' 9\"") + parse_length("11' 6\"")
    assert numbers["assumed"] == ["pit.sump_recess"]


def test_only_dimensions_that_rest_on_a_fact_are_written(facts):
    kinds = {kind for kind, _value in written(numbers_of(facts))}
    assert kinds == {
        "pit depth", "hoistway depth", "travel", "overhead", "sill", "opening", "sill backing",
        "bracket", "rail gauge",
    }  # fmt: skip
    assert ("travel", parse_length("11' 9\"")) in written(numbers_of(facts))


@pytest.mark.parametrize(
    ("fact", "gone"),
    [
        ("hoistway.overhead", {"overhead"}),
        ("pit.depth", {"pit depth", "sill"}),
        ("hoistway.depth", {"hoistway depth"}),
        ("landing.2.elevation", {"travel", "sill"}),
    ],
)
def test_an_unknown_fact_is_drawn_but_its_dimension_is_not_written(facts, fact, gone):
    numbers = numbers_of(facts.forgetting(fact))
    assert fact in numbers["assumed"]
    assert not gone & {kind for kind, _value in written(numbers)}


def test_a_left_open_sump_is_drawn_as_a_recess_and_a_settled_no_is_not(facts):
    assert numbers_of(facts)["sump"] == {"size": parse_length('18"'), "settled": False}
    from coordination.siteprep.facts import Fact

    settled = facts.stating(Fact("pit.sump", "known", value=False, said_by="Town", source="letter"))
    assert numbers_of(settled)["sump"] is None


@pytest.mark.parametrize(
    ("states", "shown"),
    [
        ({}, {"hung": False, "guarded": False, "closed": False}),
        ({"guard@landing-1": "accepted"}, {"hung": False, "guarded": True, "closed": False}),
        ({"guard@landing-1": "offered"}, {"hung": False, "guarded": False, "closed": False}),
        (
            {
                "guard@landing-1": "accepted",
                "hang-door@landing-1": "accepted",
                "close-front@landing-1": "at work",
            },
            {"hung": True, "guarded": False, "closed": False},
        ),
        (
            {"hang-door@landing-1": "accepted", "close-front@landing-1": "accepted"},
            {"hung": True, "guarded": False, "closed": True},
        ),
        ({"guard@landing-2": "accepted"}, {"hung": False, "guarded": False, "closed": False}),
    ],
)
def test_an_opening_is_drawn_guarded_until_its_door_hangs_and_then_closed(states, shown):
    assert shown_at("landing-1", states) == shown


def test_without_a_machine_room_none_is_drawn(facts):
    from coordination.siteprep.facts import Fact

    none = facts.stating(Fact("machine_room.place", "known", value="none", said_by="GC", source="drawing"))
    numbers = numbers_of(none)
    assert numbers["machine_room"] is None
    assert not [device for device in numbers["devices"] if device["where"] == "machine room"]
    assert section_of(numbers, [], WORDS).machine_room is None
