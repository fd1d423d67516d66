"""Handoffs on the pages: refused with photos, accepted in a silent receiver's place, taken over by a tick, every round."""

import uuid
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from coordination.gates.models import Answer, AnswerPhoto
from coordination.gates.refusal_photos import make_copies, without_copies
from tests.gates.sites import BACKING, JOB, RAILS, Site, build, picture, reading, with_requirement
from tests.projects.small_plans import photo
from tests.standing_cast import NOBODYS
from tests.web.worked_site import browse, by_link, page, site, words

__all__ = ["browse", "by_link", "site"]
LEFT, SPREAD = "backing@rail-wall#left", "backing@rail-wall#spread"
HTMX = {"HX-Request": "true"}
BOTH = ("coordinator", "contractor")
PLAIN = with_requirement(
    with_requirement(JOB, BACKING.key, photo(BACKING.key, "left", accepts="contractor", concede=BOTH)),
    BACKING.key,
    reading(BACKING.key, "spread", concede=BOTH),
)


@pytest.fixture
def offer(site: Site) -> Any:
    return offered(site)


def offered(site: Site) -> Any:
    site.start(BACKING.key, "framer")
    site.photo(LEFT, "framer")
    site.read(SPREAD, "framer", '30"')
    return site.offer(BACKING.key, "framer", note="Both sides.")


def answering(site: Site, offer: Any) -> str:
    return page(site, "handoff-answer", offer.uid, site.task(RAILS.key).uid)


def photo_file(shade: int = 90, name: str = "wrong.jpg") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, picture(shade), "image/jpeg")


def refuse(client: Client, site: Site, offer: Any, *files: Any, **more: Any) -> Any:
    told = {
        "outcome": "refused",
        "reasons": ["stops-short"],
        "words": "Left side.",
        "photos": list(files),
        **more,
    }
    return client.post(answering(site, offer), told)


# ---- refused with reasons and photos
def test_a_refusal_brings_its_photos_and_the_catalogue_s_reasons(site: Site, offer: Any, browse: Any) -> None:
    answer = refuse(browse("crew"), site, offer, photo_file(90), photo_file(91, "other.jpg"))
    assert answer.status_code == 302
    assert Answer.objects.get().reasons == ["It stops short of the marks.", "Left side."]
    assert list(AnswerPhoto.objects.order_by("pk").values_list("file_name", flat=True)) == [
        "wrong.jpg",
        "other.jpg",
    ]


def test_a_file_that_is_no_photo_refuses_nothing_and_keeps_what_was_written(
    site: Site, offer: Any, browse: Any
) -> None:
    told = {
        "outcome": "refused",
        "reasons": ["stops-short"],
        "words": "Left side.",
        "photos": [SimpleUploadedFile("list.jpg", b"%PDF-1.7", "image/jpeg")],
    }
    answer = browse("crew").post(answering(site, offer), told, headers=HTMX)
    assert (answer.status_code, Answer.objects.count(), AnswerPhoto.objects.count()) == (422, 0, 0)
    assert 'value="stops-short" checked' in answer.content.decode()
    assert "Left side." in answer.content.decode()


def test_an_acceptance_keeps_no_photo(site: Site, offer: Any, browse: Any) -> None:
    told = {"outcome": "accepted", "photos": [photo_file()]}
    assert browse("crew").post(answering(site, offer), told).status_code == 302
    assert (Answer.objects.get().outcome, AnswerPhoto.objects.count()) == ("accepted", 0)


