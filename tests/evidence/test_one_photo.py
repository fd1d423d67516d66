"""One photo for several views of a visit: one file, one decision, a row for each view, harmless when sent twice."""

import uuid
from dataclasses import replace

import pytest

from coordination.access.refusals import NotVisible
from coordination.evidence.arrivals import take_in
from coordination.evidence.items import HandIn
from coordination.evidence.models import Evidence
from coordination.evidence.one_photo import AlsoShown, hand_in_photos
from coordination.evidence.queries import shown_for
from coordination.evidence.refusals import NotHandedIn
from coordination.files.models import Blob
from coordination.gates.rules import check_rules
from coordination.record.models import Event
from coordination.record.queries import newest
from tests.gates.sites import BACKING, JOB, ROUGH, build, picture
from tests.projects.small_plans import photo, task

STUDS = task(
    "studs@rail-wall",
    "framing",
    requirements=(photo("studs@rail-wall", "corner", accepts="contractor", deputy="coordinator"),),
)
LEFT, RIGHT, CORNER = "backing@rail-wall#left", "backing@rail-wall#right", "studs@rail-wall#corner"


def visited():
    """Two pieces of the framer's work at one place, both begun; the electrician's begun too."""
    right = photo(BACKING.key, "right", accepts="contractor", deputy="coordinator", answer_hours=16)
    backing = replace(BACKING, requirements=(*BACKING.requirements, right))
    tasks = tuple(backing if each.key == BACKING.key else each for each in JOB.tasks)
    site = build("", replace(JOB, tasks=(*tasks, STUDS)))
    for key, who in ((BACKING.key, "framer"), (STUDS.key, "framer"), (ROUGH.key, "electrician")):
        site.start(key, who)
    return site


@pytest.fixture
def site(db):
    return visited()


def shot(site, shade=1):
    arrived = take_in(site.project, picture(shade), kind="photo", file_name="wall.jpg")
    return HandIn(uuid.uuid4(), blob=arrived.blob, image=arrived.image, file_name="wall.jpg")


def also(site, *keys):
    return [AlsoShown(need.uid, need.terms_sha) for need in map(site.need, keys)]


def hand_in(site, item, *keys, first=LEFT, **more):
    need = site.need(first).uid
    return hand_in_photos(
        site.project, site.who("framer"), site.step(), need, [item], also=also(site, *keys), **more
    )


def outcome(site, key):
    need = site.need(key)
    return shown_for([need])[need.pk].outcome


def test_one_photo_counts_for_every_view_it_was_ticked_for(site):
    events = Event.objects.filter(stream=site.project.stream).count()
    handed = hand_in(site, shot(site), RIGHT, CORNER)
    assert [str(row.requirement) for row in (*handed.rows, *handed.others)] == [LEFT, RIGHT, CORNER]
    assert (Blob.objects.count(), Evidence.objects.count()) == (1, 3)
    assert Event.objects.filter(stream=site.project.stream).count() == events + 1
    told = newest(site.project.stream, most=1)[0].body
    assert [part["requirement"] for part in (told, *told["also"])] == [LEFT, RIGHT, CORNER]
    assert [outcome(site, key) for key in (LEFT, RIGHT, CORNER)] == ["handed in"] * 3
    assert list(check_rules(site.project, site.at)) == []


def test_sent_again_it_is_the_same(site):
    item = shot(site)
    first, again = hand_in(site, item, RIGHT), hand_in(site, item, RIGHT)
    assert (first.rows, first.others) == (again.rows, again.others)
    assert Evidence.objects.count() == 2
    third = hand_in(site, item, RIGHT, CORNER)
    assert (len(third.rows), len(third.others), Evidence.objects.count()) == (1, 2, 3)


def test_each_view_is_judged_by_itself(site):
    hand_in(site, shot(site), RIGHT)
    site.review(LEFT, "contractor")
    site.review(RIGHT, "contractor", "refused", "not in the picture")
    assert [outcome(site, key) for key in (LEFT, RIGHT)] == ["accepted", "refused"]


def test_what_was_settled_meanwhile_is_left_out_and_said_and_nothing_is_lost(site):
    site.photo(RIGHT, "framer")
    site.review(RIGHT, "contractor")
    handed = hand_in(site, shot(site, 99), RIGHT, CORNER)
    assert [reason.key for reason in handed.left_out] == ["already accepted"]
    assert [str(row.requirement) for row in (*handed.rows, *handed.others)] == [LEFT, CORNER]


def test_another_trades_or_places_view_is_not_of_this_visit(site):
    handed = hand_in(site, shot(site), "rough@pit#receptacle", "backing@rail-wall#spread", LEFT)
    assert [reason.key for reason in handed.left_out] == ["not of this visit"] * 3
    assert [str(row.requirement) for row in Evidence.objects.all().select_related("requirement__task")] == [
        LEFT
    ]


def test_a_view_of_another_site_is_not_there(site):
    far = build("far.")
    with pytest.raises(NotVisible):
        hand_in_photos(
            site.project, site.who("framer"), site.step(), site.need(LEFT).uid, [shot(site)],
            also=[AlsoShown(far.need(LEFT).uid)],
        )  # fmt: skip
    assert Evidence.objects.count() == 0


def test_what_is_asked_first_must_be_takable(site):
    site.photo(LEFT, "framer")
    site.review(LEFT, "contractor")
    with pytest.raises(NotHandedIn):
        hand_in(site, shot(site, 98), RIGHT)
    assert outcome(site, RIGHT) == "none"
