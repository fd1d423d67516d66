"""What the demo's crew does about its first visit, through the real actions."""

import uuid
from datetime import date, timedelta

import pytest

from coordination.console.demo.crew_visits import (
    AGREED,
    agree,
    call_whoever_blocks,
    let_come,
    sign_for_tomorrow,
)
from coordination.console.demo.only_actions import only_actions
from coordination.dates.models import Call, Confirmation, SiteStatement
from coordination.dates.visit_terms import terms_of
from coordination.evidence.items import HandIn
from tests.gates.visit_sites import show_the_site, visiting_site


@pytest.fixture
def site(db):
    return visiting_site()


def ready(site):
    people = (site.who("coordinator"), site.who("contractor"))
    return sign_for_tomorrow(site.project, *people, site.step())


def test_the_site_is_signed_for_once_its_work_is_done_and_the_crew_comes_when_all_is_clear(site):
    assert ready(site) is None
    show_the_site(site)
    assert ready(site) is None
    site.hand_in("site-ready@site#statement", "contractor", HandIn(uuid.uuid4(), typed="Ana Ruiz"))
    site.offer("site-ready@site", "contractor")
    with only_actions():
        visit = ready(site)
    assert (visit.day, SiteStatement.objects.get().charge_cents) == (
        date(2026, 3, 3),
        AGREED.wasted_trip_cents,
    )
    assert let_come(site.project, site.who("coordinator"), site.step(), visit) is False
    site.sign("ready-for-crew", "contractor")
    site.clear("ready-for-crew")
    with only_actions():
        assert let_come(site.project, site.who("coordinator"), site.step(), visit) is True
    assert Confirmation.objects.count() == 1


def test_a_visit_whose_day_is_over_is_left_alone(site):
    show_the_site(site)
    site.hand_in("site-ready@site#statement", "contractor", HandIn(uuid.uuid4(), typed="Ana Ruiz"))
    site.offer("site-ready@site", "contractor")
    visit = ready(site)
    later = site.at + timedelta(days=3)
    assert let_come(site.project, site.who("coordinator"), later, visit) is True
    assert Confirmation.objects.count() == 0


def test_terms_hold_for_all_sites_and_somebody_is_called(site):
    with only_actions():
        agree(site.project, site.who("coordinator"), site.step())
        call_whoever_blocks(site.project, site.who("coordinator"), site.step())
    assert terms_of([site.project])[site.project.pk, "rails"] == AGREED
    call = Call.objects.get()
    assert (call.owner, call.phone, call.outcome) == ("Copper Creek Framing", "555-0142", "no answer")
