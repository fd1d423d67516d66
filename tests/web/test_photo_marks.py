"""Marks on the page of a photo and beside a refusal: without script, for whoever may, and for nobody else."""

import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from coordination.evidence.models import Evidence, Mark, MarkReason, MarkTakenBack, Review
from coordination.evidence.renditions import ensure_renditions
from tests.gates.sites import BACKING, INCH, ROUGH, Site, build
from tests.standing_cast import NOBODYS
from tests.web.worked_site import browse, by_link, key, page, site, words

__all__ = ["browse", "by_link", "site"]
LEFT = "backing@rail-wall#left"


@pytest.fixture
def photo(site: Site) -> Evidence:
    site.start(BACKING.key, "framer")
    row = site.photo(LEFT, "framer")
    ensure_renditions(row)
    return row


def at(row: Evidence) -> str:
    return reverse("photo", args=[row.uid])


def put(client: Client, row: Evidence, **more: str) -> Any:
    told = {"key": key(), "kind": "ring", "first": "C4", "words": "blocking stops short", **more}
    return client.post(at(row), told)


def refuse(client: Client, site: Site, **more: Any) -> Any:
    return client.post(page(site, "review", site.need(LEFT).uid), {"outcome": "refused", **more})


@pytest.mark.parametrize(
    ("given", "points"),
    [
        ({"first": "A1"}, ((0, 0), (833, 1111))),
        ({"first": "c4", "second": " b 2 "}, ((833, 1111), (2500, 4444))),
        ({"kind": "arrow", "first": "", "second": "L9"}, ((7917, 7778), (9583, 9444))),
        ({"kind": "arrow", "first": "A1", "second": "L9"}, ((416, 555), (9583, 9444))),
        ({"kind": "dimension", "first": "A1", "second": "L1", "typed": '30"'}, ((416, 555), (9583, 555))),
        ({"x1": "1", "y1": "2", "x2": "3", "y2": "10000", "first": ""}, ((1, 2), (3, 10_000))),
    ],
)
def test_a_mark_is_put_by_squares_or_by_exact_points(
    browse: Any, photo: Evidence, given: dict[str, str], points: Any
) -> None:
    answer = put(browse("contractor"), photo, **given)
    assert (answer.status_code, answer.headers["Location"]) == (302, at(photo))
    row = Mark.objects.get()
    assert (row.points, row.kind, row.by_name) == (points, given.get("kind", "ring"), "Ana Ruiz")
    assert row.length == (30 * INCH if given.get("kind") == "dimension" else None)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"first": ""}, "Say in which square it lies."),
        ({"first": "M1"}, "“M1” is no square. Write a letter and a number, A1 to L9."),
        ({"words": " "}, "Say in a few words what the mark shows."),
        ({"kind": "dimension", "typed": '30"'}, "Say from which square to which."),
        ({"kind": "dimension", "second": "D4"}, "Say how long the dimension is."),
        ({"kind": "dimension", "second": "D4", "typed": "a hand"}, "a hand is no length that can be read"),
        ({"x1": "5", "y1": "5", "x2": "5", "y2": "5"}, "Both points of the mark are the same."),
    ],
)
def test_what_is_wrong_is_said_and_what_was_written_stays(
    browse: Any, photo: Evidence, given: dict[str, str], said: str
) -> None:
    answer = put(browse("contractor"), photo, **given)
    assert (answer.status_code, Mark.objects.count()) == (422, 0)
    assert said in words(answer)
    typed = {"first": "C4", "words": "blocking stops short", **given}
    assert all(answer.context["form"][name].value() == value for name, value in typed.items())


def test_pressed_twice_it_is_one_mark(browse: Any, photo: Evidence) -> None:
    once = {"key": key()}
    assert [put(browse("framer"), photo, **once).status_code for _press in range(2)] == [302, 302]
    assert Mark.objects.count() == 1


def test_the_page_shows_each_mark_in_the_picture_and_in_words(browse: Any, photo: Evidence) -> None:
    put(browse("framer"), photo)
    answer = browse("contractor").get(at(photo))
    shown = answer.content.decode()
    assert shown.count('data-mark="1"') == 1
    assert "1, ring, left side, a third down: blocking stops short" in words(answer)
    assert 'alt="Photo. Marks: 1, ring, left side, a third down: blocking stops short"' in shown
    assert re.search(r"style=|<script(?![^>]*src=)", shown) is None


def test_whoever_sees_the_task_sees_the_marks_on_its_sheet(browse: Any, site: Site, photo: Evidence) -> None:
    put(browse("framer"), photo)
    task = site.task(BACKING.key).uid
    seen = {"contractor": "task", "coordinator": "task", "framer": "my-task"}
    for name, address in seen.items():
        answer = browse(name).get(page(site, address, task))
        assert answer.content.decode().count('data-mark="1"') == 1
        assert "1, ring, left side, a third down: blocking stops short" in words(answer)


