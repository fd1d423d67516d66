"""Marks over a photo: numbered once, never altered, taken back by who put them, a reason of refusal, frozen."""

import hashlib
import uuid
from datetime import timedelta

import pytest
from django.db import IntegrityError, transaction
from django.utils import translation

from coordination.access.permissions import NotAllowed
from coordination.access.refusals import NotVisible
from coordination.evidence.mark_words import as_read, frozen, line_of, reason_of
from coordination.evidence.marking import MOST, MarkInput, put_mark, take_mark_back
from coordination.evidence.models import Mark, MarkReason, MarkTakenBack, Review
from coordination.evidence.queries import item_of
from coordination.evidence.refusals import NotAReading, NotMarked
from coordination.evidence.sentences import SENTENCES
from coordination.files.keeping import path_of
from coordination.gates.actions import review_requirement, take_back_acceptance
from coordination.gates.queries import look_at, returned
from coordination.gates.refusals import SayWhy
from coordination.gates.rules import check_rules
from coordination.record.models import Event
from coordination.record.queries import newest
from tests.evidence.test_handing_in import keys
from tests.gates.sites import BACKING, INCH, ROUGH, build

LEFT = "backing@rail-wall#left"
RING = ((1000, 2000), (3000, 4000))


@pytest.fixture
def photo(site):
    site.start(BACKING.key, "framer")
    return site.photo(LEFT, "framer")


def put(site, photo, by="contractor", kind="ring", **more):
    told = {"points": RING, "words": "blocking stops short", "sender_key": uuid.uuid4(), **more}
    given = MarkInput(kind=kind, **told)
    return put_mark(site.project, site.who(by), site.step(), photo.uid, given)


def take_back(site, mark, by="contractor"):
    return take_mark_back(site.project, site.who(by), site.step(), mark.uid)


def refuse(site, *marks, reasons=(), by="contractor"):
    need = site.need(LEFT).uid
    uids = [mark.uid for mark in marks]
    return review_requirement(
        site.project, site.who(by), site.step(), need, "refused", reasons=reasons, marks=uids
    )


def standing(photo):
    return [(mark.row.number, mark.row.kind, mark.is_reason) for mark in item_of(photo).marks]


def test_marks_are_numbered_within_their_photo_and_a_number_is_never_given_twice(site, photo):
    other = site.photo(LEFT, "framer")
    first, second = put(site, photo), put(site, photo, "framer", "arrow")
    take_back(site, second, "framer")
    third, elsewhere = put(site, photo), put(site, other)
    assert [row.number for row in (first, second, third, elsewhere)] == [1, 2, 3, 1]
    assert standing(photo) == [(1, "ring", False), (3, "ring", False)]


def test_the_photo_is_untouched_and_the_record_says_what_was_put(site, photo):
    before, length = path_of(photo.blob).read_bytes(), Event.objects.count()
    mark = put(
        site, photo, "coordinator", "dimension", points=((0, 0), (10_000, 50)), words="", typed='28 3/4"'
    )
    event = newest(site.project.stream, most=1)[0]
    assert (Event.objects.count(), event.verb, event.subject) == (length + 1, "photo marked", LEFT)
    assert event.body == {
        "evidence": str(photo.uid),
        "mark": str(mark.uid),
        "number": 1,
        "kind": "dimension",
        "points": [[0, 0], [10_000, 50]],
        "words": "",
        "typed": '28 3/4"',
        "length": 28 * INCH + INCH * 3 // 4,
    }  # fmt: skip
    assert path_of(photo.blob).read_bytes() == before
    assert hashlib.sha256(before).hexdigest() == photo.blob.sha256


def test_pressed_twice_it_is_one_mark_and_its_key_serves_no_other_photo(site, photo):
    key, other = uuid.uuid4(), site.photo(LEFT, "framer")
    assert put(site, photo, sender_key=key) == put(site, photo, sender_key=key)
    with pytest.raises(NotMarked) as refusal:
        put(site, other, sender_key=key)
    assert (keys(refusal), Mark.objects.count()) == (["put before elsewhere"], 1)


