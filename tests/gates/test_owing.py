"""What is owed now, by whom, since when, and what waits for it: only what somebody can do."""

from datetime import date

import pytest

from coordination.gates.owing import owed_by_trade
from coordination.gates.queries import look_at
from tests.gates.sites import BACKING, RAILS, Site

LEFT, SPREAD = "backing@rail-wall#left", "backing@rail-wall#spread"
MONDAY = date(2026, 3, 2)


def owed(site: Site) -> dict[str, list[tuple[str, str, date | None, tuple[str, ...]]]]:
    found = owed_by_trade(look_at(site.project, site.at))
    return {
        trade: [
            (row.missing.kind, row.missing.subject, row.since, tuple(task.key for task in row.holds))
            for row in rows
        ]
        for trade, rows in found.items()
    }


def test_on_the_first_day_only_what_may_begin_is_owed(site):
    """The board and the rails wait, so they owe nothing; nor does a gate that lacks other things."""
    assert owed(site) == {
        "framing": [("not begun", BACKING.key, None, ("board@rail-wall", RAILS.key, "close-in@site"))],
    }


def test_begun_work_is_owed_since_it_began(site):
    site.start(BACKING.key, "framer")
    (row,) = [row for row in owed(site)["framing"] if row[0] == "not finished"]
    assert row == ("not finished", BACKING.key, MONDAY, ("board@rail-wall", RAILS.key, "close-in@site"))


@pytest.fixture
def offered(site):
    site.start(BACKING.key, "framer")
    site.photo(LEFT, "framer")
    site.read(SPREAD, "framer", '30"')
    return site.offer(BACKING.key, "framer")


def test_an_offer_is_owed_its_answer_by_the_receiver_and_its_reviews_by_the_reviewers(site, offered):
    found = owed(site)
    assert ("handoff not answered", f"{BACKING.key}>{RAILS.key}", MONDAY) in [
        row[:3] for row in found["lift"]
    ]
    assert ("not reviewed", LEFT, MONDAY) in [row[:3] for row in found["contractor"]]
    assert ("not reviewed", SPREAD, MONDAY) in [row[:3] for row in found["coordinator"]]
    assert "framing" not in found


def test_what_came_back_is_owed_by_its_trade_again(site, offered):
    site.answer(offered, RAILS.key, "crew", "refused", "anchor side is open")
    found = owed(site)
    assert "handoff refused" in [row[0] for row in found["framing"]]
    assert [row[0] for row in found.get("lift", [])] == []


def test_answered_it_is_owed_no_more_and_what_holds_up_nothing_is_not_owed(site, offered):
    """The rails may begin now; nothing but the last gate comes after them, and that reads other things."""
    site.answer(offered, RAILS.key, "crew")
    assert "lift" not in owed(site)


def test_signatures_are_owed_once_nothing_else_is_missing(site):
    site.ready()
    kinds = {trade: {row[0] for row in rows} for trade, rows in owed(site).items()}
    assert (kinds["contractor"], kinds["lift crew"]) == ({"signature missing"}, {"signature missing"})
    site.sign("close-in", "contractor")
    site.sign("close-in", "crew")
    assert ("gate not cleared", "close-in") in [row[:2] for row in owed(site)["contractor"]]


def test_nothing_that_is_owed_is_held_itself(site, offered):
    """Whatever is owed to begin may begin."""
    scene = look_at(site.project, site.at)
    for rows in owed_by_trade(scene).values():
        for row in rows:
            if row.missing.kind == "not begun":
                assert scene.assessment.tasks[row.missing.subject].may_start
