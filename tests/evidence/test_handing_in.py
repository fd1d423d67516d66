"""Handing in: once however often it is sent, only for begun work, only under the terms that were seen."""

import uuid
from dataclasses import replace
from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import IntegrityError, transaction

from coordination.access.permissions import NotAllowed
from coordination.access.refusals import NotVisible
from coordination.access.sentences import sentence
from coordination.evidence.actions import hand_in, hand_in_many
from coordination.evidence.arrivals import take_in
from coordination.evidence.entering import EnteredFor
from coordination.evidence.items import HandIn
from coordination.evidence.models import Evidence
from coordination.evidence.queries import evidence_by_uid, shown_for
from coordination.evidence.refusals import NotAReading, NotHandedIn, SayForWhom, TermsMovedOn
from coordination.evidence.sentences import SENTENCES
from coordination.evidence.series import CellsNotRead
from coordination.gates.refusals import OutOfTolerance
from coordination.record.models import Event
from coordination.record.queries import newest
from tests.gates.series_sites import SURVEY, SURVEYED, WHOLE, asked, measured, with_series
from tests.gates.sites import BACKING, INCH, JOB, ROUGH, TEXTED, build, picture, with_requirement
from tests.gates.test_changes import TIGHTER
from tests.projects.small_plans import without_task

LEFT, SPREAD = "backing@rail-wall#left", "backing@rail-wall#spread"
RECEPTACLE, INSPECTION = "rough@pit#receptacle", "rough@pit#inspection"


def keys(refusal):
    return [reason.key for reason in refusal.value.reasons]


def shown(site, key):
    need = site.need(key)
    return shown_for([need])[need.pk]


def photos(site, count):
    arrived = [take_in(site.project, picture(n), kind="photo", file_name=f"{n}.jpg") for n in range(count)]
    return [HandIn(uuid.uuid4(), blob=item.blob, image=item.image) for item in arrived]


def test_several_photos_are_one_decision(site):
    site.start(BACKING.key, "framer")
    before = Event.objects.filter(stream=site.project.stream).count()
    rows = hand_in_many(site.project, site.who("framer"), site.step(), site.need(LEFT).uid, photos(site, 4))
    assert (len(rows), Event.objects.filter(stream=site.project.stream).count()) == (4, before + 1)
    assert [item["uid"] for item in newest(site.project.stream, most=1)[0].body["items"]] == [
        str(row.uid) for row in rows
    ]
    assert shown(site, LEFT).outcome == "handed in"


def test_what_is_sent_again_after_a_dead_spot_is_the_same_item(site):
    site.start(BACKING.key, "framer")
    first, second, third = photos(site, 3)
    need, framer = site.need(LEFT).uid, site.who("framer")
    sent = hand_in_many(site.project, framer, site.step(), need, [first, second])
    again = hand_in_many(site.project, framer, site.step(), need, [first, second, third])
    assert (again[:2], Evidence.objects.count()) == (sent, 3)


def test_a_key_that_was_used_for_something_else_is_refused(site):
    site.start(BACKING.key, "framer")
    item = HandIn(uuid.uuid4(), typed='30"')
    site.hand_in(SPREAD, "framer", item)
    with pytest.raises(NotHandedIn, match="sent before"):
        site.hand_in(LEFT, "framer", item)


def test_work_that_has_not_begun_shows_nothing(site):
    with pytest.raises(NotHandedIn, match="work not begun"):
        site.read(SPREAD, "framer", '30"')


def read_at(site, taken_at, at):
    item = HandIn(uuid.uuid4(), typed='30"', instrument="tape", taken_at=taken_at)
    return hand_in(site.project, site.who("framer"), at, site.need(SPREAD).uid, item)


def test_a_reading_says_when_it_was_taken(site):
    site.start(BACKING.key, "framer")
    taken, at = site.step(), site.step(days=2)
    row = read_at(site, taken, at)
    assert (row.taken_at, row.received_at) == (taken, at)
    assert newest(site.project.stream, most=1)[0].body["items"][0]["taken_at"] == taken.isoformat()
    ahead = at + timedelta(minutes=9)
    assert read_at(site, ahead, at).taken_at == ahead


def test_no_reading_is_taken_ahead_or_before_its_work_was_begun(site):
    site.start(BACKING.key, "framer")
    site.step(days=2)
    zone, begun = ZoneInfo(site.project.zone), site.task(BACKING.key).begun_on
    midnight = datetime.combine(begun, time(), zone)
    assert read_at(site, midnight, site.at).taken_at == midnight
    for taken, key in (
        (site.at + timedelta(minutes=11), "taken ahead"),
        (midnight - timedelta(minutes=1), "taken before the work"),
    ):
        with pytest.raises(NotHandedIn) as refusal:
            read_at(site, taken, site.at)
        assert keys(refusal) == [key]
        said = sentence(refusal.value.reasons[0], SENTENCES)
        assert taken.astimezone(zone).strftime("%H:%M") in said
        assert ("Mon 2 Mar 2026)" in said) == (key == "taken before the work")
    assert Evidence.objects.count() == 1