@pytest.mark.parametrize(
    ("name", "sees", "marks"),
    [
        ("coordinator", 200, 302),
        ("contractor", 200, 302),
        ("framer", 200, 302),
        ("crew", 200, 302),
        ("electrician", 404, 404),
        ("owner", 404, 404),
        ("left", 404, 404),
        ("stranger", 404, 404),
    ],
)
def test_marks_are_put_by_whoever_may_hand_in_review_or_build_on_it(
    browse: Any, photo: Evidence, name: str, sees: int, marks: int
) -> None:
    client = browse(name)
    answer = client.get(at(photo))
    assert answer.status_code == sees
    assert ("Put the mark" in answer.content.decode()) == (marks == 302)
    assert put(client, photo).status_code == marks
    assert Mark.objects.count() == (marks == 302)


def test_a_link_marks_its_own_photos_and_no_others(by_link: Any, photo: Evidence) -> None:
    assert [put(by_link(name), photo).status_code for name in ("framer", "electrician", "owner")] == [
        302,
        404,
        404,
    ]
    assert Mark.objects.get().by.startswith("link:")  # fmt: skip


def test_nothing_of_another_site_is_reached_by_its_key(browse: Any, photo: Evidence) -> None:
    far = build("far.")
    far.start(BACKING.key, "framer")
    theirs = far.photo(LEFT, "framer")
    client = browse("contractor")
    put(client, photo)
    mark = Mark.objects.get().uid
    assert put(client, theirs).status_code == 404
    outsider = Client()
    outsider.force_login(far.cast.people["contractor"])
    for row in (photo, theirs):
        back = reverse("mark-take-back", args=[row.uid, mark])
        assert outsider.post(back).status_code == 404
    assert client.post(reverse("mark-take-back", args=[photo.uid, NOBODYS])).status_code == 404
    assert MarkTakenBack.objects.count() == 0


def test_a_paper_that_is_no_picture_has_no_such_page(browse: Any, site: Site, photo: Evidence) -> None:
    reading = site.read("backing@rail-wall#spread", "framer", '30"')
    assert browse("contractor").get(at(reading)).status_code == 404


def test_one_takes_back_ones_own_mark_and_only_that(browse: Any, photo: Evidence) -> None:
    own, other = browse("contractor"), browse("framer")
    put(own, photo)
    back = reverse("mark-take-back", args=[photo.uid, Mark.objects.get().uid])
    assert back not in other.get(at(photo)).content.decode()
    answer = other.post(back)
    assert answer.status_code == 422
    assert "Only Ana Ruiz, who put this mark, takes it back." in words(answer)
    assert back in own.get(at(photo)).content.decode()
    answer = own.post(back, follow=True)
    assert "Mark 1 is taken back." in words(answer)
    assert 'data-mark="' not in answer.content.decode()


def test_a_refusal_by_a_mark_shows_the_marked_photo_beside_the_reason(
    browse: Any, site: Site, photo: Evidence
) -> None:
    site.read("backing@rail-wall#spread", "framer", '30"')
    site.offer(BACKING.key, "framer")
    put(browse("contractor"), photo), put(browse("contractor"), photo, kind="arrow", words="here")
    ring, _arrow = Mark.objects.order_by("number")
    queue = browse("contractor").get(page(site, "reviews"))
    assert [mark.reason for mark in queue.context["looked_at"].need.figures[0].marks] == [
        "Mark 1: blocking stops short",
        "Mark 2: here",
    ]
    assert f'name="marks" value="{ring.uid}"' in queue.content.decode()
    assert refuse(browse("contractor"), site, marks=[str(ring.uid)]).status_code == 302
    assert (Review.objects.get().reasons, MarkReason.objects.get().mark) == (
        ["Mark 1: blocking stops short"],
        ring,
    )
    task = site.task(BACKING.key).uid
    for name, address in {"framer": "my-task", "contractor": "task"}.items():
        answer = browse(name).get(page(site, address, task))
        [reason] = re.findall(
            r'<div class="reason"><strong>Why it was refused.*?</div>', answer.content.decode(), re.S
        )
        assert ('data-mark="1"' in reason, "Mark 1: blocking stops short" in reason) == (True, True)
        assert answer.content.decode().count(reverse("media", args=[photo.uid, "small"])) == 1  # fmt: skip
    back = reverse("mark-take-back", args=[photo.uid, ring.uid])
    assert back not in browse("contractor").get(at(photo)).content.decode()
    assert "A refusal names this mark, so it stays." in words(browse("contractor").post(back))


def test_a_refusal_by_something_that_is_no_mark_is_not_taken(
    browse: Any, site: Site, photo: Evidence
) -> None:
    for ticked in ("nonsense", NOBODYS):
        answer = refuse(browse("contractor"), site, marks=[str(ticked)], words="too dark")
        assert answer.status_code == 422
    assert "This mark does not stand on the photo any more." in words(answer)
    assert Review.objects.count() == 0


def test_until_there_is_a_copy_nothing_is_placed_on_the_photo(browse: Any, site: Site) -> None:
    site.start(ROUGH.key, "electrician")
    row = site.photo("rough@pit#receptacle", "electrician")
    shown = browse("contractor").get(at(row)).content.decode()
    assert ("its small copy is being made" in shown, "Put the mark" in shown) == (True, False)