@pytest.mark.parametrize("name", ["crew", "contractor", "framer"])
def test_the_photos_are_seen_by_those_whom_the_work_concerns(
    site: Site, offer: Any, browse: Any, name: str
) -> None:
    refuse(browse("crew"), site, offer, photo_file())
    uid = AnswerPhoto.objects.get().uid
    client = browse(name)
    waiting = client.get(reverse("refusal-figure", args=[uid]))
    assert f"/refusal-photos/{uid}?turn=1" in waiting.content.decode()
    assert client.get(reverse("refusal-photo", args=[uid, "small"])).status_code == 404
    make_copies(without_copies()[0])
    shown = client.get(reverse("refusal-photo", args=[uid, "large"]))
    assert (shown.status_code, shown["Content-Type"]) == (200, "image/jpeg")
    assert b"".join(shown.streaming_content)[:2] == b"\xff\xd8"  # type: ignore[attr-defined]
    assert (
        f"/refusal-photos/{uid}/small" in client.get(reverse("refusal-figure", args=[uid])).content.decode()
    )
    original = client.get(reverse("refusal-photo", args=[uid, "original"]))
    assert original.status_code == (200 if name == "contractor" else 404)
    if name == "contractor":
        assert b"".join(original.streaming_content) == picture(90)  # type: ignore[attr-defined]


@pytest.mark.parametrize("name", ["electrician", "owner", "left", "stranger"])
def test_and_by_nobody_else(site: Site, offer: Any, browse: Any, name: str) -> None:
    refuse(browse("crew"), site, offer, photo_file())
    make_copies(without_copies()[0])
    uid = AnswerPhoto.objects.get().uid
    for address in (reverse("refusal-figure", args=[uid]), reverse("refusal-photo", args=[uid, "small"])):
        assert browse(name).get(address).status_code == 404
    assert browse("contractor").get(reverse("refusal-photo", args=[NOBODYS, "small"])).status_code == 404


def test_the_sender_sees_reasons_and_photos_in_the_history_in_their_own_language(
    site: Site, offer: Any, browse: Any
) -> None:
    refuse(browse("crew"), site, offer, photo_file())
    make_copies(without_copies()[0])
    client = browse("framer")
    told = client.get(page(site, "my-task", site.task(BACKING.key).uid))
    assert f"/refusal-photos/{AnswerPhoto.objects.get().uid}/small" in told.content.decode()
    assert "It stops short of the marks." in words(told)
    spanish = client.get(page(site, "my-task", site.task(BACKING.key).uid), headers={"accept-language": "es"})
    assert "No llega hasta las marcas." in words(spanish)
    assert "Left side." in words(spanish)


# ---- what the receiver sees
def measured(each: Any) -> tuple[Any, ...]:
    need = each.need
    assert each.at is not None
    return need.text, need.value, need.inside, need.tolerance, each.instrument, each.by


def test_the_receiver_sees_the_readings_first_and_how_late_it_is(site: Site, offer: Any, browse: Any) -> None:
    (line,) = browse("crew").get(page(site, "my-tasks")).context["handoffs"]
    assert [measured(each) for each in line.first.readings] == [
        ("spread", "2' 6\"", True, "2' 5\" to 2' 7\"", "tape", "Bo Tran")
    ]
    assert [(need.text, len(need.figures)) for need in line.rest.shown] == [("Photo", 1)]
    assert (line.first.shown, line.rest.readings) == ((), ())
    assert (line.note, line.late, line.round) == ("Both sides.", True, 1)
    assert [key for key, _words in line.reasons][:3] == ["out-of-plumb", "stops-short", "wrong-thickness"]
    assert (line.in_their_place, line.only_they) == ("", ())


def test_what_the_rules_name_for_the_receiver_stands_on_top_and_the_rest_is_folded(db: Any) -> None:
    named = with_requirement(JOB, BACKING.key, photo(BACKING.key, "left", accepts=None))
    tasks = [
        replace(each, entry="board-inside")
        if each.key == RAILS.key
        else replace(each, requirements=(photo(each.key, "backing-left"), *each.requirements))
        if each.key == BACKING.key
        else each
        for each in named.tasks
    ]
    site = build(derived=replace(named, tasks=tuple(tasks)))
    site.start(BACKING.key, "framer")
    for key in (LEFT, "backing@rail-wall#backing-left"):
        site.photo(key, "framer")
    site.read(SPREAD, "framer", '30"')
    site.offer(BACKING.key, "framer")
    client = Client()
    client.force_login(site.cast.people["crew"])
    answer = client.get(page(site, "my-tasks"))
    (line,) = answer.context["handoffs"]
    assert [need.key for need in line.first.shown] == ["backing@rail-wall#backing-left"]
    assert ([each.need.key for each in line.rest.readings], line.first.readings) == ([SPREAD], ())
    assert [need.key for need in line.rest.shown] == [LEFT]
    assert "What else this work shows" in words(answer)


