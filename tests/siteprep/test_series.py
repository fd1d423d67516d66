"""Readings at several places or over days: their rows and columns on a job, what is judged, and what a plan keeps."""

import json
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coordination.siteprep.catalogue import RuleFile, load_catalogue
from coordination.siteprep.facts import load_facts, read_facts
from coordination.siteprep.plan import compare, derive, plan_from_json
from coordination.siteprep.series import JUDGED, figure, outside
from coordination.siteprep.toml_tables import CatalogueError

FACTS = load_facts(Path(__file__).parents[2] / "fixtures" / "facts" / "candle-works.toml")
CATALOGUE = load_catalogue()
PLAN = derive(FACTS, CATALOGUE)
INCH = 25_400_000


def need(plan, subject):
    task, _, key = subject.partition("#")
    return next(each for each in plan.task(task).requirements if each.key == key)


SERIES = {
    "survey-open@hoistway#open-plumb": "out of plumb",
    "survey-open@hoistway#between-landings": "out of plumb",
    "survey-board@hoistway#boarded-plumb": "out of plumb",
    "pit-strength@pit#slab-temperatures": "least",
    "pit-strength@pit#slab-level": "difference",
    "pit-electric@pit#pit-lux": "each",
    "room-light@machine-room#room-lux": "each",
    "site-ready@site#work-light": "each",
    "machine@machine-room#insulation": "each",
    "machine@machine-room#bonds": "each",
}


def test_the_trade_is_asked_for_whole_series_where_one_figure_says_too_little():
    found = {
        each.subject: each.series.judged for task in PLAN.tasks for each in task.requirements if each.series
    }
    assert found == SERIES


def test_a_plumb_survey_has_a_row_for_each_landing_and_a_column_for_each_line_and_wall():
    series = need(PLAN, "survey-open@hoistway#open-plumb").series
    assert [mark.key for mark in series.rows] == ["landing-1", "landing-2"]
    assert series.rows[0].text["en"].startswith("Landing 1")
    assert [mark.key for mark in series.columns] == [
        "left-a", "front-a", "rear-a", "front-b", "rear-b", "right-b", "a-to-b",
    ]  # fmt: skip
    assert need(PLAN, "survey-open@hoistway#between-landings").series.rows[1].key == "between-1-2"


def test_what_is_measured_between_landings_and_in_the_pit_is_asked_only_of_a_named_person():
    assert need(PLAN, "survey-open@hoistway#between-landings").authorised
    assert not need(PLAN, "survey-open@hoistway#open-plumb").authorised


def test_unknown_landings_leave_the_rows_open():
    plan = derive(read_facts({}), CATALOGUE)
    assert "landings" in need(plan, "survey-open@hoistway#open-plumb").because


def test_the_words_of_a_series_are_not_among_its_terms_but_its_rows_are():
    asked = need(PLAN, "survey-open@hoistway#open-plumb")
    marks = tuple(replace(mark, text={"en": "otherwise"}) for mark in asked.series.rows)
    reworded = replace(asked, series=replace(asked.series, rows=marks))
    assert reworded.terms() == asked.terms()
    shorter = replace(asked, series=replace(asked.series, rows=marks[:1]))
    assert shorter.terms() != asked.terms()


def test_a_single_reading_keeps_the_terms_it_always_had():
    assert "series" not in need(PLAN, "form-pit@pit#form-width").terms()


def test_a_plan_kept_before_there_were_series_is_still_read():
    old = json.loads(PLAN.as_json())
    for task in old["tasks"]:
        for each in task["requirements"]:
            del each["series"]
    read = plan_from_json(json.dumps(old))
    assert need(read, "survey-open@hoistway#open-plumb").series is None
    altered = {change.key: change.requirements for change in compare(read, PLAN).altered}
    assert altered["survey-open@hoistway"] == ("open-plumb", "between-landings")


@pytest.mark.parametrize(
    ("judged", "value", "wrong"),
    [
        ("each", None, {("2", "a"), ("3", "a")}),
        ("least", 3, {("2", "a"), ("3", "a")}),
        ("greatest", 9, {("2", "a"), ("3", "a")}),
        ("mean", 6, set()),
        ("difference", 6, set()),
        ("out of plumb", 6, set()),
    ],
)
def test_what_is_judged(judged, value, wrong):
    """Limits 4 to 8; for differences at most 8."""
    values = {("1", "a"): 6, ("2", "a"): 3, ("3", "a"): 9}
    low = None if judged in {"difference", "out of plumb"} else 4
    assert figure(judged, values) == value
    assert outside(judged, values, low, 8) == wrong


def test_a_reading_is_out_of_plumb_when_it_is_too_far_from_another_along_its_line():
    values = {("1", "a"): 6, ("2", "a"): 7, ("3", "a"): 9, ("1", "b"): 50, ("2", "b"): 51}
    assert outside("out of plumb", values, None, 2) == {("1", "a"), ("3", "a")}
    assert outside("out of plumb", values, None, 3) == frozenset()


@given(
    st.dictionaries(
        st.tuples(st.sampled_from("123"), st.sampled_from("ab")), st.integers(-99, 99), min_size=1
    )
)
def test_the_judged_figure_is_inside_exactly_when_no_cell_is_outside(values):
    for judged in set(JUDGED) - {"mean"}:
        low = None if judged in {"difference", "out of plumb"} else -10
        found = figure(judged, values)
        inside = (
            all(-10 <= each <= 10 for each in values.values())
            if found is None
            else found <= 10 and (low is None or found >= low)
        )
        wrong = outside(judged, values, low, 10)
        if judged == "least":
            inside = inside and max(values.values()) <= 10
        if judged == "greatest":
            inside = inside and min(values.values()) >= -10
        assert (wrong == frozenset()) == inside, judged


BAD = """
[[addition]]
task = "room-light"
source = "practice"
[[addition.requires]]
key = "more-light"
kind = "reading"
text = {en = "Light elsewhere"}
stand = {en = "In the door"}
unit = "lux"
concede = []
series = {rows = "landings", judged = "each"}
"""


@pytest.mark.parametrize(
    ("old", "new", "key"),
    [
        ('rows = "landings"', 'rows = "storeys"', "rows"),
        ('judged = "each"', 'judged = "most"', "judged"),
        ('judged = "each"', 'judged = "each", feeds = "brackets"', "feeds"),
        ('rows = "landings"', 'rows = [{key = "a", text = {en = "{nothing}"}}]', "series"),
        (
            'rows = "landings"',
            'rows = [{key = "a", text = {en = "A"}}, {key = "a", text = {en = "B"}}]',
            "rows",
        ),
        ('judged = "each"}', 'judged = "difference"}\nlow = 3', "low"),
    ],
)
def test_a_wrong_series_is_refused_by_its_key(old, new, key):
    load_catalogue(RuleFile("more.toml", BAD))
    with pytest.raises(CatalogueError) as refused:
        load_catalogue(RuleFile("more.toml", BAD.replace(old, new)))
    assert refused.value.key == key
