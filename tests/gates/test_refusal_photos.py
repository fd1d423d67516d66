"""Photos with a refused handoff: originals as they came, copies for everybody, in the record, the rules, the paper."""

import io
import json

import pytest
from PIL import Image

from coordination.console.background_work import WORKS
from coordination.console.evidence_check import check_evidence
from coordination.evidence.arrivals import take_in
from coordination.files.keeping import path_of, verify
from coordination.files.letting_go import unclaimed
from coordination.gates.actions.answering import Seen
from coordination.gates.models import Answer, AnswerPhoto, AnswerPhotoCopy
from coordination.gates.refusal_photos import ensure_copies, make_copies, photos_of, without_copies
from coordination.gates.rules import check_rules
from coordination.handover.composing import compose_gate_report
from coordination.handover.numbered import numbers_of
from coordination.record.queries import newest
from tests.gates.sites import BACKING, RAILS, Site, picture

LEFT, SPREAD = "backing@rail-wall#left", "backing@rail-wall#spread"


def seen(site: Site, shade: int, name: str = "wrong.jpg") -> Seen:
    arrived = take_in(site.project, picture(shade), kind="photo", file_name=name)
    return Seen(arrived.blob, name, arrived.image, arrived.taken_at)


@pytest.fixture
def offer(site):
    site.start(BACKING.key, "framer")
    site.photo(LEFT, "framer")
    site.read(SPREAD, "framer", '30"')
    return site.offer(BACKING.key, "framer")


def refuse(site, offer, *photos):
    return site.answer(offer, RAILS.key, "crew", "refused", "anchor side is open", photos=photos)


def test_originals_are_kept_whole_and_the_record_names_them(site, offer):
    first, second = seen(site, 200), seen(site, 201)
    refuse(site, offer, first, second, first)
    rows = list(AnswerPhoto.objects.order_by("pk"))
    assert [(row.blob, row.file_name) for row in rows] == [
        (first.blob, "wrong.jpg"),
        (second.blob, "wrong.jpg"),
    ]
    assert path_of(rows[0].blob).read_bytes() == picture(200)
    assert newest(site.project.stream, most=1)[0].body["photos"] == [first.blob.sha256, second.blob.sha256]
    assert check_rules(site.project, site.at) == []


def test_an_acceptance_carries_none(site, offer):
    site.answer(offer, RAILS.key, "crew", photos=[seen(site, 200)])
    assert (AnswerPhoto.objects.count(), Answer.objects.get().outcome) == (0, "accepted")


def test_pressed_twice_they_are_there_once(site, offer):
    photo = seen(site, 200)
    for _press in range(2):
        refuse(site, offer, photo)
    assert AnswerPhoto.objects.count() == 1


def test_copies_are_found_from_state_and_made_once(site, offer):
    refuse(site, offer, seen(site, 200))
    (key,) = without_copies()
    for _again in range(2):
        make_copies(key)
    assert (without_copies(), sorted(AnswerPhotoCopy.objects.values_list("size", flat=True))) == (
        [],
        [320, 1600],
    )
    assert "refusal photos" in [work.kind for work in WORKS]


def test_a_killed_worker_leaves_nothing_that_the_next_one_does_not_finish(site, offer, monkeypatch):
    refuse(site, offer, seen(site, 200))
    (key,) = without_copies()
    with monkeypatch.context() as patch:
        patch.setattr(
            AnswerPhotoCopy.objects, "get_or_create", lambda **told: (_ for _ in ()).throw(SystemExit)
        )
        with pytest.raises(SystemExit):
            make_copies(key)
    assert without_copies() == [key]
    make_copies(key)
    assert without_copies() == []


