"""Alarm: devices, matrix, distances. NFPA 72 21.3 and 21.4 as read; recall levels of A17.1 2.27.3.2 from memory."""

import itertools
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coordination.siteprep.calculations.alarm import AlarmInputs, LobbyDetector, Sprinkler, calculate
from coordination.siteprep.calculations.inputs import InputErrors
from coordination.siteprep.calculations.values import feet, inches


def plan(**changed):
    given = {
        "landings": ("1", "2", "3"),
        "designated": "1",
        "alternate": "2",
        "machine_room_landing": "1",
        "machinery_in_hoistway": False,
        "hydraulic": True,
        "panel": True,
        "sprinklers": (),
    }
    return AlarmInputs(**{**given, **changed})


TOP = Sprinkler(name="top", place="hoistway top", heat_detector_distance=inches(24))
PIT = Sprinkler(name="pit", place="pit", height=inches(20))


def needed(result):
    return {d.key: d.needed for d in result.devices}


def effects(result):
    return {c.device: (c.recall, c.recall_to, c.hat, c.trips_power) for c in result.matrix}


def test_matrix_without_sprinklers():
    assert effects(calculate(plan())) == {
        "smoke at landing 1": ("alternate", "2", "steady", False),
        "smoke at landing 2": ("designated", "1", "steady", False),
        "smoke at landing 3": ("designated", "1", "steady", False),
        "smoke in machine room": ("alternate", "2", "flashing", False),
        "recall switch": ("designated", "1", "steady", False),
    }


def test_machine_room_on_another_floor_recalls_to_the_designated_landing():
    assert effects(calculate(plan(machine_room_landing="3")))["smoke in machine room"] == (
        "designated",
        "1",
        "flashing",
        False,
    )


def test_sprinkler_at_the_top_brings_smoke_heat_and_shunt_trip():
    result = calculate(plan(sprinklers=(TOP,)))
    assert needed(result)["smoke at hoistway top"] is True
    assert effects(result)["smoke at hoistway top"] == ("designated", "1", "flashing", False)
    assert effects(result)["heat by top"] == ("", None, "", True)
    assert [c.supervisory for c in result.matrix if c.device == "shunt control power monitor"] == [True]


def test_hydraulic_pit_with_sprinkler_gets_smoke_that_recalls_upward():
    """NFPA 72 21.3 and 21.4; recall to the upper level from memory."""
    low = calculate(plan(sprinklers=(PIT,)))
    assert effects(low)["smoke in pit"] == ("alternate", "2", "flashing", False)
    assert calculate(plan(sprinklers=(PIT,), designated="2", alternate="1")).matrix[4].recall_to == "2"
    assert needed(calculate(plan(sprinklers=(PIT,), hydraulic=False)))["smoke in pit"] is False


@pytest.mark.parametrize(("height", "heat"), [(inches(24), False), (inches("24.0625"), True), (None, None)])
def test_low_pit_head_is_exempt_from_shutdown(height, heat):
    """A17.1 2.8.3.3 (text of rule 102.2): heads not over 24 in above the pit floor do not trip the power."""
    assert needed(calculate(plan(sprinklers=(replace(PIT, height=height),))))["heat by pit"] is heat


def test_unknown_sprinklers_keep_every_device_in_question():
    result = calculate(plan(sprinklers=None))
    found = needed(result)
    assert [
        found[k] for k in ("smoke at hoistway top", "smoke in pit", "heat by sprinklers", "shunt trip")
    ] == [None] * 4
    assert {c.device for c in result.matrix if c.provisional} >= {
        "smoke at hoistway top",
        "smoke in pit",
        "heat by sprinklers",
    }


@pytest.mark.parametrize(("panel", "unit"), [(True, False), (False, True), (None, None)])
def test_dedicated_unit_where_there_is_no_panel(panel, unit):
    assert needed(calculate(plan(panel=panel)))["dedicated control unit"] is unit


def test_unknown_designated_landing_leaves_recall_unknown():
    result = calculate(plan(designated=None))
    assert all(
        c.recall_to is None and c.provisional
        for c in result.matrix
        if c.device.startswith("smoke at landing")
    )


@pytest.mark.parametrize(
    ("distance", "outcome"), [(feet(21), "met"), (feet(21) + inches(1), "not met"), (None, "unknown")]
)
def test_lobby_distance(distance, outcome):
    """NFPA 72 21.3.5 (2019): 21 ft."""
    result = calculate(plan(lobby_detectors=(LobbyDetector(landing="2", distance=distance),)))
    assert {f.subject: f.outcome for f in result.findings if f.key == "lobby detector distance"}[
        "2"
    ] == outcome


def test_heat_and_relay_distances():
    """NFPA 72 21.4.2: 24 in; 21.2.4 (2013): 3 ft."""
    far = Sprinkler(name="room", place="machine room", heat_detector_distance=inches(25))
    result = calculate(plan(sprinklers=(TOP, far), relay_distance=feet(3)))
    assert {f.subject: f.outcome for f in result.findings if f.key == "heat detector distance"} == {
        "top": "met",
        "room": "not met",
    }
    assert [f.outcome for f in result.findings if f.key == "relay distance"] == ["met"]


def test_test_sheet_follows_the_matrix():
    result = calculate(plan(sprinklers=(TOP,)))
    assert [line.device for line in result.test_sheet] == [c.device for c in result.matrix]
    (heat,) = [line for line in result.test_sheet if line.device == "heat by top"]
    assert (heat.expect_power, heat.expect_landing) == ("off, by hand only back on", None)


def test_residence_lift_has_no_recall():
    result = calculate(plan(lift_class="private residence"))
    assert (result.devices, result.matrix) == ((), ())


@settings(max_examples=60)
@given(
    st.lists(
        st.sampled_from(
            [TOP, PIT, replace(PIT, height=inches(40)), Sprinkler(name="room", place="machine room")]
        ),
        max_size=4,
        unique=True,
    ),
    st.sampled_from([True, False, None]),
    st.sampled_from([True, False, None]),
)
def test_smoke_never_trips_the_power(heads, hydraulic, machinery):
    heads = tuple(replace(h, name=f"{h.name} {n}") for n, h in enumerate(heads))
    result = calculate(plan(sprinklers=heads, hydraulic=hydraulic, machinery_in_hoistway=machinery))
    assert not [c.device for c in result.matrix if c.trips_power and c.device.startswith("smoke")]
    assert all(c.recall == "" for c in result.matrix if c.trips_power)


def test_what_is_unknown_holds_every_device_of_every_answer():
    unknown = {
        k
        for k, v in needed(calculate(plan(sprinklers=None, machinery_in_hoistway=None, panel=None))).items()
        if v is not False
    }
    for heads, machinery, panel in itertools.product([(), (TOP,), (PIT,)], [True, False], [True, False]):
        known = {
            k
            for k, v in needed(
                calculate(plan(sprinklers=heads, machinery_in_hoistway=machinery, panel=panel))
            ).items()
            if v
        }
        assert {k for k in known if not k.startswith("heat")} <= unknown


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"designated": "9"}, "designated"),
        ({"alternate": "1"}, "alternate"),
        ({"landings": ("1",), "designated": None, "alternate": None}, "landings"),
        ({"lobby_detectors": (LobbyDetector(landing="x"),)}, "lobby_detectors[0].landing"),
    ],
)
def test_nonsense_is_refused_by_name(changed, field):
    with pytest.raises(InputErrors) as refused:
        plan(**changed)
    assert field in [p.field for p in refused.value.problems]
