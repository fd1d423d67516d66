"""The reviewer's word: accepted, refused with reasons, never one's own lift-critical entry."""

import pytest
from django.db import IntegrityError, transaction

from coordination.access.permissions import NotAllowed
from coordination.evidence.models import Review
from coordination.gates import actions
from coordination.gates.models import Offer
from coordination.gates.queries import assessment, look_at, returned
from coordination.gates.refusals import NothingToReview, OutOfTolerance, OwnWork, SayWhy
from coordination.record.queries import newest
from tests.gates.sites import BACKING, TEXTED

LEFT, SPREAD = "backing@rail-wall#left", "backing@rail-wall#spread"


@pytest.fixture
def offered(site):
    site.start(BACKING.key, "framer")
    site.photo(LEFT, "framer")
    site.read(SPREAD, "framer", '30"')
    site.offer(BACKING.key, "framer")
    return site


def test_a_refusal_brings_the_work_back_with_its_reasons_on_top(offered):
    offered.review(LEFT, "contractor", "refused", "too dark", "show the whole height")
    scene = look_at(offered.project, offered.at)
    task = scene.holding.task_by_key[BACKING.key]
    assert (task.finished_on, scene.assessment.tasks[BACKING.key].state) == (None, "refused")
    assert [(item.subject, item.by, item.reasons) for item in returned(scene, task)] == [
        ("left", "Ana Ruiz", ("too dark", "show the whole height"))
    ]
    assert Offer.objects.get().ended_at == offered.at


def test_new_evidence_and_a_new_offer_open_the_next_round(offered):
    offered.review(LEFT, "contractor", "refused", "too dark")
    offered.photo(LEFT, "framer")
    again = offered.offer(BACKING.key, "framer")
    offered.review(LEFT, "contractor")
    assert (again.round, assessment(offered.project, offered.at).tasks[BACKING.key].state) == (2, "offered")
    assert list(Review.objects.values_list("outcome", flat=True)) == ["refused", "accepted"]


def test_the_deputy_may_review_and_nobody_else(offered):
    offered.review(LEFT, "coordinator")
    for name in ("framer", "crew", "owner"):
        with pytest.raises(NotAllowed):
            offered.review(SPREAD, name)


def test_the_second_press_is_harmless_and_another_word_is_refused(offered):
    first = offered.review(LEFT, "contractor")
    length = newest(offered.project.stream, most=1)[0].seq
    assert offered.review(LEFT, "contractor") == first
    assert newest(offered.project.stream, most=1)[0].seq == length
    with pytest.raises(NothingToReview) as refusal:
        offered.review(LEFT, "coordinator", "refused", "crooked")
    assert dict(refusal.value.reasons[0].args) == {"subject": LEFT, "name": "Ana Ruiz", "outcome": "accepted"}


def test_nothing_handed_in_cannot_be_accepted(site):
    site.start(BACKING.key, "framer")
    with pytest.raises(NothingToReview, match="nothing handed in"):
        site.review(LEFT, "contractor")


def test_a_refusal_without_reasons_helps_nobody(offered):
    with pytest.raises(SayWhy):
        offered.review(LEFT, "contractor", "refused", "  ")


def test_a_reading_out_of_tolerance_cannot_be_accepted(site):
    site.start(BACKING.key, "framer")
    site.read(SPREAD, "framer", '32"')
    with pytest.raises(OutOfTolerance):
        site.review(SPREAD, "coordinator")


def test_nobody_reviews_their_own_entry_of_lift_critical_work(site):
    site.start(BACKING.key, "framer")
    site.read(SPREAD, "contractor", '30"', for_other=TEXTED)
    with pytest.raises(OwnWork):
        site.review(SPREAD, "contractor")
    site.review(SPREAD, "coordinator")


def test_one_may_review_ones_own_entry_of_ordinary_work(site):
    site.start(BACKING.key, "framer")
    site.photo(LEFT, "contractor", for_other=TEXTED)
    site.review(LEFT, "contractor")


def test_the_database_refuses_it_too(offered):
    evidence = Review.evidence.field.related_model.objects.get(requirement__key="spread")
    row = Review(
        evidence=evidence,
        round=1,
        outcome="accepted",
        reviewer=evidence.sender,
        reviewer_name="Bo",
        sender=evidence.sender,
        lift_critical=True,
        at=offered.at,
        event=evidence.event,
    )
    with pytest.raises(IntegrityError, match="nobody_reviews_their_own"), transaction.atomic():
        row.save(force_insert=True)


def test_an_acceptance_can_be_taken_back_with_reasons(offered):
    offered.review(LEFT, "contractor")
    actions.take_back_acceptance(
        offered.project,
        offered.who("contractor"),
        offered.step(),
        offered.need(LEFT).uid,
        ["a stud is missing"],
    )
    assert assessment(offered.project, offered.at).tasks[BACKING.key].state == "refused"
    assert [(row.round, row.outcome) for row in Review.objects.order_by("pk")] == [
        (1, "accepted"),
        (2, "refused"),
    ]
