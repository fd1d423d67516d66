"""Reminders and escalation by a moving clock: once per offer and stage, kill-safe, and nothing is ever accepted by it."""

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.core import mail

from coordination.access.actions import add_member, end_membership
from coordination.console.background_work import WORKS
from coordination.gates.awaited import stages, unanswered
from coordination.gates.models import Answer, Offer
from coordination.gates.queries import assessment, look_at
from coordination.notices.actions import read_on, send
from coordination.notices.models import Message
from coordination.notices.queries import unread, unsent
from coordination.notices.reminding import remind, unreminded
from tests.gates.sites import BACKING, JOB, RAILS, Site, build

LEFT, SPREAD = "backing@rail-wall#left", "backing@rail-wall#spread"
NEW_YORK = ZoneInfo("America/New_York")
HOUR = timedelta(hours=1)
QUERIES = 25


@pytest.fixture
def site(db: None) -> Site:
    site = build()
    site.start(BACKING.key, "framer")
    site.photo(LEFT, "framer")
    site.read(SPREAD, "framer", '30"')
    return site


@pytest.fixture
def offer(site: Site) -> Offer:
    """Offered on Monday at 11:55 there, about to be covered: due on Tuesday at 07:55 after four working hours."""
    site.at = datetime(2026, 3, 2, 11, 50, tzinfo=NEW_YORK)
    offer = site.offer(BACKING.key, "framer")
    assert offer.answer_by.astimezone(NEW_YORK).strftime("%a %H:%M") == "Tue 07:55"
    Message.objects.all().delete()
    return offer


def there(day: int, hour: int, minute: int = 0) -> datetime:
    return datetime(2026, 3, day, hour, minute, tzinfo=NEW_YORK)


def told(site: Site, now: datetime) -> set[tuple[str, str]]:
    """What the background makes at ``now``, by kind and person."""
    before = set(Message.objects.values_list("pk", flat=True))
    for uid in unreminded(now):
        remind(uid, now)
    names = {person.pk: name for name, person in site.cast.people.items()}
    return {(row.kind, names[row.person_id]) for row in Message.objects.exclude(pk__in=before)}


EVERYBODY = {("reminded", "contractor"), ("reminded", "coordinator"), ("reminded", "crew")}


def test_nobody_is_reminded_in_the_first_half_of_the_answer_time(site, offer):
    assert told(site, there(2, 13, 54)) == set()


def test_those_whose_word_is_awaited_are_reminded_once_at_half_time(site, offer):
    assert told(site, there(2, 13, 55)) == EVERYBODY
    for minute in (56, 58):
        assert told(site, there(2, 13, minute)) == set()
    assert told(site, offer.answer_by) == set()


def test_once_late_the_deputies_and_the_contractor_are_told_once(site, offer):
    """Contractor and coordinator stand in for each other on what must be reviewed here."""
    told(site, there(2, 14))
    assert told(site, offer.answer_by + timedelta(seconds=1)) == {
        ("late", "contractor"),
        ("late", "coordinator"),
    }
    for days in range(1, 30):
        assert told(site, offer.answer_by + timedelta(days=days)) == set()


def test_a_deputy_of_the_receiver_is_told_when_it_is_late(site, offer):
    visitor = site.who("coordinator")
    add_member(
        site.project, visitor, site.at, person=site.cast.people["stranger"], role="lift crew", trade="lift",
        company=site.cast.companies["supplier"], deputy=True,
    )  # fmt: skip
    site.review(LEFT, "contractor"), site.review(SPREAD, "coordinator")
    assert told(site, there(2, 14)) == {("reminded", name) for name in ("crew", "coordinator", "stranger")}
    assert told(site, there(3, 8)) == {("late", "contractor"), ("late", "stranger")}


def test_whoever_was_asleep_at_half_time_is_told_only_that_it_is_late(site, offer):
    assert told(site, there(5, 9)) == {("late", "contractor"), ("late", "coordinator")}