@pytest.mark.parametrize(
    ("by", "may"),
    [
        ("coordinator", True),
        ("contractor", True),
        ("framer", True),
        ("crew", True),
        ("electrician", False),
        ("owner", False),
    ],
)
def test_whoever_may_hand_it_in_review_it_or_build_on_it_marks_it(site, photo, by, may):
    if may:
        assert put(site, photo, by).by_name == site.who(by).name
        return
    with pytest.raises(NotAllowed):
        put(site, photo, by)
    assert Mark.objects.count() == 0


def test_nobody_of_another_site_finds_the_photo_or_the_mark(site, photo):
    mark, far = put(site, photo), build("far.")
    with pytest.raises(NotVisible):
        put(far, photo)
    with pytest.raises(NotVisible):
        take_back(far, mark)


def test_an_authoritys_document_is_nobodys_own_to_mark(site):
    site.start(ROUGH.key, "electrician")
    card = site.document("rough@pit#inspection", "contractor")
    with pytest.raises(NotAllowed):
        put(site, card, "electrician")
    assert put(site, card, "contractor").number == 1


@pytest.mark.parametrize(
    ("given", "why"),
    [
        ({"points": ((0, 0), (10_001, 5))}, ["mark off the photo"]),
        ({"points": ((-1, 0), (5, 5))}, ["mark off the photo"]),
        ({"points": ((7, 7), (7, 7))}, ["mark without size"]),
        ({"words": "  "}, ["mark without words"]),
        ({"kind": "dimension", "typed": " "}, ["dimension without length"]),
        ({"points": ((7, 7), (7, 7)), "words": ""}, ["mark without size", "mark without words"]),
    ],
)
def test_what_is_wrong_with_a_mark_is_said_at_once_and_in_full(site, photo, given, why):
    with pytest.raises(NotMarked) as refusal:
        put(site, photo, **given)
    assert keys(refusal) == why
    assert all(SENTENCES[key] for key in why)
    assert Mark.objects.count() == 0


def test_a_length_is_read_as_people_type_it_or_refused(site, photo):
    assert put(site, photo, kind="dimension", typed="2857 mm").length == 2_857_000_000
    with pytest.raises(NotAReading):
        put(site, photo, kind="dimension", typed="a hand")


def test_only_a_standing_photo_is_marked_and_not_without_end(site, photo):
    reading = site.read("backing@rail-wall#spread", "framer", '30"')
    with pytest.raises(NotMarked) as refusal:
        put(site, reading)
    assert keys(refusal) == ["no photo to mark"]
    for _number in range(MOST):
        put(site, photo)
    with pytest.raises(NotMarked) as refusal:
        put(site, photo)
    assert keys(refusal) == ["too many marks"]
    site.withdraw(photo, "framer")
    with pytest.raises(NotMarked) as refusal:
        put(site, photo)
    assert keys(refusal) == ["withdrawn already", "too many marks"]


def test_who_put_it_takes_it_back_once_and_nobody_else_does(site, photo):
    mark = put(site, photo, "contractor")
    with pytest.raises(NotMarked) as refusal:
        take_back(site, mark, "framer")
    [reason] = refusal.value.reasons
    assert str(SENTENCES[reason.key]) % reason.args == "Only Ana Ruiz, who put this mark, takes it back."
    before = Event.objects.count()
    assert take_back(site, mark) == take_back(site, mark) == mark
    assert (Event.objects.count(), MarkTakenBack.objects.count(), standing(photo)) == (before + 1, 1, [])


def test_marks_are_reasons_of_a_refusal_and_stay_then(site, photo):
    ring, arrow = put(site, photo), put(site, photo, "framer", "arrow", words="here")
    [review] = refuse(site, ring, reasons=["too dark"])
    assert review.reasons == ["Mark 1: blocking stops short", "too dark"]
    assert [(row.review, row.mark) for row in MarkReason.objects.all()] == [(review, ring)]
    assert newest(site.project.stream, most=1)[0].body["marks"] == [str(ring.uid)]
    assert standing(photo) == [(1, "ring", True), (2, "arrow", False)]
    scene = look_at(site.project, site.at)
    told = returned(scene, scene.holding.task_by_key[BACKING.key])
    assert [item.reasons for item in told] == [("Mark 1: blocking stops short", "too dark")]
    with pytest.raises(NotMarked) as refusal:
        take_back(site, ring)
    assert keys(refusal) == ["mark is a reason"]
    assert take_back(site, arrow, "framer") == arrow