def test_copies_say_nothing_of_where_and_the_original_stays_as_it_was(site, offer):
    file = io.BytesIO()
    exif = Image.Exif()
    exif.get_ifd(0x8825)[1] = "N"
    exif.get_ifd(0x8825)[2] = (47.0, 30.0, 0.0)
    Image.new("RGB", (400, 300), (10, 90, 90)).save(file, "JPEG", exif=exif)
    arrived = take_in(site.project, file.getvalue(), kind="photo", file_name="where.jpg")
    assert arrived.image["has_position"] is True
    refuse(site, offer, Seen(arrived.blob, "where.jpg", arrived.image))
    copies = ensure_copies(AnswerPhoto.objects.get())
    for copy in copies.values():
        with Image.open(path_of(copy.blob)) as opened:
            assert dict(opened.getexif()) == {}
    verify(arrived.blob)
    assert check_rules(site.project, site.at) == []


def test_nobody_lets_go_of_them(site, offer):
    refuse(site, offer, seen(site, 200))
    make_copies(without_copies()[0])
    claimed = {str(AnswerPhoto.objects.get().blob_id)} | {
        str(row.blob_id) for row in AnswerPhotoCopy.objects.all()
    }
    assert claimed & set(unclaimed(site.step(days=30))) == set()


def test_a_lost_original_is_named_with_what_it_was_for_and_a_lost_copy_is_made_again(site, offer):
    refuse(site, offer, seen(site, 200))
    make_copies(without_copies()[0])
    copy = AnswerPhotoCopy.objects.first()
    path_of(copy.blob).unlink()
    answer = check_evidence()
    assert [fault for fault in answer.faults if copy.blob.sha256 in fault] == []
    assert path_of(copy.blob).exists()
    photo = AnswerPhoto.objects.get()
    path_of(photo.blob).unlink()
    assert [fault for fault in check_evidence().faults if photo.blob.sha256 in fault] == [
        f"{photo.blob.sha256} is missing: backing@rail-wall"
    ]
    breaches = check_rules(site.project, site.at)
    assert [(each.rule, each.kind, each.details) for each in breaches] == [
        (4, "an original is missing", photo.blob.sha256)
    ]


def test_no_photos_cost_no_query(site, offer, django_assert_num_queries):
    with django_assert_num_queries(0):
        assert photos_of(Answer.objects.none()) == {}
    refuse(site, offer, seen(site, 200), seen(site, 201))
    answers = list(Answer.objects.all())
    with django_assert_num_queries(3):
        assert len(photos_of(answers)[answers[0].pk]) == 2


def test_every_round_and_its_photos_stand_in_the_snapshot_and_on_the_paper(site, offer):
    refuse(site, offer, seen(site, 200))
    make_copies(without_copies()[0])
    again = site.offer(BACKING.key, "framer")
    site.review(LEFT, "contractor"), site.review(SPREAD, "coordinator")
    site.answer(again, RAILS.key, "crew")
    site.inspect(), site.settle()
    site.sign("close-in", "contractor"), site.sign("close-in", "crew")
    clearing = site.clear("close-in")
    task = next(task for task in json.loads(bytes(clearing.snapshot))["tasks"] if task["key"] == BACKING.key)
    (refusal,) = task["refusals"]
    photo = AnswerPhoto.objects.get()
    large = AnswerPhotoCopy.objects.get(size=1600)
    assert (refusal["round"], refusal["reasons"], refusal["by"]) == (1, ["anchor side is open"], "Lou Becker")
    assert [(item["sha256"], item["rendition"]["sha256"]) for item in refusal["photos"]] == [
        (photo.blob.sha256, large.blob.sha256)
    ]
    composed = compose_gate_report(clearing, language="en-us", paper="letter")
    assert "Round 1: Low Rise Lift Supply refused it: Lou Becker" in composed.html
    assert f"photo/{large.blob.sha256}.jpg" in composed.resources
    number = numbers_of(json.loads(bytes(clearing.snapshot)))[photo.blob.sha256]
    assert (
        f'id="original-{number}"' in composed.html
    )  # in the list of originals, by the number under the picture
    assert f'id="shown-{number}"' in composed.html
    assert photo.blob.sha256 in composed.html
