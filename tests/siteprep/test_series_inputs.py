"""A series as the inputs of a calculation."""

from pathlib import Path

import pytest

from coordination.siteprep.calculations.registry import CALCULATIONS
from coordination.siteprep.facts import load_facts, read_facts
from coordination.siteprep.series_inputs import MEASURED, TooLittleRead, maturity_inputs, survey_inputs

FACTS = load_facts(Path(__file__).parents[2] / "fixtures" / "facts" / "candle-works.toml")
INCH = 25_400_000
# Inches from line A to left, front and rear, from line B to front, rear and right; the lines 48 in apart.
LEVELS = {
    "pit": (6, 27, 27, 27, 27, 6),
    "landing-1": (6.25, 27, 27, 27, 27, 5.875),
    "landing-2": (6.5, 27.125, 26.875, 27.125, 26.875, 5.625),
}


def survey(apart=48):
    told = {
        (level, column): int(distance * INCH)
        for level, distances in LEVELS.items()
        for column, distance in zip(MEASURED, distances, strict=True)
    }
    return told | {(level, "a-to-b"): apart * INCH for level in LEVELS}


def test_the_clear_width_of_a_survey_is_worked_out_by_hand():
    """6 in + 48 in + 5 5/8 in: the least of each side in one vertical frame, not of any one level (59 3/4 in there)."""
    result = CALCULATIONS["hoistway_survey"].run(survey_inputs(survey(), {}, FACTS))
    assert result["clear_width"]["in"] == 59.625
    assert result["clear_depth"]["in"] == 53.875
    assert result["least_width_of_a_level"]["in"] == 60


def test_the_guide_line_moves_to_the_middle_of_what_is_free():
    """Free 30 in to the left of the lines' middle and 29 5/8 in to the right: the middle lies 3/16 in to the left."""
    facts = read_facts({"lift": {"hoistway_width": "58 in", "hoistway_depth": "52 in"}})
    result = CALCULATIONS["hoistway_survey"].run(survey_inputs(survey(), {}, facts))
    assert result["centre_x"]["mm"] == pytest.approx(-0.1875 * 25.4, abs=0.01)


def test_the_lines_are_taken_no_farther_apart_than_any_reading_says():
    told = survey() | {("landing-2", "a-to-b"): 47 * INCH}
    assert [line["x"] for line in survey_inputs(told, {}, FACTS)["lines"]] == ["-1' 11 1/2\"", "1' 11 1/2\""]


def test_a_survey_names_its_levels_and_says_at_which_stage():
    given = survey_inputs(survey(), {"pit": "Pit floor"}, FACTS, boarded=True, plumb_limit=INCH // 2)
    assert {reading["level"] for reading in given["readings"]} == {"Pit floor", "landing-1", "landing-2"}
    assert (given["stage"], given["plumb_limit"]) == ("after board", '1/2"')


@pytest.mark.parametrize(
    ("values", "missing"),
    [
        ({("pit", "left-a"): INCH, ("pit", "right-b"): INCH}, "line A to line B"),
        ({("pit", "a-to-b"): INCH, ("pit", "left-a"): INCH}, "readings to the walls"),
    ],
)
def test_too_little_is_named(values, missing):
    with pytest.raises(TooLittleRead) as refused:
        survey_inputs(values, {}, FACTS)
    assert refused.value.missing == missing


def test_of_two_probes_the_colder_one_counts_and_between_two_hours_their_mean():
    told = {
        ("2026-03-03T07:00", "plate"): 14, ("2026-03-02T07:00", "plate"): 18,
        ("2026-03-02T07:00", "edge"): 16, ("2026-03-03T19:00", "plate"): 12,
    }  # fmt: skip
    given = maturity_inputs(told, read_facts({}))
    assert given["history"] == [
        {"hours": "24 h", "temperature": "15 C"},
        {"hours": "12 h", "temperature": "13 C"},
    ]
    assert (given["pour_date"], given["expected_temperature"]) == ("2026-03-02", "12 C")
    with pytest.raises(TooLittleRead):
        maturity_inputs({("2026-03-02T07:00", "plate"): 18}, read_facts({}))
