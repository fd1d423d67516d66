"""Every calculation reads its own example, explains itself, and refuses what it does not know."""

import json

import pytest

from coordination.siteprep.calculations.inputs import InputErrors
from coordination.siteprep.calculations.registry import CALCULATIONS
from coordination.siteprep.calculations.values import inches

every = pytest.mark.parametrize("name", CALCULATIONS)


@every
def test_example_runs_and_is_json(name):
    calculation = CALCULATIONS[name]
    assert json.loads(json.dumps(calculation.run(calculation.example)))


@every
def test_explanation_documents_every_input_and_source(name):
    calculation = CALCULATIONS[name]
    told = json.loads(json.dumps(calculation.explain()))
    assert all(entry["meaning"] for entry in told["inputs"].values())
    assert set(calculation.example) - {"length_unit"} <= set(told["inputs"])
    assert all(
        s["document"] and s["status"] in {"code", "practice", "drawing", "memory"} for s in told["sources"]
    )
    assert all(s["confirm_with"] for s in told["sources"] if s["status"] == "memory")


@every
def test_unknown_key_is_refused_by_name(name):
    calculation = CALCULATIONS[name]
    with pytest.raises(InputErrors) as refused:
        calculation.read({**calculation.example, "colour": 1})
    assert [p.field for p in refused.value.problems] == ["colour"]


@every
def test_every_needed_input_is_asked_for_by_name(name):
    calculation = CALCULATIONS[name]
    needed = {key for key, entry in calculation.explain()["inputs"].items() if entry.get("needed")}
    if not needed:
        assert calculation.run({}) is not None
        return
    with pytest.raises(InputErrors) as refused:
        calculation.read({})
    assert {p.field for p in refused.value.problems} == needed


@every
def test_every_source_in_a_result_is_listed(name):
    calculation = CALCULATIONS[name]
    listed = {json.dumps(s, sort_keys=True) for s in calculation.explain()["sources"]}
    found = {json.dumps(s, sort_keys=True) for s in sources_in(calculation.run(calculation.example))}
    assert found - listed == set()


def sources_in(result):
    if isinstance(result, dict):
        if set(result) == {"document", "clause", "status", "confirm_with"}:
            yield result
        for value in result.values():
            yield from sources_in(value)
    elif isinstance(result, list):
        for value in result:
            yield from sources_in(value)


def read_brackets(**changed):
    return CALCULATIONS["brackets"].read(
        {"pit_depth": "14 in", "travel": "10 ft", "overhead": "135 in", **changed}
    )


@pytest.mark.parametrize("written", ["14 in", '14"', "355.6 mm", "0.3556 m", "1' 2\"", 355_600_000])
def test_lengths_are_read_in_any_unit(written):
    assert read_brackets(pit_depth=written).pit_depth == inches(14)


def test_plain_numbers_need_a_length_unit():
    with pytest.raises(InputErrors) as refused:
        read_brackets(pit_depth=14)
    assert (refused.value.problems[0].field, "no unit" in refused.value.problems[0].wrong) == (
        "pit_depth",
        True,
    )
    plain = {"length_unit": "in", "pit_depth": 14, "travel": 120, "overhead": "135"}
    assert CALCULATIONS["brackets"].read(plain) == read_brackets()


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"travel": "ten feet"}, "travel"),
        ({"travel": None}, "travel"),
        ({"travel": True}, "travel"),
        ({"lift_class": "freight"}, "lift_class"),
        ({"keep_clear": "none"}, "keep_clear"),
        ({"keep_clear": [{"name": "x", "bottom": "1 ft"}]}, "keep_clear[0].top"),
        ({"keep_clear": [{"name": "x", "bottom": "2 ft", "top": "1 ft"}]}, "keep_clear[0].top"),
        ({"keep_clear": [{"name": "x", "bottom": "1 ft", "top": "2 ft", "why": 1}]}, "keep_clear[0].why"),
        ({"length_unit": "yard"}, "length_unit"),
        ({"max_spacing": "30 ft"}, "max_spacing"),
    ],
)
def test_errors_name_the_field(changed, field):
    with pytest.raises(InputErrors) as refused:
        read_brackets(**changed)
    assert [p.field for p in refused.value.problems] == [field]
    assert all(p.right for p in refused.value.problems)


def test_all_problems_are_told_at_once():
    with pytest.raises(InputErrors) as refused:
        read_brackets(travel="x", overhead="-1 in", colour=1, max_spacing="y")
    assert {p.field for p in refused.value.problems} == {"travel", "overhead", "colour", "max_spacing"}


@pytest.mark.parametrize("given", [float("nan"), float("inf"), "1/0 hp", "5 stone", "", [], {}])
def test_numbers_that_are_none(given):
    with pytest.raises(InputErrors) as refused:
        CALCULATIONS["electrical"].read({"phases": 1, "volts": 230, "horsepower": given})
    assert [p.field for p in refused.value.problems] == ["horsepower"]


@pytest.mark.parametrize("given", ["7.5", "7 1/2 hp", "7.5 HP", 7.5, "15/2"])
def test_numbers_in_many_forms(given):
    read = CALCULATIONS["electrical"].read({"phases": 3, "volts": "208 V", "horsepower": given})
    assert (float(read.horsepower), read.volts) == (7.5, 208)


def test_lengths_of_a_result_are_told_in_three_units():
    told = CALCULATIONS["machine_room"].run(CALCULATIONS["machine_room"].example)
    assert told["room"]["east"] == {"amount": 2_133_600_000, "unit": "nm", "mm": 2133.6, "in": 84.0}
    assert told["working_spaces"][0]["depth"]["in"] == 36.0


def test_there_are_eleven():
    assert len(CALCULATIONS) == 11