def test_what_was_read_without_signal_counts_from_the_day_on_which_begin_was_pressed(site):
    pressed = site.step()
    read = site.step()
    site.step(days=2)
    site.start(BACKING.key, "framer", sent_at=pressed)
    assert site.task(BACKING.key).begun_on > read.date()
    assert read_at(site, read, site.step()).taken_at == read
    with pytest.raises(NotHandedIn):
        read_at(site, pressed - timedelta(days=1), site.step())


def test_what_is_accepted_is_withdrawn_first(site):
    site.start(BACKING.key, "framer")
    site.read(SPREAD, "framer", '30"')
    site.read(SPREAD, "framer", '30 1/2"')
    site.review(SPREAD, "coordinator")
    with pytest.raises(NotHandedIn, match="already accepted"):
        site.read(SPREAD, "framer", '29 1/2"')


def test_where_nobody_reviews_photos_may_be_added_until_the_work_is_finished(site):
    site.start(ROUGH.key, "electrician")
    site.photo(RECEPTACLE, "electrician")
    site.photo(RECEPTACLE, "electrician")
    site.document(INSPECTION, "contractor")
    site.offer(ROUGH.key, "electrician")
    with pytest.raises(NotHandedIn, match="already accepted"):
        site.photo(RECEPTACLE, "electrician")


def test_terms_that_moved_on_are_looked_at_again(site):
    site.start(BACKING.key, "framer")
    seen = site.need(SPREAD).terms_sha
    site.accept(with_requirement(JOB, BACKING.key, TIGHTER))
    with pytest.raises(TermsMovedOn, match="terms changed"):
        site.read(SPREAD, "framer", '30"', terms_sha=seen)
    site.read(SPREAD, "framer", '30"', terms_sha=site.need(SPREAD).terms_sha)


def test_what_is_no_longer_asked_for_is_not_taken(site):
    site.start(ROUGH.key, "electrician")
    site.accept(without_task(JOB, ROUGH.key))
    with pytest.raises(TermsMovedOn, match="no longer asked for"):
        site.photo(RECEPTACLE, "electrician")


def test_only_an_authoritys_own_document_with_number_date_and_file_releases(site):
    site.start(ROUGH.key, "electrician")
    with pytest.raises(NotHandedIn) as refusal:
        site.hand_in(INSPECTION, "contractor", HandIn(uuid.uuid4()))
    assert keys(refusal) == ["file missing", "number missing", "date missing"]
    with pytest.raises(NotAllowed):
        site.document(INSPECTION, "electrician")
    site.document(INSPECTION, "contractor")
    assert (shown(site, INSPECTION).released, shown(site, INSPECTION).outcome) == (True, "accepted")


def test_each_kind_takes_only_its_own(site):
    site.start(BACKING.key, "framer")
    with pytest.raises(NotHandedIn, match="reading missing"):
        site.hand_in(SPREAD, "framer", HandIn(uuid.uuid4()))
    with pytest.raises(NotHandedIn, match="file missing"):
        site.hand_in(LEFT, "framer", HandIn(uuid.uuid4(), typed="here"))
    with pytest.raises(NotAReading):
        site.read(SPREAD, "framer", "wide")
    with pytest.raises(NotHandedIn, match="nothing chosen"):
        hand_in_many(site.project, site.who("framer"), site.step(), site.need(LEFT).uid, [])
    assert Evidence.objects.count() == 0


def test_an_entry_for_another_says_so_and_whence(site):
    site.start(BACKING.key, "framer")
    with pytest.raises(SayForWhom, match="say for whom"):
        site.read(SPREAD, "contractor", '30"')
    with pytest.raises(SayForWhom, match="say the source"):
        site.read(SPREAD, "contractor", '30"', for_other=EnteredFor(" "))
    row = site.read(SPREAD, "contractor", '30"', for_other=TEXTED)
    assert (row.sender_name, row.entered_for, row.entry_source) == (
        "Ana Ruiz",
        "Copper Creek Framing",
        "texted photo",
    )
    row.entry_source = ""
    with pytest.raises(IntegrityError, match="an_entry_for_another"), transaction.atomic():
        row.save()


@pytest.mark.parametrize("name", ["electrician", "other electrician", "owner", "crew"])
def test_others_hand_in_nothing_for_this_trade(site, name):
    site.start(BACKING.key, "framer")
    with pytest.raises(NotAllowed):
        site.read(SPREAD, name, '30"')


def test_a_link_hands_in_for_its_company(site):
    site.start(BACKING.key, "framer")
    item = HandIn(uuid.uuid4(), typed='30"', sent_at=datetime(2026, 3, 1, 9, tzinfo=UTC))
    row = hand_in(
        site.project, site.cast.by_link("framer", site.at), site.step(), site.need(SPREAD).uid, item
    )
    assert (row.sender, row.in_tolerance) == (f"link:{site.cast.links['framer'].uid}", True)
    assert newest(site.project.stream, most=1)[0].claimed_at == item.sent_at


