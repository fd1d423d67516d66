"""The EN set: its own values where some are held, and said so where none are."""

import pytest

from coordination.siteprep.calculations.inputs import InputErrors
from coordination.siteprep.calculations.registry import CALCULATIONS


def run(name, **given):
    return CALCULATIONS[name].run(given)


def outcomes(result):
    return {(each["key"], each["subject"]): each["outcome"] for each in result["findings"]}


def room(**more):
    example = {**CALCULATIONS["machine_room"].example, "code_set": "EN", **more}
    return run("machine_room", **example)


def test_a_panel_has_its_area_by_the_standard_whatever_the_volts():
    """EN 81-20, 5.2.6.3.2.1 (from memory): 0.70 m deep, 0.50 m or the panel wide, 2.10 m high."""
    spaces = room(line_volts=None)["working_spaces"]
    sizes = {
        each["name"]: tuple(each[part]["mm"] for part in ("depth", "width", "height")) for each in spaces
    }
    assert sizes == {"controller": (700, 609.6, 2100), "main disconnect": (700, 500, 2100)}


@pytest.mark.parametrize(("headroom", "outcome"), [("2.10 m", "met"), ("2.09 m", "not met")])
def test_the_height_of_the_working_area(headroom, outcome):
    assert outcomes(room(headroom=headroom))["headroom", ""] == outcome


def test_a_way_of_half_a_metre_leads_to_everything():
    found = [each for each in room()["findings"] if each["key"] == "working path"]
    assert {each["limit"]["mm"] for each in found} == {500}
    assert {each["source"]["document"] for each in found} == {"EN 81-20"}


@pytest.mark.parametrize(
    ("width", "depth", "rule"),
    [(1000, 1300, "type 1"), (1100, 1400, "type 2"), (1100, 2100, "type 3"), (1090, 2100, "type 1"), (999, 2100, None)],
)  # fmt: skip
def test_car_types(width, depth, rule):
    """EN 81-70 (from memory): 1000 x 1300, 1100 x 1400, 1100 x 2100 mm."""
    result = run(
        "accessibility",
        code_set="EN",
        lift_class="limited use",
        car_width=f"{width} mm",
        car_depth=f"{depth} mm",
        length_unit="mm",
    )
    assert result["car_rule"] == rule


@pytest.mark.parametrize(
    ("gap", "stop", "door", "wanted"),
    [
        ("35 mm", "10 mm", "900 mm", {"sill gap": "met", "levelling": "met", "door clear width": "met"}),
        ("36 mm", "11 mm", "799 mm", {"sill gap": "not met", "levelling": "not met", "door clear width": "not met"}),
        ("35 mm", "10 mm", "850 mm", {"door clear width": "met", "door under the width preferred": "warning"}),
    ],
)  # fmt: skip
def test_gap_stopping_and_door(gap, stop, door, wanted):
    result = run(
        "accessibility",
        code_set="EN",
        lift_class="enclosed platform",
        sill_gap=gap,
        levelling=stop,
        door_clear_width=door,
    )
    found = {key: outcome for (key, _subject), outcome in outcomes(result).items()}
    assert wanted.items() <= found.items()


def test_a_platform_carries_250_kg_for_each_square_metre():
    """EN 81-41 (from memory)."""
    car = {"code_set": "EN", "lift_class": "enclosed platform", "car_width": "1.1 m", "car_depth": "1.4 m"}
    assert outcomes(run("accessibility", **car, rated_load="385 kg"))["rated load", ""] == "met"
    assert outcomes(run("accessibility", **car, rated_load="384 kg"))["rated load", ""] == "not met"


def test_an_enclosed_platform_has_no_us_value():
    with pytest.raises(InputErrors, match="ASME A18"):
        run("accessibility", lift_class="enclosed platform")


@pytest.mark.parametrize(
    ("name", "more", "who"),
    [
        ("electrical", {"phases": 3, "volts": 460, "horsepower": 5}, "electrical"),
        ("electrical", {"phases": 3, "volts": 400}, "electrical"),
        ("alarm", {"landings": ["0", "1"]}, "fire"),
        ("enclosure", {"storeys": 2}, "building"),
        ("backing", {"height": "3 m"}, "engineer"),
        ("concrete", {}, "engineer"),
    ],
)
def test_where_no_en_value_is_held_it_says_whom_to_ask(name, more, who):
    [finding] = [
        each for each in run(name, code_set="EN", **more)["findings"] if each["key"] == "no EN value held"
    ]
    assert (finding["outcome"], finding["source"]["confirm_with"]) == ("unknown", who)
    assert "no EN value held" not in {key for key, _subject in outcomes(run(name, **more))}
