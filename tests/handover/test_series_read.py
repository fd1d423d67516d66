"""Readings of a series in a paper: every one of them, as it was typed, also those that are missing."""

from zoneinfo import ZoneInfo

from coordination.handover.contents import line_of
from coordination.handover.reading import Reader
from coordination.handover.series_read import series_lines

READER = Reader("en-us", "us", ZoneInfo("America/Chicago"))
SERIES = {
    "rows": [
        {"key": "landing-1", "text": {"en": "Landing 1"}},
        {"key": "landing-2", "text": {"en": "Landing 2"}},
    ],
    "columns": [
        {"key": "left-a", "text": {"en": "Left wall"}},
        {"key": "north", "text": {"en": "North wall"}},
    ],
}


def cell(row, column, typed):
    return {"row": row, "column": column, "typed": typed, "value": 1, "inside": True}


VALUE = {
    "series": "out of plumb", "unit": "length", "rows": ["landing-1", "landing-2"], "columns": ["left-a", "north"],
    "cells": [cell("landing-1", "left-a", '6"'), cell("landing-1", "north", "7 in"), cell("landing-2", "north", '7"')],
    "figure": 0, "missing": [["landing-2", "left-a"]],
}  # fmt: skip


def test_each_level_is_a_line_with_what_was_typed():
    assert series_lines({"series": SERIES}, {"value": VALUE}, READER) == (
        'Landing 1: Left wall 6", North wall 7 in',
        'Landing 2: Left wall not read, North wall 7"',
    )


def test_a_day_is_a_line_of_its_own_and_one_column_needs_no_name():
    series = {"rows": [], "columns": [{"key": "plate", "text": {"en": "Under the plate"}}]}
    value = {
        **VALUE,
        "rows": ["2026-03-02T07:00"],
        "columns": ["plate"],
        "cells": [cell("2026-03-02T07:00", "plate", "60 F")],
    }
    assert series_lines({"series": series}, {"value": value}, READER) == ("March 2, 2026 07:00: 60 F",)


def test_a_paper_frozen_before_there_were_series_says_what_it_said():
    assert series_lines({}, {"value": VALUE}, READER) == ()
    assert series_lines({"series": SERIES}, {"value": 3}, READER) == ()


def test_the_lines_stand_behind_the_figure_in_a_report():
    evidence = {
        "value": VALUE,
        "typed": '1/4"',
        "in_tolerance": True,
        "instrument": "laser",
        "sender": "Bo Tran",
    }
    requirement = {
        "key": "survey", "kind": "reading", "text": {"en": "Survey"}, "unit": "length", "series": SERIES,
        "source": {}, "outcome": "accepted", "evidence": [evidence],
    }  # fmt: skip
    [found] = line_of(requirement, READER).found
    assert found.value == '1/4"'
    assert found.words.startswith('inside, laser, Bo Tran; Landing 1: Left wall 6"')
