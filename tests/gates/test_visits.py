"""A visit of the crew: what blocks it, the statement that the site is ready, the word that lets the crew come."""

import uuid
from datetime import timedelta

import pytest

from coordination.access.permissions import NotAllowed
from coordination.access.refusals import NotVisible, Reason
from coordination.dates.actions import move_visit
from coordination.dates.models import Confirmation, SiteStatement
from coordination.dates.refusals import VisitMoved, VisitNoGo
from coordination.evidence.models import Evidence
from coordination.gates.actions import confirm_visit, sign_site_ready
from coordination.gates.queries import look_at
from coordination.gates.refusals import SayWhy
from coordination.gates.rules import check_rules
from coordination.gates.visits import blocking, gates_ahead, newest_statement, no_go, proof_of, void_of
from coordination.record.models import Event
from tests.gates.sites import BACKING
from tests.gates.visit_sites import (
    CHARGE,
    CONFIRM_BY,
    DAY,
    book,
    finish_the_gate,
    show_the_site,
    visiting_site,
)

WORDS = "The site is ready for the crew."


@pytest.fixture
def site(db):
    return visiting_site()


@pytest.fixture
def visit(site):
    return book(site)


def sign(site, visit, by="contractor", **more):
    return sign_site_ready(site.project, site.who(by), site.step(), visit.uid, words=WORDS, **more)


def confirm(site, visit, by="coordinator"):
    return confirm_visit(site.project, site.who(by), site.step(), visit.uid)


def void(site, visit, at=None, charge=CHARGE):
    proof = proof_of(look_at(site.project, at or site.at), visit.key)
    return void_of(newest_statement(visit), visit, proof, charge, (at or site.at).date())


def test_only_what_somebody_can_do_now_blocks_a_visit(site):
    scene = look_at(site.project, site.at)
    assert [gate.key for gate in gates_ahead(scene.holding, "rails")] == ["ready-for-crew"]
    assert len(no_go(scene, "rails")) > 5
    assert [(item.kind, item.task, item.owner) for item in blocking(scene, "rails")] == [
        ("not begun", BACKING.key, "Copper Creek Framing")
    ]
    site.start(BACKING.key, "framer")
    site.photo("backing@rail-wall#left", "framer")
    blocked = blocking(look_at(site.project, site.at), "rails")
    assert {(item.kind, item.owner) for item in blocked} == {
        ("not finished", "Copper Creek Framing"),
        ("not reviewed", "Ana Ruiz, Tern Hill Builders"),
        ("not handed in", "Copper Creek Framing"),
    }


def test_signatures_block_once_nothing_else_does(site, visit):
    show_the_site(site)
    sign(site, visit)
    site.offer("site-ready@site", "contractor")
    assert [(item.kind, item.subject) for item in blocking(look_at(site.project, site.at), "rails")] == [
        ("signature missing", "contractor")
    ]


def test_the_statement_is_signed_once_and_handed_in(site, visit):
    show_the_site(site)
    before = Event.objects.count()
    signed = sign(site, visit)
    assert (signed.charge_cents, signed.words, signed.signed_name, signed.company) == (
        CHARGE,
        WORDS,
        "Ana Ruiz",
        "Tern Hill Builders",
    )
    told = Event.objects.get(verb="site-ready statement signed")
    assert told.body.find('"charge_cents":185000') > 0
    assert Evidence.objects.get(requirement=site.need("site-ready@site#statement")).typed == "Ana Ruiz"
    assert Event.objects.count() == before + 2
    assert sign(site, visit) == signed
    assert (Event.objects.count(), void(site, visit)) == (before + 2, "")


def test_it_is_not_signed_while_proof_is_missing(site, visit):
    with pytest.raises(VisitNoGo) as refused:
        sign(site, visit)
    subjects = {item.subject for item in refused.value.reasons}
    assert {BACKING.key, "site-ready@site#swept-pit"} <= subjects
    assert "site-ready@site#statement" not in subjects
    assert SiteStatement.objects.count() == 0


