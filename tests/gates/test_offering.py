"""Finishing: one touch where nobody must answer, an offer with a time to answer everywhere else."""

import uuid
from datetime import datetime
from zoneinfo import ZoneInfo

import pytest

from coordination.access.refusals import NotVisible
from coordination.evidence.models import Evidence
from coordination.gates.models import Offer
from coordination.gates.queries import assessment
from coordination.gates.refusals import NotReadyToOffer, TaskHeld
from coordination.record.models import Chain, Event
from coordination.record.queries import newest
from coordination.siteprep.plan import Link
from tests.gates.sites import BACKING, BOARD, RAILS, ROUGH, SWEEP, build
from tests.projects.small_plans import photo, plan, task

NEW_YORK = ZoneInfo("America/New_York")
LEFT, SPREAD = "backing@rail-wall#left", "backing@rail-wall#spread"


def test_done_is_one_touch_where_nobody_reviews(site):
    site.start(SWEEP.key, "contractor")
    assert site.offer(SWEEP.key, "contractor") is None
    assert (newest(site.project.stream, most=1)[0].verb, Offer.objects.count()) == ("work done", 0)
    assert assessment(site.project, site.at).tasks[SWEEP.key].state == "done"


def test_an_offer_names_all_that_is_missing(site):
    site.start(ROUGH.key, "electrician")
    with pytest.raises(NotReadyToOffer) as refusal:
        site.offer(ROUGH.key, "electrician")
    assert [(m.kind, m.subject, m.trade) for m in refusal.value.missing] == [
        ("authority document missing", "rough@pit#inspection", "electrical"),
        ("not handed in", "rough@pit#receptacle", "electrical"),
    ]


def test_work_that_has_not_begun_is_not_finished(site):
    with pytest.raises(NotReadyToOffer) as refusal:
        site.offer(SWEEP.key, "contractor")
    assert [m.kind for m in refusal.value.missing] == ["not begun"]


def test_work_about_to_be_covered_is_answered_within_four_working_hours(site):
    site.start(BACKING.key, "framer")
    site.photo(LEFT, "framer")
    site.read(SPREAD, "framer", '30"')
    site.at = datetime(2026, 3, 6, 13, 55, tzinfo=NEW_YORK)  # a Friday; site hours end at 15:00
    offer = site.offer(BACKING.key, "framer")
    assert offer.answer_by.astimezone(NEW_YORK) == datetime(2026, 3, 9, 10, 0, tzinfo=NEW_YORK)


def test_other_work_is_answered_within_the_hours_its_requirements_ask_for(db):
    asked = photo("frame@pit", "view", answer_hours=6, accepts="coordinator")
    site = build(derived=plan(task("frame@pit", requirements=(asked,))))
    site.start("frame@pit", "framer")
    site.photo("frame@pit#view", "framer")
    site.at = datetime(2026, 3, 3, 7, 55, tzinfo=NEW_YORK)
    offer = site.offer("frame@pit", "framer")
    assert offer.answer_by.astimezone(NEW_YORK) == datetime(2026, 3, 3, 14, 0, tzinfo=NEW_YORK)


def test_silence_never_accepts(site):
    site.start(BACKING.key, "framer")
    site.photo(LEFT, "framer")
    site.read(SPREAD, "framer", '30"')
    site.offer(BACKING.key, "framer")
    site.step(days=400)
    found = assessment(site.project, site.at).tasks
    assert (found[BACKING.key].state, found[BACKING.key].satisfied) == ("offered", False)
    with pytest.raises(TaskHeld):
        site.start(RAILS.key, "crew")


def test_offering_twice_gives_the_same_offer(site):
    site.start(BACKING.key, "framer")
    site.photo(LEFT, "framer")
    site.read(SPREAD, "framer", '30"')
    first = site.offer(BACKING.key, "framer", crew_waiting=True, note="ladder stays")
    assert site.offer(BACKING.key, "framer") == first
    row = Offer.objects.get()
    assert (row.round, row.crew_waiting, row.note) == (1, True, "ladder stays")


def test_covering_work_is_not_finished_over_work_that_was_withdrawn(site):
    site.signed()
    site.clear("close-in")
    site.start(BOARD.key, "other electrician")
    site.withdraw(Evidence.objects.get(requirement=site.need(LEFT)), "framer")
    with pytest.raises(NotReadyToOffer) as refusal:
        site.offer(BOARD.key, "other electrician")
    assert [(m.kind, m.subject) for m in refusal.value.missing] == [
        ("not finished", "backing@rail-wall"),
        ("not handed in", LEFT),
        ("gate not cleared", "close-in"),
    ]


def test_a_handoff_that_a_change_of_plan_adds_is_offered_afterwards(db):
    site = build(derived=plan(SWEEP, RAILS))
    site.start(SWEEP.key, "contractor")
    site.offer(SWEEP.key, "contractor")
    site.accept(plan(SWEEP, RAILS, links=(Link(SWEEP.key, RAILS.key, "FS", handoff=True),)))
    with pytest.raises(TaskHeld) as refusal:
        site.start(RAILS.key, "crew")
    assert [m.kind for m in refusal.value.missing] == ["handoff not offered"]
    offer = site.offer(SWEEP.key, "contractor")
    site.answer(offer, RAILS.key, "crew")
    site.start(RAILS.key, "crew")


def test_a_finish_that_a_phone_sends_again_finishes_nothing_a_second_time(site):
    key = uuid.UUID(int=11)
    site.start(BACKING.key, "framer")
    site.photo(LEFT, "framer")
    site.read(SPREAD, "framer", '30"')
    offer = site.offer(BACKING.key, "framer", sender_key=key, sent_at=site.at)
    site.review(LEFT, "contractor", "refused", "not sharp")
    site.photo(LEFT, "framer")
    length = Chain.objects.get(stream=site.project.stream).length
    assert site.offer(BACKING.key, "framer", sender_key=key) == offer
    assert (Offer.objects.count(), site.task(BACKING.key).finished_on) == (1, None)
    assert Chain.objects.get(stream=site.project.stream).length == length
    assert site.offer(BACKING.key, "framer", sender_key=uuid.UUID(int=12)).round == 2


def test_a_key_that_finished_one_task_finishes_no_other(site):
    site.start(SWEEP.key, "contractor")
    assert site.offer(SWEEP.key, "contractor", sender_key=uuid.UUID(int=11)) is None
    assert site.offer(SWEEP.key, "contractor", sender_key=uuid.UUID(int=11)) is None
    site.start(BACKING.key, "framer")
    with pytest.raises(NotVisible):
        site.offer(BACKING.key, "framer", sender_key=uuid.UUID(int=11))


def test_the_record_keeps_when_the_phone_says_it_was_pressed(site):
    pressed = site.at
    site.start(SWEEP.key, "contractor", sent_at=pressed)
    event = Event.objects.get(stream=site.project.stream, verb="work begun")
    assert datetime.fromisoformat(event.claimed_at) == pressed
