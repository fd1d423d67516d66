"""A newer document in the place of an older one: the older stays readable, and counts until the newer one does."""

import uuid
from dataclasses import replace

import pytest

from coordination.access.permissions import NotAllowed
from coordination.evidence.arrivals import take_in
from coordination.evidence.items import HandIn
from coordination.evidence.models import Evidence
from coordination.evidence.queries import shown_for
from coordination.evidence.refusals import NotHandedIn
from coordination.gates import actions
from coordination.gates.drawing_revision import other_revision
from coordination.gates.queries import look_at
from coordination.gates.rules import check_rules
from coordination.record.queries import newest
from coordination.siteprep.plan import Requirement as Asked
from tests.gates.sites import BACKING, JOB, PRACTICE, ROUGH, build, picture
from tests.projects.small_plans import task

LISTING, CARD = "backing@rail-wall#listing", "rough@pit#inspection"
DRAWING = "drawing-approval@site#approved-drawing"


def paper(task_key, key, **more):
    return Asked(task=task_key, key=key, kind="document", text={"en": key}, source=PRACTICE, **more)


REVIEWED = {"accepts": "contractor", "deputy": "coordinator", "answer_hours": 8}


@pytest.fixture
def site(db):
    backing = replace(
        BACKING, requirements=(*BACKING.requirements, paper(BACKING.key, "listing", **REVIEWED))
    )
    approval = task(
        "drawing-approval@site", "general contractor",
        requirements=(paper("drawing-approval@site", "approved-drawing"),),
    )  # fmt: skip
    tasks = tuple(backing if each.key == BACKING.key else each for each in JOB.tasks)
    site = build("", replace(JOB, tasks=(*tasks, approval)))
    site.start(BACKING.key, "framer")
    site.start(ROUGH.key, "electrician")
    site.start("drawing-approval@site", "contractor")
    return site


def newer(site, older, by, number="D", shade=50, **more):
    arrived = take_in(site.project, picture(shade), kind="document", file_name=f"{number}.jpg")
    item = HandIn(
        uuid.uuid4(), blob=arrived.blob, image=arrived.image, number=number, dated=site.at.date(), **more
    )
    return actions.supersede_document(site.project, site.who(by), site.step(), older.uid, item)


def shown(site, key):
    need = site.need(key)
    return shown_for([need])[need.pk]


def standing(site, key):
    return [item.evidence.number for item in shown(site, key).counted]


def replaced(site, key):
    return [item.evidence.number for item in shown(site, key).items if item.superseded]


def test_an_accepted_paper_counts_until_the_newer_one_is_accepted(site):
    older = site.document(LISTING, "framer", number="C")
    site.review(LISTING, "contractor")
    newer(site, older, "framer")
    assert (shown(site, LISTING).outcome, standing(site, LISTING)) == ("accepted", ["C"])
    assert [item.evidence.number for item in shown(site, LISTING).reviewable] == ["D"]
    site.review(LISTING, "contractor")
    assert (standing(site, LISTING), replaced(site, LISTING)) == (["D"], ["C"])
    assert Evidence.objects.filter(requirement=site.need(LISTING), withdrawn_at__isnull=True).count() == 2


def test_a_newer_paper_that_is_refused_leaves_the_older_one_standing(site):
    older = site.document(LISTING, "framer", number="C")
    site.review(LISTING, "contractor")
    newer(site, older, "framer")
    site.review(LISTING, "contractor", "refused", "a page is missing")
    assert (shown(site, LISTING).outcome, standing(site, LISTING), replaced(site, LISTING)) == (
        "accepted",
        ["C"],
        [],
    )


def test_where_nobody_reviews_it_takes_its_place_at_once(site):
    older = site.document(DRAWING, "contractor", number="C")
    newer(site, older, "contractor")
    assert (standing(site, DRAWING), replaced(site, DRAWING)) == (["D"], ["C"])
    told = newest(site.project.stream, most=1)[0]
    assert (told.verb, told.body["replaces"]) == ("evidence handed in", str(older.uid))
    assert list(check_rules(site.project, site.at)) == []


def test_a_withdrawn_newer_paper_brings_the_older_one_back(site):
    older = site.document(DRAWING, "contractor", number="C")
    site.withdraw(newer(site, older, "contractor"), "contractor")
    assert (standing(site, DRAWING), replaced(site, DRAWING)) == (["C"], [])


def test_only_what_stands_is_replaced_and_only_a_paper(site):
    older = site.document(DRAWING, "contractor", number="C")
    newer(site, older, "contractor")
    with pytest.raises(NotHandedIn) as refusal:
        newer(site, older, "contractor", number="E", shade=51)
    assert refusal.value.reasons[0].key == "superseded already"
    with pytest.raises(NotHandedIn) as refusal:
        newer(site, site.photo("backing@rail-wall#left", "framer"), "framer")
    assert refusal.value.reasons[0].key == "only papers are superseded"
    with pytest.raises(NotAllowed):
        newer(site, older, "framer")


def test_sent_twice_it_is_one_paper(site):
    older = site.document(DRAWING, "contractor", number="C")
    arrived = take_in(site.project, picture(60), kind="document", file_name="D.jpg")
    item = HandIn(uuid.uuid4(), blob=arrived.blob, image=arrived.image, number="D")
    once, again = (
        actions.supersede_document(site.project, site.who("contractor"), site.step(), older.uid, item)
        for _ in "12"
    )
    assert once == again


def test_an_authoritys_newer_card_releases_in_the_place_of_the_older(site):
    older = site.document(CARD, "contractor", number="E-1")
    assert standing(site, CARD) == ["E-1"]
    newer(site, older, "contractor", number="E-2")
    assert (shown(site, CARD).released, standing(site, CARD), replaced(site, CARD)) == (
        True,
        ["E-2"],
        ["E-1"],
    )


def test_another_revision_than_the_plans_is_told(site):
    def told():
        scene = look_at(site.project, site.at)
        return other_revision(scene.holding, replace(JOB, drawing_revision="C"))

    assert told() == ""
    older = site.document(DRAWING, "contractor", number="c")
    assert told() == ""
    newer(site, older, "contractor", number="D")
    assert told() == "D"


def test_a_cleared_gate_that_had_read_the_older_paper_reopens(db):
    site = build()
    site.signed()
    site.clear("close-in")
    card = Evidence.objects.get(requirement=site.need(CARD))
    newer(site, card, "contractor", number="E-78")
    assert site.clearing("close-in").reopened_at == site.at
    told = newest(site.project.stream, most=1)[0].body
    assert [item["gate"] for item in told["reopens"]] == ["close-in"]
    assert list(check_rules(site.project, site.at)) == []
