"""The drawing of a gate report shows the gate's own places with their state, and says of the others that they are no part."""

import re
from itertools import permutations
from typing import Any

import pytest

from coordination.gates.models import Clearing
from coordination.handover.composing import compose_gate_report, snapshot_of
from coordination.handover.drawn import places_in_words
from coordination.handover.standing_here import drawn_places, state_here
from coordination.pictures.section import Place
from tests.handover.wholes import place


def task(key: str, *hows: str) -> dict[str, Any]:
    needs = [{"key": str(number), "how": how, "outcome": how} for number, how in enumerate(hows)]
    return {"key": key, "place": key.partition("@")[2], "requirements": needs}


def at_pit(states: dict[str, str], *tasks: dict[str, Any]) -> Any:
    return state_here({"tasks": list(tasks), "states": states}, frozenset({"pit"}))


@pytest.mark.parametrize(
    ("hows", "state", "shown"),
    [
        (("accepted", "accepted"), "accepted", "accepted"),
        (("accepted", "conceded"), "at work", "accepted"),
        (("released",), "offered", "accepted"),
        (("done",), "done", "done"),
        (("accepted", "none"), "at work", "at work"),
        (("accepted", "refused"), "refused", "refused"),
        (("handed in",), "offered", "offered"),
        ((), "held", "held"),
        ((), "accepted", "accepted"),
    ],
)
def test_a_place_of_the_gate_is_accepted_where_all_that_is_asked_for_counts(
    hows: tuple[str, ...], state: str, shown: str
) -> None:
    other = {"rails@rail-wall": "held", "later@pit": "held"}
    assert at_pit({"dig@pit": state, **other}, task("dig@pit", *hows)) == shown


def test_the_worst_of_the_gates_own_work_counts_and_no_other() -> None:
    states = {"dig@pit": "accepted", "pour@pit": "ready", "later@pit": "refused"}
    both = (task("dig@pit", "accepted"), task("pour@pit", "none"))
    assert {at_pit(states, *order) for order in permutations(both)} == {"ready"}
    assert at_pit(states, task("hang@landing-1", "none")) is None
    assert at_pit(states) is None


def test_a_landing_is_one_place_with_the_openings_on_both_sides() -> None:
    places = [
        place("pit", "pit", "Pit"),
        place("landing-1-rear", "landing", "Rear", "1", "rear"),
        place("landing-2", "landing", "Two", "2", "front"),
        place("landing-2-rear", "landing", "Two, rear", "2", "rear"),
    ]
    assert {shown["key"]: set(keys) for shown, keys in drawn_places(places)} == {
        "pit": {"pit"},
        "landing-1-rear": {"landing-1-rear"},
        "landing-2": {"landing-2", "landing-2-rear"},
    }


def test_each_state_is_a_sentence() -> None:
    places = [
        Place("a", "pit", "Pit", "accepted", "accepted", "2 of 2 present"),
        Place("b", "site", "Site", "no part", "not part of this gate"),
        Place("c", "route", "Route", "no part", "not part of this gate"),
    ]
    assert places_in_words(places) == [
        "Accepted: Pit (2 of 2 present).",
        "Not part of this gate: Site; Route.",
    ]


def test_drawing_legend_and_alternative_text_say_the_same(clearing: Clearing) -> None:
    """Nothing of the report's drawing is held: the gate is cleared, and what waits elsewhere is not its matter."""
    composed = compose_gate_report(clearing, language="en-us", paper="letter")
    svg = composed.resources["drawing/section.svg"]
    assert isinstance(svg, bytes)
    drawn = re.findall(r'data-place="([^"]+)" data-state="([^"]+)"', svg.decode())
    assert {state for _key, state in drawn} == {"accepted", "no part"}
    own = {key for key, state in drawn if state == "accepted"}
    assert own == {task["place"] for task in snapshot_of(clearing)["tasks"]}
    assert 0 < len(own) < len(drawn)
    [alt] = set(re.findall(r'drawing/section.svg" alt="([^"]+)"', composed.html))
    assert re.search(r" Accepted: .*present\).*\. Not part of this gate: [^(]+\.$", alt)
    words = re.findall(r"<text[^>]*>([^<]+)</text>", svg.decode())
    assert words.count("accepted") == len(own)
    assert words.count("not part of this gate") == len(drawn) - len(own)
    assert "held" not in words
