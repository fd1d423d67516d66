"""Concessions: the roles that the requirement names, each by another person, and none where there is none."""

import json
from datetime import timedelta

import pytest

from coordination.access import actions as access
from coordination.access.permissions import NotAllowed
from coordination.evidence.models import Evidence
from coordination.gates import actions
from coordination.gates.models import Concession, Voice
from coordination.gates.queries import assessment
from coordination.gates.refusals import NoConcession
from tests.gates.sites import BACKING, INCH, JOB, PRACTICE, reading, with_requirement

SPREAD = "backing@rail-wall#spread"


@pytest.fixture
def off(site):
    """The spread is an inch too wide."""
    site.start(BACKING.key, "framer")
    site.read(SPREAD, "framer", '32"')
    return site


def satisfied(site):
    missing = assessment(site.project, site.at).tasks["board@rail-wall"].start_missing
    return SPREAD not in [m.subject for m in missing]


def keys(refusal):
    return [reason.key for reason in refusal.value.reasons]


def test_it_stands_when_every_named_role_has_spoken(off):
    off.concede(SPREAD, "coordinator")
    assert not satisfied(off)
    concession = off.concede(SPREAD, "contractor", scope="", reason="agreed")
    assert satisfied(off)
    assert [(v.role, v.spoken_name) for v in Voice.objects.order_by("pk")] == [
        ("coordinator", "Ida Marsh"),
        ("contractor", "Ana Ruiz"),
    ]
    assert (concession.reason, Concession.objects.count()) == ("shim ordered", 1)


def test_one_person_never_speaks_for_two_roles(off):
    access.add_member(
        off.project,
        off.who("coordinator"),
        off.step(),
        person=off.cast.people["coordinator"],
        company=off.cast.companies["contractor"],
        role="contractor",
    )
    off.concede(SPREAD, "coordinator")
    off.concede(SPREAD, "coordinator", role="contractor")
    assert (Voice.objects.count(), satisfied(off)) == (1, False)


def test_the_same_role_does_not_speak_twice(off):
    second = access.add_person("second@site.example", "Uma Frey")
    access.add_member(
        off.project,
        off.who("coordinator"),
        off.step(),
        person=second,
        company=off.cast.companies["supplier"],
        role="coordinator",
    )
    off.cast.people["second"] = second
    off.concede(SPREAD, "coordinator")
    with pytest.raises(NoConcession) as refusal:
        off.concede(SPREAD, "second", scope="")
    assert keys(refusal) == ["role has spoken"]


def test_none_where_an_authority_releases_or_nobody_is_named(site):
    site.start("rough@pit", "electrician")
    with pytest.raises(NoConcession) as refusal:
        site.concede("rough@pit#inspection", "coordinator")
    assert keys(refusal) == ["only the authority releases"]
    with pytest.raises(NoConcession) as refusal:
        site.concede("rough@pit#receptacle", "coordinator")
    assert keys(refusal) == ["nobody may concede"]


def test_every_fault_of_a_plea_is_named_at_once(off):
    with pytest.raises(NoConcession) as refusal:
        off.concede(
            SPREAD,
            "coordinator",
            kind="deviation permit",
            reason=" ",
            scope="",
            expires_on=off.at.date() - timedelta(days=3),
        )
    assert keys(refusal) == ["say why conceded", "wrong kind", "say the scope", "expired before it began"]
    assert Concession.objects.count() == 0


def test_before_the_work_it_is_a_deviation_permit(site):
    with pytest.raises(NoConcession) as refusal:
        site.concede(SPREAD, "coordinator")
    assert keys(refusal) == ["wrong kind"]
    assert site.concede(SPREAD, "coordinator", kind="deviation permit").kind == "deviation permit"


def test_there_is_nothing_to_concede_about_what_is_satisfied(site):
    site.start(BACKING.key, "framer")
    site.read(SPREAD, "framer", '30"')
    site.review(SPREAD, "coordinator")
    with pytest.raises(NoConcession) as refusal:
        site.concede(SPREAD, "coordinator")
    assert keys(refusal) == ["nothing to concede"]


