"""Two people at one handoff at once, on two real connections of both databases."""

from datetime import timedelta
from typing import Any

import pytest

from coordination.gates import actions
from coordination.gates.models import Answer, Offer
from coordination.gates.refusals import AnsweredAlready, TaskHeld
from tests.gates.sites import BACKING, RAILS, Site, build
from tests.gates.test_races import LEFT, SPREAD, holds, one_inside, together, verbs_of
from tests.gates.test_standing_in import PLAIN


@pytest.fixture
def site(real_database: str) -> Site:
    return build(derived=PLAIN)


@pytest.fixture
def offer(site: Site) -> Offer:
    """Held out, with nothing that needs its receiver itself, and late."""
    site.start(BACKING.key, "framer")
    site.photo(LEFT, "framer")
    site.read(SPREAD, "framer", '30"')
    offer = site.offer(BACKING.key, "framer")
    assert offer is not None
    site.at = offer.answer_by + timedelta(hours=1)
    return offer


def words(site: Site, offer: Offer) -> dict[str, Any]:
    crew, contractor, rails = site.who("crew"), site.who("contractor"), site.task(RAILS.key).uid
    project, at = site.project, site.at
    return {
        "refuse": lambda: actions.answer_handoff(
            project, crew, at, offer.uid, rails, outcome="refused", reasons=["open"]
        ),
        "stand in": lambda: actions.accept_for_the_silent(
            project, contractor, at, offer.uid, rails, reason="called twice"
        ),
        "take over": lambda: actions.start_task(project, crew, at, rails, taking_over=[offer.uid]),
        "refuse the photo": lambda: actions.review_requirement(
            project, contractor, at, site.need(LEFT).uid, "refused", reasons=["dark"]
        ),
    }


def test_a_receiver_who_refuses_first_is_not_accepted_for(site, offer, monkeypatch):
    said = words(site, offer)
    refused, stood_in = one_inside(monkeypatch, said["refuse"], said["stand in"])
    assert (len(refused), type(stood_in)) == (1, AnsweredAlready)
    assert [(row.outcome, row.way) for row in Answer.objects.all()] == [("refused", "answered")]
    assert holds(site)


def test_once_somebody_stood_in_the_receiver_is_told_that_it_was_answered(site, offer, monkeypatch):
    said = words(site, offer)
    stood_in, refused = one_inside(monkeypatch, said["stand in"], said["refuse"])
    assert (len(stood_in), type(refused)) == (1, AnsweredAlready)
    assert [(row.outcome, row.way) for row in Answer.objects.all()] == [("accepted", "for the silent")]
    assert holds(site)


def test_work_that_comes_back_meanwhile_is_not_taken_over_by_beginning(site, offer, monkeypatch):
    said = words(site, offer)
    _refused, begun = one_inside(monkeypatch, said["refuse the photo"], said["take over"])
    assert isinstance(begun, TaskHeld)
    assert (Answer.objects.count(), site.task(RAILS.key).begun_on, holds(site)) == (0, None, True)


def test_pressed_twice_at_once_it_is_begun_and_taken_over_once(site, offer):
    take_over = words(site, offer)["take over"]
    first, second = together(take_over, take_over)
    assert first.begun_on == second.begun_on == site.task(RAILS.key).begun_on
    assert (Answer.objects.count(), verbs_of(site).count("work begun"), holds(site)) == (1, 2, True)