def test_another_projects_requirement_and_file_are_not_there(site):
    other = build("other-")
    site.start(BACKING.key, "framer")
    with pytest.raises(NotVisible):
        hand_in(
            site.project,
            site.who("framer"),
            site.step(),
            other.need(SPREAD).uid,
            HandIn(uuid.uuid4(), typed='30"'),
        )
    with pytest.raises(NotVisible):
        site.hand_in(LEFT, "framer", photos(other, 1)[0])
    row = site.read(SPREAD, "framer", '30"')
    with pytest.raises(NotVisible):
        evidence_by_uid(other.project, row.uid)


# what counts


def test_the_newest_reading_is_the_one_that_is_judged(site):
    site.start(BACKING.key, "framer")
    site.read(SPREAD, "framer", '33"')
    assert (shown(site, SPREAD).outcome, shown(site, SPREAD).in_tolerance) == ("handed in", False)
    site.read(SPREAD, "framer", '30"')
    assert (shown(site, SPREAD).outcome, shown(site, SPREAD).in_tolerance) == ("handed in", True)


def test_something_new_waits_for_review_again_after_a_refusal(site):
    site.start(BACKING.key, "framer")
    site.photo(LEFT, "framer")
    site.review(LEFT, "contractor", "refused", "dark")
    assert (shown(site, LEFT).outcome, shown(site, LEFT).reasons) == ("refused", ("dark",))
    row = site.photo(LEFT, "framer")
    assert (shown(site, LEFT).outcome, len(shown(site, LEFT).reviewable)) == ("handed in", 1)
    site.withdraw(row, "framer")
    assert shown(site, LEFT).outcome == "refused"


def test_withdrawn_evidence_stays_and_counts_no_more(site):
    site.start(BACKING.key, "framer")
    row = site.photo(LEFT, "framer")
    site.withdraw(row, "framer")
    found = shown(site, LEFT)
    assert (found.outcome, len(found.items), len(found.standing)) == ("none", 1, 0)


@pytest.fixture
def measured_site(db):
    return measured()


def test_a_series_is_one_piece_of_evidence_with_every_cell(measured_site):
    site = measured_site
    row = site.read(SURVEY, "framer", WHOLE)
    told = [(cell["row"], cell["column"], cell["typed"], cell["value"]) for cell in row.value["cells"]]
    assert told == [
        ("landing-1", "left-a", '6"', 6 * INCH),
        ("landing-1", "north", '7"', 7 * INCH),
        ("landing-2", "left-a", '6 1/4"', 6 * INCH + INCH // 4),
        ("landing-2", "north", '7"', 7 * INCH),
    ]
    assert (row.in_tolerance, row.typed, row.value["figure"]) == (True, '1/4"', INCH // 4)
    assert newest(site.project.stream, most=1)[0].body["items"][0]["value"] == row.value


def test_a_series_with_a_cell_that_cannot_be_read_keeps_nothing_and_names_the_cell(measured_site):
    site = measured_site
    with pytest.raises(CellsNotRead) as refusal:
        site.read(SURVEY, "framer", WHOLE.replace('6 1/4"', "4 foot").replace("landing-1", "attic"))
    assert [(fault.row, fault.column, fault.typed) for fault in refusal.value.faults] == [("", "", "attic")]
    with pytest.raises(CellsNotRead) as refusal:
        site.read(SURVEY, "framer", WHOLE.replace('6 1/4"', "6 1/4 stone"))
    assert [(fault.row, fault.column, fault.typed) for fault in refusal.value.faults] == [
        ("landing-2", "left-a", "6 1/4 stone")
    ]
    assert Evidence.objects.filter(requirement__key="survey").count() == 0


def test_a_series_with_empty_cells_is_kept_but_cannot_be_accepted(measured_site):
    site = measured_site
    row = site.read(SURVEY, "framer", 'landing-1\t6"\t7"')
    assert (row.in_tolerance, row.value["missing"]) == (
        False,
        [["landing-2", "left-a"], ["landing-2", "north"]],
    )
    with pytest.raises(OutOfTolerance):
        site.review(SURVEY, "coordinator")
    assert site.read(SURVEY, "framer", WHOLE).in_tolerance is True
    with pytest.raises(NotHandedIn):
        site.read(SURVEY, "framer", " ")


def test_what_only_an_authorised_person_takes_names_that_person(db):
    site = build("", with_series(asked("inside", SURVEYED, authorised=True)))
    site.start(BACKING.key, "framer")
    need = site.need("backing@rail-wall#inside").uid
    item = HandIn(uuid.uuid4(), typed=WHOLE)
    with pytest.raises(NotHandedIn) as refusal:
        hand_in(site.project, site.who("framer"), site.step(), need, item)
    assert keys(refusal) == ["say who took it"]
    row = hand_in(site.project, site.who("framer"), site.step(), need, replace(item, taken_by=" Ida Marsh "))
    assert row.taken_by == "Ida Marsh"
    assert newest(site.project.stream, most=1)[0].body["items"][0]["taken_by"] == "Ida Marsh"
