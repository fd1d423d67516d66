"""Marks and a refused handoff: on the offered work's photos as reasons, and over the photos that came with it."""

import json
import uuid
from dataclasses import replace

import pytest

from coordination.access.permissions import NotAllowed
from coordination.access.refusals import NotVisible
from coordination.evidence.marking import MOST, MarkInput, put_mark, take_mark_back
from coordination.evidence.models import MarkNamed
from coordination.evidence.queries import item_of
from coordination.evidence.refusals import NotMarked
from coordination.gates.actions import make_reason, put_answer_mark, take_answer_mark_back
from coordination.gates.models import Answer, AnswerMark, AnswerMarkReason, AnswerPhoto
from coordination.gates.queries import look_at, returned
from coordination.gates.refusal_photos import make_copies, marks_on, without_copies
from coordination.gates.refusals import SayWhy
from coordination.gates.rules import check_rules
from coordination.handover.composing import compose_gate_report
from coordination.record.queries import newest
from tests.evidence.test_handing_in import keys
from tests.gates.sites import BACKING, RAILS, build
from tests.gates.test_refusal_photos import LEFT, SPREAD, seen

RING = MarkInput(uuid.uuid4(), "ring", ((1000, 2000), (3000, 4000)), "anchor side is open")


@pytest.fixture
def photo(site):
    site.start(BACKING.key, "framer")
    row = site.photo(LEFT, "framer")
    site.read(SPREAD, "framer", '30"')
    return row


@pytest.fixture
def offer(site, photo):
    return site.offer(BACKING.key, "framer")


@pytest.fixture
def attached(site, offer) -> AnswerPhoto:
    site.answer(offer, RAILS.key, "crew", "refused", "does not fit", photos=[seen(site, 200)])
    return AnswerPhoto.objects.get()


def given(**more):
    return replace(RING, sender_key=uuid.uuid4(), **more)


def put(site, photo, by="crew", **more):
    return put_answer_mark(site.project, site.who(by), site.step(), photo.uid, given(**more))


def to_reasons(site, mark, by="crew"):
    return make_reason(site.project, site.who(by), site.step(), mark.uid)


def take_back(site, mark, by="crew"):
    return take_answer_mark_back(site.project, site.who(by), site.step(), mark.uid)


def standing(photo):
    return [(mark.row.number, mark.is_reason) for mark in marks_on([photo])[photo.pk]]


# ---- over the photos of the offered work: a reason where the refusal is written
def test_the_receiver_marks_the_offered_work_and_the_mark_is_a_reason(site, photo, offer):
    mark, other = (
        put_mark(site.project, site.who("crew"), site.step(), photo.uid, given(words=words))
        for words in ("anchor side is open", "not this one")
    )
    site.answer(offer, RAILS.key, "crew", "refused", "does not fit", marks=[mark.uid])
    assert Answer.objects.get().reasons == ["Mark 1: anchor side is open", "does not fit"]
    assert MarkNamed.objects.get().mark == mark
    assert [(each.row.number, each.is_reason) for each in item_of(photo).marks] == [(1, True), (2, False)]
    assert newest(site.project.stream, most=1)[0].body["marks"] == [str(mark.uid)]
    with pytest.raises(NotMarked) as refusal:
        take_mark_back(site.project, site.who("crew"), site.step(), mark.uid)
    assert keys(refusal) == ["mark is a reason"]
    take_mark_back(site.project, site.who("crew"), site.step(), other.uid)
    assert check_rules(site.project, site.at) == []


def test_a_mark_alone_is_reason_enough_and_pressed_twice_it_is_named_once(site, photo, offer):
    mark = put_mark(site.project, site.who("crew"), site.step(), photo.uid, given())
    for _press in range(2):
        site.answer(offer, RAILS.key, "crew", "refused", marks=[mark.uid])
    assert (Answer.objects.get().reasons, MarkNamed.objects.count()) == (["Mark 1: anchor side is open"], 1)


def test_a_mark_that_does_not_stand_on_the_offered_work_refuses_nothing(site, photo, offer):
    mark = put_mark(site.project, site.who("crew"), site.step(), photo.uid, given())
    take_mark_back(site.project, site.who("crew"), site.step(), mark.uid)
    for uid in (mark.uid, uuid.uuid4()):
        with pytest.raises(SayWhy) as refusal:
            site.answer(offer, RAILS.key, "crew", "refused", "does not fit", marks=[uid])
        assert keys(refusal) == ["no such mark"]
    assert Answer.objects.count() == 0


def test_an_acceptance_names_no_mark(site, photo, offer):
    mark = put_mark(site.project, site.who("crew"), site.step(), photo.uid, given())
    site.answer(offer, RAILS.key, "crew", marks=[mark.uid])
    assert (Answer.objects.get().outcome, MarkNamed.objects.count()) == ("accepted", 0)


# ---- over the photos that came with the refusal
def test_one_made_a_reason_stands_on_top_of_the_work_that_came_back(site, attached):
    to_reasons(site, put(site, attached))
    put(site, attached, words="only to be seen")
    scene = look_at(site.project, site.at)
    [back] = returned(scene, scene.holding.task_by_key[BACKING.key])
    assert back.reasons == ("does not fit", "Mark 1: anchor side is open")