def test_other_roles_do_not_speak(off):
    for name in ("framer", "crew", "owner"):
        with pytest.raises(NotAllowed):
            off.concede(SPREAD, name)


def test_a_second_voice_is_for_the_same_thing(off):
    off.concede(SPREAD, "coordinator")
    with pytest.raises(NoConcession) as refusal:
        off.concede(SPREAD, "contractor", scope="the whole hoistway")
    assert keys(refusal) == ["another concession stands"]


def test_it_ends_with_its_last_day(off):
    last = off.at.date() + timedelta(days=2)
    off.concede(SPREAD, "coordinator", expires_on=last)
    off.concede(SPREAD, "contractor", scope="")
    off.step(days=2)
    assert satisfied(off)
    off.step(days=1)
    assert not satisfied(off)
    assert [row.ended_at for row in actions.lapse_concessions(off.project, off.step())] == [off.at]
    assert actions.lapse_concessions(off.project, off.step()) == []


def test_it_can_be_taken_back(off):
    off.concede(SPREAD, "coordinator")
    granted = off.concede(SPREAD, "contractor", scope="")
    for _turn in range(2):
        actions.end_concession(off.project, off.who("coordinator"), off.step(), granted.uid, "shim came")
    assert not satisfied(off)


def test_it_holds_only_for_the_terms_it_was_given_for(off):
    off.concede(SPREAD, "coordinator")
    off.concede(SPREAD, "contractor", scope="")
    tighter = reading(
        BACKING.key,
        "spread",
        low=29 * INCH,
        high=30 * INCH,
        accepts="coordinator",
        lift_critical=True,
        concede=("coordinator", "contractor"),
        source=PRACTICE,
    )
    off.accept(with_requirement(JOB, BACKING.key, tighter))
    assert not satisfied(off)
    fresh = off.concede(SPREAD, "contractor")
    assert [row.ended_at is None for row in Concession.objects.order_by("pk")] == [False, True]
    assert fresh.needs == ["coordinator", "contractor"]


def test_it_names_what_was_shown_and_does_not_conform_and_how_far_it_goes(off):
    wide = Evidence.objects.get(requirement=off.need(SPREAD))
    granted = off.concede(SPREAD, "coordinator", kind="", quantity="two brackets")
    assert (granted.kind, granted.nonconformity, granted.quantity) == ("concession", wide, "two brackets")
    with pytest.raises(NoConcession) as refusal:
        off.concede(SPREAD, "contractor", scope="", quantity="all of them")
    assert keys(refusal) == ["another concession stands"]
    off.concede(SPREAD, "contractor", scope="")
    assert satisfied(off)


def test_a_deviation_permit_has_nothing_shown_yet(site):
    assert site.concede(SPREAD, "coordinator", kind="").nonconformity is None
    assert Concession.objects.get().kind == "deviation permit"


def test_it_stays_on_every_later_paper_also_when_it_has_ended(off):
    off.concede(SPREAD, "coordinator")
    granted = off.concede(SPREAD, "contractor", scope="")
    off.photo("backing@rail-wall#left", "framer")
    offer = off.offer(BACKING.key, "framer")
    off.review("backing@rail-wall#left", "contractor")
    off.answer(offer, "rails@hoistway", "crew")
    off.inspect()
    off.settle()
    off.sign("close-in", "contractor")
    off.sign("close-in", "crew")
    first = json.loads(bytes(off.clear("close-in").snapshot))
    [told] = first["concessions"]
    assert (told["nonconformity"]["typed"], told["nonconformity"]["outcome"]) == ('32"', "out of tolerance")
    actions.end_concession(off.project, off.who("coordinator"), off.step(), granted.uid, "shim came")
    off.read(SPREAD, "framer", '30"')
    off.review(SPREAD, "coordinator")
    off.answer(off.offer(BACKING.key, "framer"), "rails@hoistway", "crew")
    off.sign("close-in", "contractor")
    off.sign("close-in", "crew")
    second = json.loads(bytes(off.clear("close-in").snapshot))
    [ended] = second["concessions_ended"]
    assert (second["concessions"], ended["nonconformity"]["typed"]) == ([], '32"')
    assert [row["round"] for row in second["rounds"]] == [1]
