"""Facts that change in mid-job: what is added, dropped, altered, left alone, and what done work it costs."""

from functools import cache
from itertools import pairwise
from pathlib import Path

import pytest

from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.facts import load_facts, read_facts
from coordination.siteprep.plan import Rework, compare, derive, rework

FACTS = load_facts(Path(__file__).parents[2] / "fixtures" / "facts" / "candle-works.toml")
CATALOGUE = load_catalogue()


@cache
def plan_of(*changes):
    return derive(read_facts(FACTS.statements() | dict(changes)), CATALOGUE)


def plan(**changes):
    return plan_of(*((key.replace("__", "."), value) for key, value in changes.items()))


def done_up_to(found, *keys):
    """These tasks and everything that had to come before them, gates included."""
    befores = {}
    for link in found.links:
        befores.setdefault(link.after, []).append(link.before)
    seen, waiting = set(keys), list(keys)
    while waiting:
        for before in befores.get(waiting.pop(), ()):
            if before not in seen:
                seen.add(before)
                waiting.append(before)
    return frozenset(seen)


def told(old, new):
    change = compare(old, new)
    counted = {*change.added, *change.untouched, *(each.key for each in change.altered)}
    assert counted == {task.key for task in new.tasks}
    kept = {*change.dropped, *change.untouched, *(each.old_key for each in change.altered)}
    assert kept == {task.key for task in old.tasks}
    return change, {each.key: each.fields for each in change.altered}


# ------------------------------------------------------------------ sprinklers appear after the pour

WET = {
    "sprinkler__standard": "13",
    "sprinkler__hoistway_top": True,
    "sprinkler__pit": True,
    "sprinkler__machine_room": True,
    "fire_alarm__pit_heat_detector": True,
}


def test_sprinklers_appear_after_the_pour():
    old, new = plan(), plan(**WET)
    change, altered = told(old, new)
    assert change.added == (
        "sprinkler-top@hoistway-top",
        "sprinkler-pit@pit",
        "sprinkler-room@machine-room",
        "detectors-pit@pit",
        "detectors-top@hoistway-top",
        "shunt-trip@machine-room",
    )
    assert (change.dropped, altered) == ((), {"detectors-room@machine-room": ("requirements",)})
    assert change.altered[0].requirements == ("room-heat-distance", "room-heat-rating")
    assert change.gates_altered == ("fire-service",)
    assert rework(change, done_up_to(old, "pour@pit"), new) == ()


def test_sprinklers_appear_when_recall_is_wired_already():
    old, new = plan(), plan(**WET)
    wired = done_up_to(old, "recall-wiring@machine-room")
    late = {
        each.task: (each.kind, each.after, each.requirements)
        for each in rework(compare(old, new), wired, new)
    }
    recall = ("recall-wiring@machine-room",)
    assert late == {
        "sprinkler-top@hoistway-top": ("out of order", recall, ()),
        "sprinkler-pit@pit": ("out of order", recall, ()),
        "sprinkler-room@machine-room": ("out of order", ("detectors-room@machine-room", *recall), ()),
        "detectors-pit@pit": ("out of order", recall, ()),
        "detectors-top@hoistway-top": ("out of order", recall, ()),
        "detectors-room@machine-room": ("do again", recall, ("room-heat-distance", "room-heat-rating")),
    }


# ------------------------------------------------------------------ a rear opening is added


def test_a_rear_opening_is_added_before_the_walls_stand():
    old, new = plan(), plan(landing__2__rear=True)
    change, altered = told(old, new)
    assert change.added == (
        "guard@landing-2-rear",
        "frame-opening@landing-2-rear",
        "hang-door@landing-2-rear",
        "close-front@landing-2-rear",
    )
    assert (change.dropped, altered) == ((), {})
    assert rework(change, done_up_to(old, "pour@pit"), new) == ()


def test_a_rear_opening_is_added_when_the_board_is_up():
    old, new = plan(), plan(landing__2__rear=True)
    boarded = done_up_to(old, "board-inside@hoistway")
    found = rework(compare(old, new), boarded, new)
    after = ("survey-open@hoistway", "rough-inspection@hoistway", "board-inside@hoistway")
    assert found == (
        Rework(
            "guard@landing-2-rear", "added", "out of order", (),
            ("walls@hoistway", "backing@rail-wall", "frame-opening@landing-1", "frame-opening@landing-2",
             "survey-open@hoistway", "line-sleeve@route", "control-conduit@route",
             "pit-electric@pit", "rough-inspection@hoistway", "board-inside@hoistway"),
        ),
        Rework("frame-opening@landing-2-rear", "added", "out of order", (), after),
    )  # fmt: skip


# ------------------------------------------------------------------ power turns out single-phase