def test_silence_accepts_nothing(site, offer):
    for days in range(60):
        told(site, there(2, 14) + timedelta(days=days))
    site.at = there(2, 14) + timedelta(days=60)
    assert Answer.objects.count() == 0
    assert "handoff not answered" in {
        item.kind for item in assessment(site.project, site.at).tasks[RAILS.key].start_missing
    }


def test_who_has_answered_is_left_in_peace(site, offer):
    """The coordinator's company is that of the crew, so both may still answer for it."""
    site.review(LEFT, "contractor"), site.review(SPREAD, "coordinator")
    assert told(site, there(2, 14)) == {("reminded", "crew"), ("reminded", "coordinator")}
    site.answer(offer, RAILS.key, "crew")
    assert told(site, there(4, 9)) == set()


def test_a_refused_offer_reminds_nobody_and_the_next_round_reminds_anew(site, offer):
    told(site, there(2, 14))
    site.at = there(2, 14, 5)
    site.answer(offer, RAILS.key, "crew", "refused", "anchor side is open")
    assert told(site, there(4, 9)) == set()
    site.at = there(5, 8)
    again = site.offer(BACKING.key, "framer")
    assert told(site, again.answer_by - HOUR) == EVERYBODY


def test_a_kill_before_the_messages_are_kept_makes_them_later_and_once(site, offer, monkeypatch):
    def killed(*args, **more):
        raise SystemExit

    now = there(2, 14)
    with monkeypatch.context() as patch:
        patch.setattr("coordination.notices.reminding.Message.objects.bulk_create", killed)
        with pytest.raises(SystemExit):
            told(site, now)
    assert Message.objects.count() == 0
    assert told(site, now) == EVERYBODY


def test_two_workers_who_found_the_same_make_it_once(site, offer):
    now = there(2, 14)
    (uid,) = unreminded(now)
    remind(uid, now), remind(uid, now)
    assert Message.objects.count() == len(EVERYBODY)
    assert unreminded(now) == []


def test_a_mail_that_was_answered_before_it_went_out_is_dropped_and_not_made_again(site, offer):
    now = there(2, 14)
    told(site, now)
    site.at = now
    site.review(LEFT, "contractor"), site.review(SPREAD, "coordinator")
    site.answer(offer, RAILS.key, "crew")
    mail.outbox.clear()
    assert [send(int(key), now) for key in unsent(now)] == [False, False, False]
    assert (mail.outbox, Message.objects.count(), unreminded(there(4, 9))) == ([], 0, [])


def test_who_left_is_not_reminded(site, offer):
    end_membership(site.project, site.who("coordinator"), site.at, site.cast.memberships["crew"].uid)
    assert told(site, there(2, 14)) == EVERYBODY - {("reminded", "crew")}


def test_what_the_mails_say(site, offer, settings):
    told(site, there(2, 14))
    mail.outbox.clear()
    for key in unsent(there(2, 14)):
        send(int(key), there(2, 14))
    reminded = {message.to[0].split("@")[0]: message for message in mail.outbox}["crew"]
    assert reminded.subject == "Harrow Lane: your answer is awaited: backing"
    assert "answer by Tue 3 Mar, 07:55. Saying nothing accepts nothing." in reminded.body
    told(site, there(3, 9))
    mail.outbox.clear()
    for key in unsent(there(3, 9)):
        send(int(key), there(3, 9))
    late = {message.to[0].split("@")[0]: message for message in mail.outbox}["contractor"]
    assert late.subject == "Harrow Lane: an answer is late: backing"
    assert "was to be answered by Tue 3 Mar, 07:55, and is not" in late.body
    assert "  - elevator\n  - general contractor\n  - elevator coordinator\n" in late.body
    assert f"{settings.SITE_ADDRESS}/sites/{site.project.uid}/tasks/{site.task(BACKING.key).uid}" in late.body
    assert "555" not in late.body