def test_what_was_read_must_be_what_is_signed(site, visit):
    show_the_site(site)
    digest = proof_of(look_at(site.project, site.at), "rails").digest
    for seen in ({"seen_digest": "0" * 64}, {"seen_charge": CHARGE - 1}):
        with pytest.raises(VisitNoGo) as refused:
            sign(site, visit, **seen)
        assert refused.value.reasons == (Reason("statement moved on"),)
    assert sign(site, visit, seen_digest=digest, seen_charge=CHARGE)


@pytest.mark.parametrize("name", ["coordinator", "crew", "framer"])
def test_only_the_contractor_signs(site, visit, name):
    show_the_site(site)
    with pytest.raises(NotAllowed):
        sign(site, visit, name)


def test_a_statement_says_something_of_a_booking_that_stands(site, visit):
    with pytest.raises(SayWhy):
        sign_site_ready(site.project, site.who("contractor"), site.at, visit.uid, words=" ")
    far = visiting_site("far.")
    for uid in (uuid.uuid4(), book(far).uid):
        with pytest.raises(NotVisible):
            sign_site_ready(site.project, site.who("contractor"), site.at, uid, words=WORDS)
    later = DAY + timedelta(days=2)
    move_visit(site.project, site.who("coordinator"), site.step(), visit.uid, day=later, confirm_by=DAY)
    with pytest.raises(VisitMoved):
        sign(site, visit)


def test_stale_proof_makes_the_signature_void(site, visit):
    show_the_site(site)
    sign(site, visit)
    assert void(site, visit) == ""
    assert void(site, visit, charge=CHARGE + 1) == "another charge"
    assert void(site, visit, at=site.at + timedelta(days=7)) == ""
    assert void(site, visit, at=site.at + timedelta(days=8)) == "too old"
    photo = Evidence.objects.get(requirement=site.need("site-ready@site#swept-pit"))
    site.withdraw(photo, "contractor", "taken at another opening")
    assert void(site, visit) == "proof changed"
    site.photo("site-ready@site#swept-pit", "contractor")
    site.review("site-ready@site#swept-pit", "crew")
    assert void(site, visit) == "proof changed"
    sign(site, visit)
    assert (void(site, visit), SiteStatement.objects.count()) == ("", 2)


def test_a_moved_visit_needs_another_statement(site, visit):
    show_the_site(site)
    sign(site, visit)
    later = DAY + timedelta(days=2)
    moved = move_visit(
        site.project, site.who("coordinator"), site.step(), visit.uid, day=later, confirm_by=DAY
    )
    visit.refresh_from_db()
    assert (void(site, visit), newest_statement(moved)) == ("visit moved", None)


def test_no_go_outranks_everything_until_all_of_it_is_there(site, visit):
    with pytest.raises(VisitNoGo) as refused:
        confirm(site, visit)
    assert refused.value.reasons[-1] == Reason("no statement signed")
    assert {item.kind for item in refused.value.reasons[:-1]} > {"not begun", "signature missing"}
    show_the_site(site)
    sign(site, visit)
    with pytest.raises(VisitNoGo):
        confirm(site, visit)
    finish_the_gate(site)
    confirmed, before = confirm(site, visit), Event.objects.count()
    assert (confirmed.name, confirm(site, visit), Event.objects.count()) == ("Ida Marsh", confirmed, before)
    assert check_rules(site.project, site.at) == []


def test_a_statement_that_went_stale_holds_the_crew_back(site, visit):
    show_the_site(site)
    sign(site, visit)
    finish_the_gate(site)
    site.step(days=9)
    with pytest.raises(VisitNoGo) as refused:
        confirm(site, visit)
    assert refused.value.reasons == (Reason("statement does not count"),)
    assert Confirmation.objects.count() == 0


@pytest.mark.parametrize("name", ["contractor", "crew"])
def test_only_the_coordinator_lets_the_crew_come(site, visit, name):
    with pytest.raises(NotAllowed):
        confirm(site, visit, name)


def test_the_booking_keeps_its_terms(visit):
    assert (visit.day, visit.confirm_by, visit.wasted_trip_cents) == (DAY, CONFIRM_BY, CHARGE)