THREE = {
    "power__phases": "three",
    "power__volts": 208,
    "power__earthing": "wye",
    "power__lowering_cut_off": "auxiliary contact",
}


def test_power_turns_out_to_be_single_phase():
    old, new = plan(**THREE), plan()
    change, altered = told(old, new)
    assert (change.added, change.dropped) == ((), ())
    assert altered == {
        "disconnects@machine-room": ("requirements",),
        "power-on@machine-room": ("first_line", "requirements"),
    }
    assert change.questions_opened == ("power.lowering_cut_off",)
    asked = {each.key: each.requirements for each in change.altered}
    assert asked == {
        "disconnects@machine-room": ("third-pole", "third-pole-letter"),
        "power-on@machine-room": ("volts-at-disconnect",),
    }
    assert rework(change, done_up_to(old, "room-walls@machine-room"), new) == ()
    powered = rework(change, done_up_to(old, "power-on@machine-room"), new)
    assert [(each.task, each.kind, each.after) for each in powered] == [
        ("disconnects@machine-room", "do again", ("power-on@machine-room",)),
        ("power-on@machine-room", "do again", ()),
    ]


# ------------------------------------------------------------------ a sump becomes required


def test_a_sump_becomes_required_after_the_pour():
    old, new = plan(pit__sump=False), plan(pit__sump=True)
    change, altered = told(old, new)
    assert change.added == ("sump-recess@pit", "sump-pump@pit")
    assert (change.dropped, altered) == ((), {"trade-permits@site": ("requirements",)})
    poured = done_up_to(old, "pit-strength@pit")
    assert rework(change, poured, new) == (
        Rework(
            "trade-permits@site", "altered", "do again", (),
            ("gate-drawing-and-permit@site", "dig@pit", "form-pit@pit", "steel-inspection@pit", "pour@pit",
             "pit-strength@pit", "gate-pre-pour@site"),
            ("plumbing-permit",),
        ),
        Rework(
            "sump-recess@pit", "added", "open up", ("pour@pit",),
            ("steel-inspection@pit", "pit-strength@pit", "gate-pre-pour@site"),
        ),
    )  # fmt: skip


def test_the_safe_default_costs_nothing_when_the_sump_becomes_required():
    old, new = plan(), plan(pit__sump=True)
    change, altered = told(old, new)
    assert (change.added, change.dropped) == ((), ())
    assert set(altered) == {"trade-permits@site", "sump-recess@pit", "sump-pump@pit"}
    assert altered["sump-recess@pit"] == ("provisional", "because")
    assert rework(change, done_up_to(old, "pour@pit"), new) == ()


def test_a_sump_that_is_not_wanted_after_all_was_formed_for_nothing():
    old, new = plan(), plan(pit__sump=False)
    change, _ = told(old, new)
    assert change.dropped == ("sump-recess@pit", "sump-pump@pit")
    found = rework(change, done_up_to(old, "pour@pit"), new)
    assert found == (Rework("sump-recess@pit", "dropped", "not needed"),)


# ------------------------------------------------------------------ what is true of every change


def test_a_deeper_pit_is_done_again_where_it_is_done_and_hidden_where_it_is_poured():
    old, new = plan(), plan(pit__depth='16"')
    found = {each.task: each for each in rework(compare(old, new), done_up_to(old, "pit-strength@pit"), new)}
    assert found["form-pit@pit"].kind == "do again"
    assert found["form-pit@pit"].covered_by == ("pour@pit",)
    assert found["form-pit@pit"].requirements == ("form-drop",)
    assert found["layout-drawing@site"].kind == "look again"
    assert "pour@pit" not in found


@pytest.mark.parametrize(
    "changes",
    [
        WET,
        {"landing__2__rear": True},
        {"pit__sump": True},
        {"pit__depth": '16"'},
        {"building__stage": "existing"},
    ],
)
def test_nothing_done_costs_nothing_and_more_done_never_costs_less(changes):
    old, new = plan(), plan(**changes)
    change = compare(old, new)
    assert rework(change, frozenset(), new) == ()
    steps = ("pour@pit", "board-inside@hoistway", "hang-door@landing-1", "gate-handover@site")
    touched = [{each.task for each in rework(change, done_up_to(old, step), new)} for step in steps]
    assert all(fewer <= more for fewer, more in pairwise(touched))


def test_a_task_that_done_work_waits_for_now_is_told(tmp_path):
    extra = tmp_path / "company.toml"
    extra.write_text('[[addition]]\ntask = "pour"\nsource = "practice"\nafter = ["inspection-request"]\n')
    old, new = plan(), derive(FACTS, load_catalogue(extra))
    found = rework(compare(old, new), done_up_to(old, "pour@pit"), new)
    assert found == (Rework("inspection-request@site", "waited for", "out of order", (), ("pour@pit",)),)