def test_marks_are_numbered_and_one_made_a_reason_stays(site, attached):
    first, second = put(site, attached), put(site, attached, "framer", words="this is the old one")
    to_reasons(site, first)
    take_back(site, second, "framer")
    third = put(site, attached, kind="dimension", words="", typed='14"')
    assert [row.number for row in (first, second, third)] == [1, 2, 3]
    assert standing(attached) == [(1, True), (3, False)]
    with pytest.raises(NotMarked) as refusal:
        take_back(site, first)
    assert keys(refusal) == ["mark is a reason"]
    assert check_rules(site.project, site.at) == []


def test_the_record_says_what_was_put_and_what_became_a_reason(site, attached):
    mark = put(site, attached)
    event = newest(site.project.stream, most=1)[0]
    assert (event.verb, event.subject, event.body["photo"]) == (
        "photo marked",
        BACKING.key,
        str(attached.uid),
    )
    for _press in range(2):
        to_reasons(site, mark)
    event = newest(site.project.stream, most=1)[0]
    assert (event.verb, event.subject) == ("mark made a reason", BACKING.key)
    assert event.body == {
        "photo": str(attached.uid),
        "mark": str(mark.uid),
        "number": 1,
        "reason": "Mark 1: anchor side is open",
    }
    assert AnswerMarkReason.objects.count() == 1


@pytest.mark.parametrize(
    ("by", "marks", "reasons"),
    [
        ("coordinator", True, True),
        ("contractor", True, True),
        ("framer", True, False),
        ("crew", True, True),
        ("electrician", False, False),
        ("owner", False, False),
    ],
)
def test_both_sides_mark_and_the_refusing_one_gives_reasons(site, attached, by, marks, reasons):
    if not marks:
        with pytest.raises(NotAllowed):
            put(site, attached, by)
        return
    mark = put(site, attached, by)
    if reasons:
        to_reasons(site, mark, by)
        assert standing(attached) == [(1, True)]
        return
    with pytest.raises(NotAllowed):
        to_reasons(site, mark, by)


def test_only_ones_own_mark_is_taken_back_or_made_a_reason(site, attached):
    mark = put(site, attached, "framer")
    for press, by in ((to_reasons, "crew"), (take_back, "crew"), (take_back, "contractor")):
        with pytest.raises(NotMarked) as refusal:
            press(site, mark, by)
        assert keys(refusal) == ["mark of another"]
    take_back(site, mark, "framer")
    take_back(site, mark, "framer")
    own = put(site, attached)
    take_back(site, own)
    with pytest.raises(NotMarked) as refusal:
        to_reasons(site, own)
    assert keys(refusal) == ["no such mark"]


def test_what_is_wrong_with_a_mark_is_said_and_pressed_twice_it_is_one(site, attached):
    same = given()
    rows = [
        put_answer_mark(site.project, site.who("crew"), site.step(), attached.uid, same)
        for _press in range(2)
    ]
    assert rows[0] == rows[1]
    with pytest.raises(NotMarked) as refusal:
        put(site, attached, words=" ", points=((5, 5), (5, 5)))
    assert keys(refusal) == ["mark without size", "mark without words"]
    for _more in range(MOST - 1):
        put(site, attached)
    with pytest.raises(NotMarked) as refusal:
        put(site, attached)
    assert (keys(refusal), AnswerMark.objects.count()) == (["too many marks"], MOST)


def test_nobody_of_another_site_finds_photo_or_mark(site, attached):
    mark, far = put(site, attached), build("far.")
    for press in (
        lambda: put(far, attached, "contractor"),
        lambda: take_back(far, mark, "contractor"),
        lambda: to_reasons(far, mark, "contractor"),
    ):
        with pytest.raises(NotVisible):
            press()


def test_the_marks_stand_in_the_snapshot_and_are_drawn_and_said_on_the_paper(site, attached):
    make_copies(without_copies()[0])
    to_reasons(site, put(site, attached))
    again = site.offer(BACKING.key, "framer")
    site.review(LEFT, "contractor"), site.review(SPREAD, "coordinator")
    site.answer(again, RAILS.key, "crew")
    site.inspect(), site.settle()
    site.sign("close-in", "contractor"), site.sign("close-in", "crew")
    clearing = site.clear("close-in")
    put(site, attached, words="came later")
    task = next(task for task in json.loads(bytes(clearing.snapshot))["tasks"] if task["key"] == BACKING.key)
    [mark] = task["refusals"][0]["photos"][0]["marks"]
    assert (mark["number"], mark["kind"], mark["reason"]) == (1, "ring", True)
    assert task["refusals"][0]["reasons"] == ["does not fit", "Mark 1: anchor side is open"]
    composed = compose_gate_report(clearing, language="en-us", paper="letter")
    assert f'<img src="marked/{attached.uid}.svg"' in composed.html
    assert b"came later" not in composed.resources[f"marked/{attached.uid}.svg"]
    assert "anchor side is open (Lou Becker; why it was refused)" in composed.html
