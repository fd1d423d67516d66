"""Silence never accepts: the contractor may, for a silent receiver, with a reason, and not for everything."""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from coordination.access.permissions import NotAllowed
from coordination.evidence.refusals import SayForWhom
from coordination.gates import actions
from coordination.gates.models import Answer
from coordination.gates.queries import assessment
from coordination.gates.refusals import AnsweredAlready, NotInTheirPlace, SayWhy
from coordination.gates.rules import check_rules
from coordination.record.queries import newest
from tests.gates.sites import BACKING, JOB, RAILS, TEXTED, Site, build, reading, with_requirement
from tests.projects.small_plans import photo

LEFT, SPREAD = "backing@rail-wall#left", "backing@rail-wall#spread"
WHY = "Called twice, nobody there."
BOTH = ("coordinator", "contractor")
PHOTO = photo(BACKING.key, "left", accepts="contractor", deputy="coordinator", answer_hours=16, concede=BOTH)
READING = reading(BACKING.key, "spread", concede=BOTH)
PLAIN = with_requirement(with_requirement(JOB, BACKING.key, PHOTO), BACKING.key, READING)


def offered(site: Site, by: str = "framer", **more):
    site.start(BACKING.key, "framer")
    site.photo(LEFT, "framer")
    site.read(SPREAD, "framer", '30"')
    return site.offer(BACKING.key, by, **more)


def stand_in(site: Site, offer, by: str = "contractor", why: str = WHY, at: datetime | None = None):
    at = at or site.at
    return actions.accept_for_the_silent(
        site.project, site.cast.visitor(by, at), at, offer.uid, site.task(RAILS.key).uid, reason=why
    )


def keys(refusal) -> list[str]:
    return [reason.key for reason in refusal.value.reasons]


@pytest.fixture
def plain(db) -> Site:
    return build(derived=PLAIN)


def test_a_day_and_a_weekend_of_silence_accept_nothing(plain):
    offered(plain)
    plain.step(days=30)
    missing = assessment(plain.project, plain.at).tasks[RAILS.key].start_missing
    assert [item.kind for item in missing] == ["handoff not answered"]
    assert Answer.objects.count() == 0


def test_the_contractor_accepts_for_the_silent_and_the_record_says_so(plain):
    offer = offered(plain)
    plain.at = offer.answer_by + timedelta(minutes=1)
    stand_in(plain, offer)
    row = Answer.objects.get()
    assert (row.outcome, row.way, row.instead_of, row.reasons, row.answered_name, row.entered_for) == (
        *("accepted", "for the silent", "Low Rise Lift Supply", [WHY]),
        *("Ana Ruiz", ""),
    )
    told = newest(plain.project.stream, most=1)[0]
    assert (told.verb, told.subject) == ("handoff accepted", BACKING.key)
    assert (told.body["way"], told.body["instead_of"], told.body["reasons"]) == (
        *("for the silent", "Low Rise Lift Supply", [WHY]),
    )
    assert datetime.fromisoformat(told.body["answer_by"]) == offer.answer_by
    assert check_rules(plain.project, plain.at) == []
    plain.start(RAILS.key, "crew")


@pytest.mark.parametrize("short_by", [timedelta(0), timedelta(microseconds=1), timedelta(hours=3)])
def test_not_one_moment_before_the_answer_time_has_passed(plain, short_by):
    offer = offered(plain)
    with pytest.raises(NotInTheirPlace) as refusal:
        stand_in(plain, offer, at=offer.answer_by - short_by)
    assert keys(refusal) == ["answer time runs"]
    assert Answer.objects.count() == 0


def test_lift_critical_work_and_what_has_no_concession_wait_for_the_receiver_itself(site):
    offer = offered(site)
    with pytest.raises(NotInTheirPlace) as refusal:
        stand_in(site, offer, at=offer.answer_by + timedelta(days=3))
    assert keys(refusal) == ["only the receiver: lift-critical", "only the receiver: no concession"]


@pytest.mark.parametrize(
    ("asked", "key"),
    [
        (replace(READING, lift_critical=True, accepts="coordinator"), "only the receiver: lift-critical"),
        (replace(READING, concede=()), "only the receiver: no concession"),
        (
            replace(READING, kind="document", unit="", concede=(), release="building"),
            "only the receiver: no concession",
        ),
    ],
)
def test_each_of_the_two_alone_keeps_everybody_else_out(db, asked, key):
    site = build(derived=with_requirement(PLAIN, BACKING.key, asked))
    if asked.release:
        site.start(BACKING.key, "framer")
        site.photo(LEFT, "framer")
        site.document(SPREAD, "contractor")
        offer = site.offer(BACKING.key, "framer")
    else:
        offer = offered(site)
    with pytest.raises(NotInTheirPlace) as refusal:
        stand_in(site, offer, at=offer.answer_by + timedelta(days=3))
    assert keys(refusal) == [key]


@pytest.mark.parametrize("name", ["coordinator", "crew", "framer", "electrician", "owner"])
def test_nobody_but_the_contractor_stands_in(plain, name):
    offer = offered(plain)
    with pytest.raises(NotAllowed):
        stand_in(plain, offer, by=name, at=offer.answer_by + timedelta(hours=1))


def test_whoever_passed_it_on_does_not_take_it_over_for_others(plain):
    offer = offered(plain, "contractor", for_other=TEXTED)
    with pytest.raises(NotInTheirPlace) as refusal:
        stand_in(plain, offer, at=offer.answer_by + timedelta(hours=1))
    assert keys(refusal) == ["own offer"]


def test_it_needs_a_reason(plain):
    offer = offered(plain)
    with pytest.raises(SayWhy):
        stand_in(plain, offer, why="  ", at=offer.answer_by + timedelta(hours=1))


def test_twice_is_once_and_a_refusal_that_came_meanwhile_stands(plain):
    offer = offered(plain)
    late = offer.answer_by + timedelta(hours=1)
    assert stand_in(plain, offer, at=late) == stand_in(plain, offer, at=late)
    assert Answer.objects.count() == 1
    other = build("other-", derived=PLAIN)
    refused = offered(other)
    other.answer(refused, RAILS.key, "crew", "refused", "anchor side is open")
    with pytest.raises(AnsweredAlready):
        stand_in(other, refused, at=refused.answer_by + timedelta(days=1))


def test_entering_what_the_receiver_said_is_another_thing_and_needs_its_source(plain):
    offer = offered(plain)
    plain.at = offer.answer_by + timedelta(hours=1)
    with pytest.raises(SayForWhom):
        plain.answer(offer, RAILS.key, "contractor")
    plain.answer(offer, RAILS.key, "contractor", for_other=TEXTED)
    assert Answer.objects.get().way == "answered"
