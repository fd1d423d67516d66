"""Which kind of link holds what: every kind against every standing of the work before it."""

from dataclasses import replace

import pytest

from coordination.readiness import (
    GateStanding,
    LinkStanding,
    Missing,
    StandingError,
    assess,
)
from tests.readiness.standings import need, standing, task

BEFORE = {
    "not begun": task("a@pit", need("a@pit", accepts="contractor")),
    "begun": task("a@pit", need("a@pit", accepts="contractor"), begun=True),
    "finished": task(
        "a@pit", need("a@pit", accepts="contractor", outcome="handed in"), begun=True, finished=True
    ),
    "refused": task("a@pit", need("a@pit", accepts="contractor", outcome="refused"), begun=True),
    "accepted": task(
        "a@pit", need("a@pit", accepts="contractor", outcome="accepted"), begun=True, finished=True
    ),
}
# (kind, the work before) -> may the work after start; may it, once begun, be offered
TABLE = {
    ("FS", "not begun"): (False, True),
    ("FS", "begun"): (False, True),
    ("FS", "finished"): (True, True),
    ("FS", "refused"): (False, True),
    ("FS", "accepted"): (True, True),
    ("SS", "not begun"): (False, True),
    ("SS", "begun"): (True, True),
    ("SS", "finished"): (True, True),
    ("SS", "refused"): (True, True),
    ("SS", "accepted"): (True, True),
    ("FF", "not begun"): (True, False),
    ("FF", "begun"): (True, False),
    ("FF", "finished"): (True, True),
    ("FF", "refused"): (True, False),
    ("FF", "accepted"): (True, True),
    ("SF", "not begun"): (True, False),
    ("SF", "begun"): (True, True),
    ("SF", "finished"): (True, True),
    ("SF", "refused"): (True, True),
    ("SF", "accepted"): (True, True),
    ("covers", "not begun"): (False, False),
    ("covers", "begun"): (False, False),
    ("covers", "finished"): (False, False),
    ("covers", "refused"): (False, False),
    ("covers", "accepted"): (True, True),
}


@pytest.mark.parametrize(("kind", "before"), TABLE)
def test_each_kind_of_link_holds_what_it_should(kind, before):
    link = LinkStanding("a@pit", "b@pit", kind)
    fresh = assess(standing(BEFORE[before], task("b@pit"), links=[link])).tasks["b@pit"]
    begun = assess(standing(BEFORE[before], task("b@pit", begun=True), links=[link])).tasks["b@pit"]
    assert (fresh.may_start, begun.may_offer) == TABLE[kind, before]
    assert (not fresh.start_missing, not begun.offer_missing) == TABLE[kind, before]


@pytest.mark.parametrize(
    ("kind", "start", "offer"), [("FS", 1, 0), ("SS", 1, 0), ("covers", 1, 0), ("FF", 0, 1), ("SF", 0, 1)]
)
def test_a_lag_that_runs_holds_the_same_end_as_its_link(kind, start, offer):
    link = LinkStanding("a@pit", "b@pit", kind, lag_open=True)
    after = assess(standing(BEFORE["accepted"], task("b@pit", begun=True), links=[link])).tasks["b@pit"]
    running = Missing("lag running", "a@pit", "a company", "phone of a", kind, "a@pit", "a")
    assert after.start_missing == (running,) * start
    assert after.offer_missing == (running,) * offer


@pytest.mark.parametrize("kind", ["FS", "SS", "FF", "SF", "covers"])
def test_a_handoff_holds_its_receiver_until_it_is_accepted_whatever_its_kind(kind):
    link = LinkStanding("a@pit", "b@pit", kind, handoff=True)
    offered = replace(BEFORE["accepted"], offered_round=1)
    for answer, waits in (("none", True), ("refused", True), ("accepted", False)):
        found = assess(standing(offered, task("b@pit"), links=[replace(link, answer=answer)])).tasks
        assert (found["b@pit"].may_start, found["a@pit"].satisfied) == (not waits, not waits)


def test_a_handoff_on_work_that_goes_on_side_by_side_still_waits_for_its_offer():
    link = LinkStanding("a@pit", "b@pit", "SS", handoff=True)
    found = assess(standing(BEFORE["begun"], task("b@pit"), links=[link])).tasks["b@pit"]
    assert found.start_missing == (
        Missing("handoff not offered", "a@pit>b@pit", "a company", "phone of a", "handoff", "a@pit", "a"),
    )