def test_a_weekend_is_no_time_to_answer(db):
    site = build()
    site.start(BACKING.key, "framer")
    site.photo(LEFT, "framer")
    site.read(SPREAD, "framer", '30"')
    site.at = there(6, 13, 55)
    offer = site.offer(BACKING.key, "framer")
    Message.objects.all().delete()
    assert offer.answer_by == there(9, 10)
    assert [told(site, there(day, 12)) for day in (7, 8)] == [set(), set()]
    assert told(site, there(9, 8)) == EVERYBODY


def test_the_database_s_own_sieve_lets_nothing_through_that_is_open(site, offer):
    """Whatever is open by the full judgement is found by the sieve in front of it."""
    late = there(4, 9)

    def both() -> tuple[set[int], set[int]]:
        exact = {waits.offer.pk for waits, _stage in stages(look_at(site.project, late), late)}
        return exact, set(unanswered().values_list("pk", flat=True))

    seen = [both()]
    site.review(LEFT, "contractor"), site.review(SPREAD, "coordinator")
    seen.append(both())
    site.answer(offer, RAILS.key, "crew")
    seen.append(both())
    assert seen == [({offer.pk}, {offer.pk}), ({offer.pk}, {offer.pk}), (set(), set())]


def test_looking_costs_the_same_for_one_site_and_three(site, offer, django_assert_num_queries):
    now = there(2, 14)
    told(site, now)
    with django_assert_num_queries(QUERIES):
        assert unreminded(now) == []
    for prefix in ("second-", "third-"):
        other = build(prefix, derived=JOB)
        other.start(BACKING.key, "framer")
        other.photo(LEFT, "framer")
        other.read(SPREAD, "framer", '30"')
        other.at = there(2, 11, 50)
        other.offer(BACKING.key, "framer")
        remind(str(other.project.uid), now)
    with django_assert_num_queries(QUERIES):
        assert unreminded(now) == []


def test_the_background_does_it_beside_what_the_record_tells(site, offer):
    while site.project.stream in unread(site.at):
        read_on(site.project.stream, site.at)
    assert "reminders" in [work.kind for work in WORKS]
    assert set(Message.objects.values_list("kind", flat=True)) == {"offered"}
    assert told(site, there(2, 14)) == EVERYBODY


# ---- before anything is offered
def handed_in(site: Site) -> None:
    """One reading on Monday at 11:55 there, of work about to be covered: due on Tuesday at 07:55."""
    (
        site.review(LEFT, "contractor"),
        site.review(SPREAD, "coordinator", "refused", "Measured at the top only."),
    )
    site.at = there(2, 11, 50)
    site.read(SPREAD, "framer", '30"')
    Message.objects.all().delete()


def test_evidence_reminds_its_reviewer_before_anything_is_offered_then_the_deputy_and_the_contractor(site):
    handed_in(site)
    assert told(site, there(2, 13, 50)) == set()
    assert told(site, there(2, 13, 55)) == {("reminded", "coordinator")}
    assert told(site, there(2, 14)) == set()
    assert told(site, there(3, 8)) == {("late", "contractor")}
    assert [told(site, there(day, 12)) for day in (4, 9)] == [set(), set()]


def test_a_reminder_of_evidence_says_until_when_and_is_dropped_once_it_was_reviewed(site):
    handed_in(site)
    told(site, there(2, 14))
    mail.outbox.clear()
    assert [send(int(key), there(2, 14)) for key in unsent(there(2, 14))] == [True]
    assert "answer by Tue 3 Mar, 07:55. Saying nothing accepts nothing." in mail.outbox[0].body
    told(site, there(3, 8))
    site.review(SPREAD, "coordinator")
    assert [send(int(key), there(3, 9)) for key in unsent(there(3, 9))] == [False]
    assert told(site, there(5, 9)) == set()