def test_a_mark_is_reason_enough_and_a_refusal_without_any_is_none(site, photo):
    mark = put(site, photo)
    with pytest.raises(SayWhy):
        refuse(site)
    assert [row.reasons for row in refuse(site, mark)] == [["Mark 1: blocking stops short"]]


def test_a_mark_that_does_not_stand_on_the_photo_is_no_reason(site, photo):
    gone = put(site, photo)
    take_back(site, gone)
    for mark in (gone, Mark(uid=uuid.uuid4())):
        with pytest.raises(SayWhy) as refusal:
            refuse(site, mark, reasons=["too dark"])
        assert keys(refusal) == ["no such mark"]
    assert Review.objects.count() == 0


def test_of_two_photos_each_review_carries_the_marks_of_its_own(site, photo):
    other = site.photo(LEFT, "framer")
    here, there = put(site, photo), put(site, other, words="no tape")
    rows = refuse(site, there, here)
    named = {row.mark: row.review.evidence for row in MarkReason.objects.all()}
    assert named == {here: photo, there: other}
    assert {tuple(row.reasons) for row in rows} == {("Mark 1: blocking stops short", "Mark 1: no tape")}


def test_an_acceptance_is_taken_back_for_a_mark_that_was_put_afterwards(site, photo):
    site.review(LEFT, "contractor")
    mark, need = put(site, photo), site.need(LEFT).uid
    [row] = take_back_acceptance(
        site.project, site.who("contractor"), site.step(), need, [], marks=[mark.uid]
    )
    assert (row.outcome, row.reasons) == ("refused", ["Mark 1: blocking stops short"])


def test_an_accepted_photo_keeps_its_marks_and_no_reasons(site, photo):
    mark = put(site, photo)
    [review] = review_requirement(
        site.project, site.who("contractor"), site.step(), site.need(LEFT).uid, "accepted", marks=[mark.uid]
    )
    assert (review.reasons, MarkReason.objects.count(), standing(photo)) == ([], 0, [(1, "ring", False)])


def test_the_rules_go_on_holding(site, photo):
    mark = put(site, photo)
    take_back(site, put(site, photo))
    refuse(site, mark)
    assert check_rules(site.project, site.at + timedelta(minutes=1)) == []


@pytest.mark.parametrize(
    ("altered", "constraint"),
    [
        ({"kind": "pin"}, "a_mark_is_an_arrow_a_ring_or_a_dimension"),
        ({"x1": 10_001}, "a_mark_lies_on_the_photo"),
        ({"x2": 1000, "y2": 2000}, "a_mark_has_two_points"),
        ({"words": ""}, "a_mark_says_something"),
        ({"kind": "dimension"}, "a_mark_says_something"),
        ({"number": 1}, "UNIQUE constraint failed|one_mark_per_number"),
    ],
)
def test_the_database_refuses_what_can_never_be_so(site, photo, altered, constraint):
    first = put(site, photo)
    told = {name: getattr(first, name) for name in ("x1", "y1", "x2", "y2", "kind", "words", "by", "at")}
    told |= {"evidence": photo, "sender_key": uuid.uuid4(), "number": 2, "event": first.event}
    with pytest.raises(IntegrityError, match=constraint), transaction.atomic():
        Mark.objects.create(**{**told, **altered})


def test_the_reason_a_mark_gives_is_read_in_the_readers_language(site, photo):
    mark = frozen(put(site, photo))
    with translation.override("es"):
        written = reason_of(mark)
    assert [as_read(written), as_read(reason_of(mark)), as_read("too dark")] == [
        "Mark 1: blocking stops short",
        "Mark 1: blocking stops short",
        "too dark",
    ]
    with translation.override("es"):
        assert as_read("Mark 1: blocking stops short") == written


def test_a_mark_in_words_says_number_kind_place_and_what(site, photo):
    rows = [
        put(site, photo, points=((100, 3000), (5000, 3600))),
        put(site, photo, kind="arrow", points=((5000, 5000), (9900, 9900)), words="open joint"),
        put(
            site, photo, kind="dimension", points=((4000, 5000), (6000, 5100)), words="clear", typed='28 3/4"'
        ),
    ]
    assert [line_of(frozen(row)) for row in rows] == [
        "1, ring, left side, a third down: blocking stops short",
        "2, arrow, at the right edge, at the bottom: open joint",
        '3, dimension, middle, halfway down: 28 3/4", clear',
    ]  # fmt: skip
