"""How sure the days are, at the screens: in words first, in figures, and what moves them."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from coordination.dates.forecasting import outlook_of, supposed_outlook
from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.facts import load_facts
from coordination.siteprep.plan import derive
from coordination.web.shapes.sureness import runs_words
from coordination.web.shapes.what_if import day_words
from tests.gates.sites import Site
from tests.standing_cast import LATER, gather
from tests.web.test_new_site import FIXTURES

DAY = LATER.date()


@pytest.fixture
def whole(db: Any, now: Any) -> Site:
    """A site with the plan of the candle works."""
    site = Site(gather())
    site.accept(derive(load_facts(FIXTURES / "facts" / "candle-works.toml"), load_catalogue()))
    return site


@pytest.fixture
def crew(whole: Site) -> Client:
    client = Client()
    client.force_login(whole.cast.people["crew"])
    return client


def page(site: Site, name: str = "dates", *more: Any) -> str:
    return reverse(name, args=[site.project.uid, *more])


def test_every_gate_and_visit_is_said_in_words_and_in_figures(whole: Site, crew: Client) -> None:
    answer = crew.get(page(whole))
    outlook = outlook_of(whole.project, DAY)
    gates, visits = answer.context["sure_gates"], answer.context["sure_visits"]
    assert [line.key for line in gates] == [
        *sorted(outlook.dated.gates, key=lambda gate: (outlook.dated.gates[gate], gate)),
        "",
    ]
    assert [line.key for line in visits] == ["rails", "return", "inspection"]
    assert {len(line.shares) for line in (*gates, *visits)} == {4}
    assert all(line.words.startswith("8 of 10 runs ") for line in (*gates, *visits))
    drivers = answer.context["drivers"]
    assert drivers
    assert all(line.runs.endswith(" of 100 runs") for line in drivers)
    assert answer.context["samples"] == "10,000"


def test_the_season_that_all_open_air_work_shares_can_be_left_out(whole: Site, crew: Client) -> None:
    dated = outlook_of(whole.project, DAY).dated
    usual, shown = crew.get(page(whole)), crew.get(page(whole), {"weather": "apart"})
    assert usual.context["open_air"] == shown.context["open_air"] > 5
    assert "share one season, wet or dry (correlation 0.3)" in usual.content.decode()
    assert "Here every task has its own luck." in shown.content.decode()
    apart = supposed_outlook(dated, weather=False)
    for answer, outlook in ((usual, outlook_of(whole.project, DAY)), (shown, apart)):
        [line] = [line for line in answer.context["sure_gates"] if line.key == "pre-pour"]
        days = [each.last_day for each in outlook.of_gate("pre-pour").quantiles]
        assert [share.day for share in line.shares] == [day_words(day) for day in days]


def test_the_page_of_a_gate_says_how_sure_it_is_and_what_moves_it(whole: Site, crew: Client) -> None:
    gate = whole.gate("ready-for-crew")
    answer = crew.get(page(whole, "gate", gate.task.uid))
    [line] = answer.context["sure"]
    assert line.words.startswith("8 of 10 runs clear it by ")
    assert line.words in answer.content.decode()
    assert len(answer.context["drivers"]) > 2


def test_the_first_sheet_says_it_of_the_next_gate(whole: Site, crew: Client) -> None:
    answer = crew.get(page(whole, "project"))
    assert answer.context["gate_sure"].words.startswith("8 of 10 runs clear it by ")
    assert answer.context["gate_sure"].words in answer.content.decode()


@pytest.mark.parametrize(
    ("share", "words"),
    [
        (0.0, "0 of 100 runs"),
        (0.0001, "1 of 100 runs"),
        (0.434, "43 of 100 runs"),
        (0.9999, "99 of 100 runs"),
        (1.0, "100 of 100 runs"),
    ],
)
def test_a_share_is_never_said_to_be_none_or_all_where_it_is_not(share: float, words: str) -> None:
    assert runs_words(share) == words