# ---- in the place of a silent receiver
def handoff_on(client: Client, site: Site) -> Any:
    return client.get(page(site, "task", site.task(RAILS.key).uid)).context["sheet"].handoffs[0]


def test_the_contractor_may_accept_in_their_place_once_it_is_late(
    db: Any, monkeypatch: Any, browse: Any, site: Site
) -> None:
    site.accept(PLAIN)
    offer = offered(site)
    client = browse("contractor")
    line = handoff_on(client, site)
    assert (line.late, line.only_they, line.receiver_phone) == (True, (), "555-0100")
    text = words(client.get(page(site, "task", site.task(RAILS.key).uid)))
    assert "Low Rise Lift Supply has not answered in time." in text
    bare = client.post(line.in_their_place, {"reason": ""}, headers=HTMX)
    assert (bare.status_code, Answer.objects.count()) == (422, 0)
    done = client.post(line.in_their_place, {"reason": "Called twice."}, headers=HTMX)
    assert (done.status_code, "Accepted in their place." in words(done)) == (200, True)
    row = Answer.objects.get()
    assert (row.offer, row.way, row.instead_of, row.reasons) == (
        *(offer, "for the silent", "Low Rise Lift Supply"),
        ["Called twice."],
    )
    told = words(client.get(page(site, "task", site.task(BACKING.key).uid)))
    assert "accepted by Ana Ruiz for Low Rise Lift Supply, who had not answered in time" in told
    record = words(client.get(page(site, "record")))
    assert "in the place of, who had not answered" in record.lower()


def test_lift_critical_work_says_why_it_cannot_and_whom_to_call(site: Site, offer: Any, browse: Any) -> None:
    line = handoff_on(browse("contractor"), site)
    assert line.in_their_place == ""
    assert line.only_they[0].startswith(
        "This is elevator-critical work: only the receiver itself takes it over."
    )
    address = page(site, "handoff-in-their-place", offer.uid, site.task(RAILS.key).uid)
    answer = browse("contractor").post(address, {"reason": "Called twice."}, headers=HTMX)
    assert (answer.status_code, Answer.objects.count()) == (422, 0)


@pytest.mark.parametrize("name", ["coordinator", "crew", "framer", "owner", "stranger"])
def test_nobody_else_has_that_button(site: Site, offer: Any, browse: Any, name: str) -> None:
    address = page(site, "handoff-in-their-place", offer.uid, site.task(RAILS.key).uid)
    assert browse(name).post(address, {"reason": "x"}).status_code == 404
    assert Answer.objects.count() == 0


def test_nothing_of_another_site_is_there(site: Site, offer: Any, browse: Any) -> None:
    far = build("far.")
    theirs = offered(far)
    for name in ("handoff-answer", "handoff-in-their-place"):
        address = page(site, name, theirs.uid, far.task(RAILS.key).uid)
        assert browse("contractor").post(address, {"reason": "x", "outcome": "accepted"}).status_code == 404
    assert Answer.objects.count() == 0


