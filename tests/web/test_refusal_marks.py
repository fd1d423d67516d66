"""Marks where a handoff is refused: ticked as reasons in the answer, put over its photos, made reasons there."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from coordination.evidence.models import Evidence, Mark, MarkNamed
from coordination.evidence.renditions import ensure_renditions
from coordination.gates.models import Answer, AnswerMark, AnswerMarkTakenBack, AnswerPhoto
from coordination.gates.refusal_photos import make_copies, without_copies
from tests.gates.sites import BACKING, RAILS, Site
from tests.standing_cast import NOBODYS
from tests.web.test_handoffs import HTMX, answering, offered, photo_file, refuse
from tests.web.worked_site import browse, by_link, key, page, site, words

__all__ = ["browse", "by_link", "site"]


@pytest.fixture
def offer(site: Site) -> Any:
    return offered(site)


@pytest.fixture
def attached(site: Site, offer: Any, browse: Any) -> AnswerPhoto:
    refuse(browse("crew"), site, offer, photo_file())
    make_copies(without_copies()[0])
    return AnswerPhoto.objects.get()


def at(photo: AnswerPhoto) -> str:
    return reverse("refused-photo", args=[photo.uid])


def pressed(name: str, photo: AnswerPhoto, mark: Any) -> str:
    return reverse(f"refused-photo-{name}", args=[photo.uid, mark])


def put(client: Client, where: str, **more: str) -> Any:
    told = {"key": key(), "kind": "ring", "first": "C4", "words": "anchor side is open", **more}
    return client.post(where, told)


# ---- over the offered work, where the refusal is written
def test_the_receiver_marks_a_photo_of_the_offered_work_and_ticks_the_mark_as_a_reason(
    site: Site, offer: Any, browse: Any
) -> None:
    photo, crew = Evidence.objects.get(typed=""), browse("crew")
    ensure_renditions(photo)
    assert put(crew, reverse("photo", args=[photo.uid])).status_code == 302
    mark = Mark.objects.get()
    shown = crew.get(page(site, "my-task", site.task(RAILS.key).uid)).content.decode()
    assert f'name="marks" value="{mark.uid}"' in shown
    assert "Which marks on “" in shown
    answer = crew.post(answering(site, offer), {"outcome": "refused", "marks": [str(mark.uid)]})
    assert answer.status_code == 302
    assert (Answer.objects.get().reasons, MarkNamed.objects.count()) == (["Mark 1: anchor side is open"], 1)
    told = words(browse("framer").get(page(site, "my-task", site.task(BACKING.key).uid)))
    assert told.count("Mark 1: anchor side is open") >= 1
    assert "(why it was refused)" in told


def test_a_mark_that_is_gone_is_said_and_what_was_ticked_stays(site: Site, offer: Any, browse: Any) -> None:
    photo, crew = Evidence.objects.get(typed=""), browse("crew")
    ensure_renditions(photo)
    put(crew, reverse("photo", args=[photo.uid]))
    mark = Mark.objects.get().uid
    told = {"outcome": "refused", "words": "Left side.", "marks": [str(mark), NOBODYS]}
    answer = crew.post(answering(site, offer), told, headers=HTMX)
    assert (answer.status_code, Answer.objects.count()) == (422, 0)
    assert "This mark does not stand on the photo any more." in words(answer)
    assert f'name="marks" value="{mark}" checked' in answer.content.decode()
    assert "Left side." in answer.content.decode()


def test_without_marks_the_answer_asks_for_none(site: Site, offer: Any, browse: Any) -> None:
    shown = browse("crew").get(page(site, "my-task", site.task(RAILS.key).uid)).content.decode()
    assert ("Refuse it" in shown, 'name="marks"' in shown) == (True, False)


# ---- over the photos of the refusal
def test_a_photo_of_a_refusal_leads_to_a_page_where_it_is_marked(
    site: Site, attached: AnswerPhoto, browse: Any
) -> None:
    crew = browse("crew")
    assert put(crew, at(attached)).url == at(attached)
    shown = crew.get(at(attached)).content.decode()
    assert shown.count('data-mark="1"') == 1
    assert f'src="{reverse("refusal-photo", args=[attached.uid, "large"])}"' in shown
    assert ". Marks: 1, ring, left side, a third down: anchor side is open" in shown
    assert f'action="{at(attached)}"' in shown
    history = browse("framer").get(page(site, "my-task", site.task(BACKING.key).uid))
    assert f'href="{at(attached)}"' in history.content.decode()
    assert history.content.decode().count('data-mark="1"') == 1
    assert "1, ring, left side, a third down: anchor side is open" in words(history)


def test_a_mark_is_made_a_reason_by_whoever_refused_and_stands_among_the_reasons(
    site: Site, attached: AnswerPhoto, browse: Any
) -> None:
    crew, framer = browse("crew"), browse("framer")
    put(crew, at(attached))
    put(framer, at(attached), words="that is the old board")
    ring, other = AnswerMark.objects.order_by("number").values_list("uid", flat=True)
    assert crew.get(at(attached)).content.decode().count("Make it a reason") == 1
    assert "Make it a reason" not in framer.get(at(attached)).content.decode()
    assert framer.post(pressed("reason", attached, other)).status_code == 404
    assert crew.post(pressed("reason", attached, ring)).status_code == 302
    shown = crew.get(at(attached))
    assert "(why it was refused)" in words(shown)
    assert pressed("take-back", attached, ring) not in shown.content.decode()
    history = framer.get(page(site, "my-task", site.task(BACKING.key).uid))
    assert "<li>Mark 1: anchor side is open</li>" in history.content.decode()
    assert "A refusal names this mark" in words(crew.post(pressed("take-back", attached, ring)))


def test_one_takes_back_ones_own_mark(attached: AnswerPhoto, browse: Any) -> None:
    crew = browse("crew")
    put(crew, at(attached))
    mark = AnswerMark.objects.get().uid
    answer = browse("contractor").post(pressed("take-back", attached, mark))
    assert (answer.status_code, AnswerMarkTakenBack.objects.count()) == (422, 0)
    assert crew.post(pressed("take-back", attached, mark)).status_code == 302
    assert 'data-mark="1"' not in crew.get(at(attached)).content.decode()
    assert crew.post(pressed("take-back", attached, NOBODYS)).status_code == 404


@pytest.mark.parametrize(
    ("name", "sees", "marks"),
    [
        ("coordinator", 200, 302),
        ("contractor", 200, 302),
        ("crew", 200, 302),
        ("framer", 200, 302),
        ("electrician", 404, 404),
        ("owner", 404, 404),
        ("left", 404, 404),
        ("stranger", 404, 404),
    ],
)
def test_the_two_sides_and_who_runs_the_site_mark_it(
    attached: AnswerPhoto, browse: Any, name: str, sees: int, marks: int
) -> None:
    client = browse(name)
    assert client.get(at(attached)).status_code == sees
    assert put(client, at(attached)).status_code == marks
    assert AnswerMark.objects.count() == (marks == 302)


def test_what_is_wrong_with_a_mark_is_said_in_place(attached: AnswerPhoto, browse: Any) -> None:
    answer = put(browse("crew"), at(attached), words=" ", first="Z9")
    assert (answer.status_code, AnswerMark.objects.count()) == (422, 0)
    assert "is no square" in words(answer)


def test_before_its_copy_is_made_it_is_not_marked(site: Site, offer: Any, browse: Any) -> None:
    refuse(browse("crew"), site, offer, photo_file())
    shown = browse("crew").get(at(AnswerPhoto.objects.get())).content.decode()
    assert ("its small copy is being made" in shown, "Put the mark" in shown) == (True, False)
