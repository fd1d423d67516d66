"""The receiver's word on a handoff."""

import pytest

from coordination.access.permissions import NotAllowed
from coordination.access.refusals import NotVisible
from coordination.evidence.refusals import SayForWhom
from coordination.gates.models import Answer
from coordination.gates.queries import assessment, look_at, returned
from coordination.gates.refusals import AnsweredAlready, OwnWork, SayWhy
from tests.gates.sites import BACKING, BOARD, RAILS, TEXTED, build


@pytest.fixture
def offer(site):
    site.start(BACKING.key, "framer")
    site.photo("backing@rail-wall#left", "framer")
    site.read("backing@rail-wall#spread", "framer", '30"')
    return site.offer(BACKING.key, "framer")


def test_a_refused_handoff_comes_back_and_is_offered_again(site, offer):
    site.answer(offer, RAILS.key, "crew", "refused", "anchor side is open")
    scene = look_at(site.project, site.at)
    task = scene.holding.task_by_key[BACKING.key]
    assert scene.assessment.tasks[BACKING.key].state == "refused"
    assert [(item.subject, item.by, item.reasons) for item in returned(scene, task)] == [
        ("rails@hoistway", "Lou Becker", ("anchor side is open",))
    ]
    again = site.offer(BACKING.key, "framer")
    site.answer(again, RAILS.key, "crew")
    assert [(a.offer.round, a.outcome) for a in Answer.objects.order_by("pk")] == [
        (1, "refused"),
        (2, "accepted"),
    ]
    site.start(RAILS.key, "crew")


def test_an_acceptance_does_not_outlive_its_offer(site, offer):
    site.answer(offer, RAILS.key, "crew")
    site.review("backing@rail-wall#left", "contractor", "refused", "too dark")
    scene = look_at(site.project, site.at)
    assert [m.kind for m in scene.assessment.tasks[RAILS.key].start_missing] == ["refused"]
    assert [link.answer for link in scene.standing.links if link.handoff] == ["none"]
    site.photo("backing@rail-wall#left", "framer")
    site.offer(BACKING.key, "framer")
    found = assessment(site.project, site.at).tasks[RAILS.key]
    assert [m.kind for m in found.start_missing] == ["handoff not answered"]


def test_answering_the_same_twice_is_harmless_and_otherwise_refused(site, offer):
    first = site.answer(offer, RAILS.key, "crew")
    assert site.answer(offer, RAILS.key, "crew") == first
    with pytest.raises(AnsweredAlready, match="answered already"):
        site.answer(offer, RAILS.key, "crew", "refused", "no")


def test_an_offer_that_ended_is_not_answered(site, offer):
    site.review("backing@rail-wall#left", "contractor", "refused", "too dark")
    with pytest.raises(AnsweredAlready, match="offer ended"):
        site.answer(offer, RAILS.key, "crew")


def test_only_the_receiver_answers_and_whoever_enters_for_it_says_so(site, offer):
    with pytest.raises(NotAllowed):
        site.answer(offer, RAILS.key, "electrician")
    with pytest.raises(SayForWhom):
        site.answer(offer, RAILS.key, "contractor")
    site.answer(offer, RAILS.key, "contractor", for_other=TEXTED)
    row = Answer.objects.get()
    assert (row.answered_name, row.entered_for, row.entry_source) == (
        "Ana Ruiz",
        "Low Rise Lift Supply",
        "texted photo",
    )


def test_nobody_takes_over_their_own_lift_critical_entry(site):
    site.start(BACKING.key, "framer")
    site.photo("backing@rail-wall#left", "framer")
    site.read("backing@rail-wall#spread", "framer", '30"')
    offer = site.offer(BACKING.key, "contractor", for_other=TEXTED)
    with pytest.raises(OwnWork):
        site.answer(offer, RAILS.key, "contractor", for_other=TEXTED)


def test_a_task_that_receives_nothing_cannot_answer(site, offer):
    with pytest.raises(NotVisible):
        site.answer(offer, BOARD.key, "other electrician")


def test_another_projects_offer_is_not_there(site, offer):
    other = build("other-")
    with pytest.raises(NotVisible):
        other.answer(offer, RAILS.key, "crew")


def test_a_refusal_says_why(site, offer):
    with pytest.raises(SayWhy):
        site.answer(offer, RAILS.key, "crew", "refused")
