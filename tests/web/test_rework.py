"""What a change of facts costs in finished work is said on the page of the change, in words."""

import uuid
from pathlib import Path
from types import SimpleNamespace

import pytest

from coordination.projects.queries import ChangeView
from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.facts import Fact, load_facts
from coordination.siteprep.plan import derive
from coordination.web.shapes.rework_lines import KINDS, ReworkLine, rework_lines

JOB = Path(__file__).resolve().parents[2] / "fixtures" / "facts" / "candle-works.toml"
TO_THE_BOARD = [
    "dig@pit",
    "form-pit@pit",
    "pour@pit",
    "pit-strength@pit",
    "walls@hoistway",
    "backing@rail-wall",
    "frame-opening@landing-1",
    "frame-opening@landing-2",
    "survey-open@hoistway",
    "pit-electric@pit",
    "rough-inspection@hoistway",
    "board-inside@hoistway",
]


def stated(facts, **said):
    for key, value in said.items():
        name = key.replace("__", ".")
        facts = facts.stating(Fact(name, "known", value=value, said_by="GC", source="call"))
    return facts


def row(key):
    return SimpleNamespace(key=key, finished_on="2026-04-01", retired_in=None)


@pytest.fixture(scope="module")
def facts():
    return stated(load_facts(JOB), pit__sump=False, power__lowering_cut_off="auxiliary contact")


def lines(facts, altered, done):
    catalogue = load_catalogue()
    old, new = derive(facts, catalogue), derive(altered, catalogue)
    return rework_lines(ChangeView(uuid.uuid4(), old, new, {}, ()), [row(key) for key in done])


def test_nothing_done_costs_nothing(facts):
    assert lines(facts, stated(facts, pit__sump=True), []) == []


def test_a_sump_that_becomes_required_after_the_pour_is_opened_up(facts):
    found = lines(facts, stated(facts, pit__sump=True), TO_THE_BOARD[:4])
    recess = next(line for line in found if "ecess" in line.name)
    assert recess.why in {str(KINDS["open up"]), str(KINDS["out of order"])}
    assert "Pour" in recess.behind


def test_a_rear_opening_after_the_board_comes_back_to_closed_walls(facts):
    found = lines(facts, stated(facts, landing__2__rear=True), TO_THE_BOARD)
    opening = next(line for line in found if line.name.startswith("Frame the opening"))
    assert opening.why == "new work that should have come before work that is done"
    assert "Board the hoistway inside" in opening.behind
    assert all(isinstance(line, ReworkLine) and line.name and line.why for line in found)


def test_every_kind_has_words():
    from typing import get_args

    from coordination.siteprep.reworking import Kind

    assert set(KINDS) == set(get_args(Kind))