# ---- beginning takes over only what was ticked
def test_the_page_asks_for_the_tick_and_beginning_without_it_is_refused(
    site: Site, offer: Any, browse: Any
) -> None:
    client, task = browse("crew"), site.task(RAILS.key)
    shown = client.get(page(site, "my-task", task.uid))
    assert "and take it over as it is: from here on I build on it." in words(shown)
    assert f'name="takes_over" value="{offer.uid}" required' in shown.content.decode()
    start = page(site, "task-doing", task.uid, "start")
    bare = client.post(start, {"page": "mine"})
    assert (bare.status_code, site.task(RAILS.key).begun_on) == (422, None)
    assert client.post(start, {"page": "mine", "takes_over": str(uuid.uuid4())}).status_code == 422
    assert client.post(start, {"page": "mine", "takes_over": "x"}).status_code == 404
    done = client.post(start, {"page": "mine", "takes_over": str(offer.uid)})
    assert (done.status_code, Answer.objects.get().way) == (302, "by beginning")
    told = words(browse("contractor").get(page(site, "task", site.task(BACKING.key).uid)))
    assert "taken over on beginning to build on it: Lou Becker" in told


def test_what_hides_the_work_offers_no_tick(site: Site, browse: Any) -> None:
    hides = tuple(
        replace(link, kind="covers") if (link.before, link.after) == (BACKING.key, RAILS.key) else link
        for link in JOB.links
    )
    site.accept(replace(JOB, links=hides))
    offer = offered(site)
    site.review(LEFT, "contractor"), site.review(SPREAD, "coordinator")
    client, task = browse("crew"), site.task(RAILS.key)
    assert "takes_over" not in client.get(page(site, "my-task", task.uid)).content.decode()
    told = {"page": "mine", "takes_over": str(offer.uid)}
    assert client.post(page(site, "task-doing", task.uid, "start"), told).status_code == 422


def test_a_phone_that_had_no_signal_sends_the_tick_along(site: Site, offer: Any, browse: Any) -> None:
    from coordination.web.senders import sender_of

    client, task = browse("crew"), site.task(RAILS.key)
    told = {"sender": sender_of(site.who("crew")), "takes_over": str(offer.uid)}
    answer = client.post(
        page(site, "sending-task", task.uid, "start"), told, headers={"Sender": told["sender"]}
    )
    assert (answer.status_code, Answer.objects.count()) == (200, 1)


# ---- history of every round
def test_every_round_stands_on_the_task_s_page_with_how_it_ended(site: Site, offer: Any, browse: Any) -> None:
    refuse(browse("crew"), site, offer, photo_file())
    site.step(minutes=30)
    second = site.offer(BACKING.key, "framer")
    site.review(LEFT, "contractor", "refused", "too dark")
    site.photo(LEFT, "framer")
    third = site.offer(BACKING.key, "framer", crew_waiting=True)
    site.answer(third, RAILS.key, "crew")
    rounds = browse("contractor").get(page(site, "task", site.task(BACKING.key).uid)).context["sheet"].rounds
    assert [(each.number, each.ended is None) for each in rounds] == [(3, True), (2, False), (1, False)]
    assert [
        [(line.state, line.said, line.reasons, len(line.figures)) for line in each.answers] for each in rounds
    ] == [
        [("accepted", "accepted: Lou Becker", (), 0)],
        [("refused", "refused “Photo”: Ana Ruiz", ("too dark",), 0)],
        [("refused", "refused: Lou Becker", ("It stops short of the marks.", "Left side."), 1)],
    ]
    assert second.round == 2


def test_a_round_that_waits_says_for_whom_and_since_when(site: Site, offer: Any, browse: Any) -> None:
    (now,) = browse("contractor").get(page(site, "task", site.task(BACKING.key).uid)).context["sheet"].rounds
    (line,) = now.answers
    assert (line.who, line.said, line.late, line.due) == (
        *("Low Rise Lift Supply", "has not answered in time", True),
        offer.answer_by,
    )


def test_a_late_answer_says_that_it_was_late(site: Site, offer: Any, browse: Any) -> None:
    site.at = offer.answer_by + timedelta(hours=2)
    site.answer(offer, RAILS.key, "crew")
    (now,) = browse("contractor").get(page(site, "task", site.task(BACKING.key).uid)).context["sheet"].rounds
    assert now.answers[0].late is True