def test_an_unanswered_handoff_is_owed_by_the_receiver_and_a_refused_one_by_the_giver():
    link = LinkStanding("a@pit", "b@pit", "FS", handoff=True)
    offered = replace(BEFORE["accepted"], offered_round=1)
    silent = assess(standing(offered, task("b@pit"), links=[link])).tasks["b@pit"]
    refused = replace(offered, finished=False)
    back = assess(standing(refused, task("b@pit"), links=[replace(link, answer="refused")])).tasks
    assert [(m.kind, m.owner) for m in silent.start_missing] == [("handoff not answered", "b company")]
    assert [(m.kind, m.owner) for m in back["b@pit"].start_missing] == [("handoff refused", "a company")]
    assert back["a@pit"].state == "refused"


def test_nothing_behind_a_gate_starts_until_it_is_cleared():
    gate = GateStanding("pre-pour", "gate@pit")
    link = LinkStanding("gate@pit", "b@pit", "FS")
    tasks = (task("gate@pit", is_gate=True), task("b@pit"))
    held = assess(standing(*tasks, links=[link], gates=[gate])).tasks["b@pit"]
    free = assess(standing(*tasks, links=[link], gates=[replace(gate, cleared=True)])).tasks["b@pit"]
    assert held.start_missing == (
        Missing(
            "gate not cleared",
            "pre-pour",
            "Copper Creek Builders",
            "555-0101",
            "gate",
            "gate@pit",
            "contractor",
        ),
    )
    assert (held.state, free.state, free.may_start) == ("held", "ready", True)


def test_a_gate_without_its_row_holds_for_ever():
    link = LinkStanding("gate@pit", "b@pit", "FS")
    found = assess(standing(task("gate@pit", is_gate=True), task("b@pit"), links=[link]))
    assert [m.kind for m in found.tasks["b@pit"].start_missing] == ["not in the plan"]


def test_the_refusal_names_each_missing_thing_its_owner_and_phone_once():
    """Drywall over backing: one photo refused, one reading missing, the lift crew has not answered."""
    backing = task(
        "backing@rail-wall",
        need("backing@rail-wall", "left", accepts="contractor", outcome="refused"),
        need("backing@rail-wall", "right", accepts="contractor", outcome="handed in"),
        need("backing@rail-wall", "spacing", accepts="coordinator"),
        need("backing@rail-wall", "inspection", release="electrical"),
        begun=True,
        finished=True,
        offered_round=1,
    )
    work = [backing, task("drywall@rail-wall"), task("rails@hoistway")]
    links = [
        LinkStanding("backing@rail-wall", "drywall@rail-wall", "covers"),
        LinkStanding("backing@rail-wall", "drywall@rail-wall", "FS"),
        LinkStanding("backing@rail-wall", "rails@hoistway", "FS", handoff=True),
    ]
    found = assess(standing(*work, links=links)).tasks["drywall@rail-wall"]
    assert [(m.kind, m.subject, m.owner, m.phone, m.because) for m in found.start_missing] == [
        (
            "authority document missing",
            "backing@rail-wall#inspection",
            "County electrical office",
            "555-0102",
            "covers",
        ),
        ("refused", "backing@rail-wall#left", "backing company", "phone of backing", "covers"),
        ("not reviewed", "backing@rail-wall#right", "Copper Creek Builders", "555-0101", "covers"),
        ("not handed in", "backing@rail-wall#spacing", "backing company", "phone of backing", "covers"),
        (
            "handoff not answered",
            "backing@rail-wall>rails@hoistway",
            "rails company",
            "phone of rails",
            "covers",
        ),
    ]


def test_work_that_left_the_plan_holds_nothing():
    link = LinkStanding("a@pit", "b@pit", "covers")
    found = assess(standing(replace(BEFORE["begun"], retired=True), task("b@pit"), links=[link])).tasks
    assert (list(found), found["b@pit"].may_start) == (["b@pit"], True)


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"tasks": (task("a@pit"), task("a@pit"))}, "task 'a@pit' is given twice"),
        (
            {"tasks": (task("a@pit"),), "links": (LinkStanding("a@pit", "x@pit", "FS"),)},
            "'x@pit', which is no task",
        ),
        ({"tasks": (task("a@pit"),), "gates": (GateStanding("g", "x@pit"),)}, "'g' stands at 'x@pit'"),
        (
            {"tasks": (task("a@pit", need("a@pit"), need("a@pit")),)},
            "requirement 'a@pit#photo' is given twice",
        ),
    ],
)
def test_a_standing_that_contradicts_itself_is_refused(wrong, said):
    with pytest.raises(StandingError, match=said):
        assess(replace(standing(), **wrong))


def test_a_gate_whose_milestone_left_the_plan_does_not_stand_in_the_way_of_its_key():
    gone, now = replace(task("old@site"), retired=True), task("new@site")
    gates = (GateStanding("g", gone.key, cleared=True), GateStanding("g", now.key))
    answer = assess(replace(standing(), tasks=(gone, now), gates=gates))
    assert {key: gate.state for key, gate in answer.gates.items()} == {"g": "ready to clear"}
