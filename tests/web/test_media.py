"""Pictures that were handed in: who gets which size, with which headers, and while a copy is being made."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from coordination.background.models import Lease
from coordination.console.evidence_check import check_evidence
from coordination.evidence.models import Evidence
from coordination.evidence.renditions import ensure_renditions
from coordination.evidence.strangers_words import GIVEN_AS, NOT_GIVEN
from coordination.files.for_strangers import look_at
from coordination.files.keeping import path_of
from coordination.files.models import PaperForStrangers
from coordination.files.pdf_copies import REASONS
from tests.files.scans import NAMED, all_bytes_of, photo_with_position, plain_photo, scanned, signed
from tests.gates.sites import BACKING, ROUGH, Site, build
from tests.standing_cast import NOBODYS
from tests.web.worked_site import browse, by_link, site, words

__all__ = ["browse", "by_link", "site"]


@pytest.fixture
def photo(site: Site) -> Evidence:
    site.start(BACKING.key, "framer")
    return site.photo("backing@rail-wall#left", "framer")


def at(row: Evidence, size: str = "small") -> str:
    return reverse("media", args=[row.uid, size])


def body(answer: Any) -> bytes:
    found = b"".join(answer.streaming_content)
    answer.close()
    return found


def status_of(client: Client, address: str) -> int:
    answer = client.get(address)
    answer.close()
    return int(answer.status_code)


@pytest.mark.parametrize("name", ["coordinator", "contractor", "crew", "framer"])
def test_whoever_may_see_the_task_sees_the_copies(browse: Any, photo: Evidence, name: str) -> None:
    ensure_renditions(photo)
    for size in ("small", "large"):
        answer = browse(name).get(at(photo, size))
        assert (answer.status_code, body(answer)[:3]) == (200, b"\xff\xd8\xff")


@pytest.mark.parametrize("name", ["electrician", "other electrician", "left", "owner", "stranger"])
def test_for_everybody_else_there_is_nothing(browse: Any, photo: Evidence, name: str) -> None:
    ensure_renditions(photo)
    figure = reverse("media-figure", args=[photo.uid])
    asked = [at(photo), at(photo, "large"), at(photo, "original"), figure]
    assert [browse(name).get(address).status_code for address in asked] == [404] * 4


@pytest.mark.parametrize(
    ("link", "status"),
    [("framer", 200), ("electrician", 404), ("owner", 404), ("inspector", 404), ("revoked", 404)],
)
def test_a_link_opens_the_pictures_of_its_own_tasks(
    by_link: Any, photo: Evidence, link: str, status: int
) -> None:
    ensure_renditions(photo)
    assert status_of(by_link(link), at(photo)) == status


def test_another_suppliers_people_see_nothing(site: Site, photo: Evidence) -> None:
    ensure_renditions(photo)
    client = Client()
    client.force_login(build("far.").cast.people["coordinator"])
    assert client.get(at(photo)).status_code == 404


@pytest.mark.parametrize(
    ("name", "status"), [("coordinator", 200), ("contractor", 200), ("crew", 404), ("framer", 404)]
)
def test_originals_are_for_few(browse: Any, photo: Evidence, name: str, status: int) -> None:
    answer = browse(name).get(at(photo, "original"))
    assert answer.status_code == status
    if status == 200:
        assert body(answer) == path_of(photo.blob).read_bytes()
        assert answer.headers["Content-Disposition"] == 'attachment; filename="left.jpg"'


def test_nothing_that_was_uploaded_is_ever_run(browse: Any, photo: Evidence) -> None:
    ensure_renditions(photo)
    for size in ("small", "original"):
        answer = browse("coordinator").get(at(photo, size))
        assert body(answer)
        headers = answer.headers
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert "sandbox" in headers["Content-Security-Policy"]
        assert headers["Cache-Control"].startswith("private")
        assert headers["Cross-Origin-Resource-Policy"] == "same-origin"


def test_an_unchanged_picture_is_not_sent_twice(browse: Any, photo: Evidence) -> None:
    ensure_renditions(photo)
    first = browse("framer").get(at(photo))
    assert body(first)
    again = browse("framer").get(at(photo), headers={"If-None-Match": first.headers["ETag"]})
    assert (again.status_code, again.content) == (304, b"")


def test_a_copy_that_is_being_made_asks_again_after_a_growing_pause_and_then_stops(
    browse: Any, photo: Evidence
) -> None:
    client, figure = browse("framer"), reverse("media-figure", args=[photo.uid])
    assert client.get(at(photo)).status_code == 404
    for turn, pause in ((0, 1), (5, 6), (500, 30)):
        shown = client.get(f"{figure}?turn={turn}").content.decode()
        assert f'hx-trigger="load delay:{pause}s"' in shown
        assert f"?turn={turn + 1}" in shown
        assert "its small copy is being made" in shown
    ensure_renditions(photo)
    shown = client.get(f"{figure}?turn=6").content.decode()
    assert ("hx-get" in shown, f'src="{at(photo)}"' in shown) == (False, True)
    assert (shown.count("<figure"), shown.count("</figure>")) == (1, 1)


@pytest.mark.parametrize("turn", ["", "x", "-1", "99999999999999999999"])
def test_a_turn_that_is_no_number_is_the_first(browse: Any, photo: Evidence, turn: str) -> None:
    figure = reverse("media-figure", args=[photo.uid])
    assert "delay:1s" in browse("framer").get(f"{figure}?turn={turn}").content.decode()


def test_a_copy_that_was_given_up_says_so_and_does_not_ask_again(browse: Any, photo: Evidence) -> None:
    Lease.objects.create(
        kind="renditions", key=str(photo.pk), attempts=3, due=None, error="ImageRefused: damaged"
    )
    answer = browse("framer").get(reverse("media-figure", args=[photo.uid]))
    assert "no small copy could be made of it" in words(answer)
    assert "hx-get" not in answer.content.decode()


def test_an_original_that_was_altered_is_not_given_out(browse: Any, photo: Evidence) -> None:
    path = path_of(photo.blob)
    path.chmod(0o640)
    path.write_bytes(path.read_bytes() + b"x")
    answer = browse("coordinator").get(at(photo, "original"))
    assert answer.status_code == 500
    assert "This file is not given out" in words(answer)
    assert f"the SHA-256 of the original is {photo.blob.sha256}" in words(answer)


# ---- documents that are no pictures
COPY = 'attachment; filename="card-copy-without-location.pdf"'


@pytest.fixture
def card(site: Site) -> Evidence:
    """A card that was scanned with a phone."""
    site.start(ROUGH.key, "electrician")
    return site.document("rough@pit#inspection", "contractor", scanned())


@pytest.mark.parametrize(
    ("name", "got"),
    [
        ("coordinator", "original"),
        ("contractor", "original"),
        ("crew", "copy"),
        ("electrician", "copy"),
        ("framer", "nothing"),
        ("owner", "nothing"),
        ("left", "nothing"),
        ("stranger", "nothing"),
    ],
)
def test_a_document_goes_to_strangers_without_location_and_device(
    card: Evidence, browse: Any, name: str, got: str
) -> None:
    assert look_at(card.blob).how == "stripped"
    answer = browse(name).get(at(card, "original"))
    if got == "nothing":
        assert answer.status_code == 404
        return
    named, sent = answer.headers["Content-Disposition"], body(answer)
    whole = got == "original"
    assert (answer.status_code, sent == path_of(card.blob).read_bytes()) == (200, whole)
    assert bool(NAMED.search(all_bytes_of(sent))) == whole
    assert named == ('attachment; filename="card.pdf"' if whole else COPY)


@pytest.mark.parametrize(
    ("link", "status"),
    [("electrician", 200), ("framer", 404), ("owner", 404), ("inspector", 404), ("revoked", 404)],
)
def test_a_link_opens_the_copy_of_its_own_tasks(card: Evidence, by_link: Any, link: str, status: int) -> None:
    look_at(card.blob)
    answer = by_link(link).get(at(card, "original"))
    assert answer.status_code == status
    if status == 200:
        assert (answer.headers["Content-Disposition"], NAMED.search(all_bytes_of(body(answer)))) == (
            COPY,
            None,
        )


def test_until_its_copy_is_made_a_document_is_not_given_out_and_no_page_makes_it(
    card: Evidence, browse: Any
) -> None:
    answer = browse("electrician").get(at(card, "original"))
    assert (answer.status_code, PaperForStrangers.objects.count()) == (404, 0)
    assert "open this page again in a minute" in words(answer)
    assert status_of(browse("contractor"), at(card, "original")) == 200


@pytest.mark.parametrize(
    ("how", "told"),
    [
        ("locked", "it is locked with a password"),
        ("unreadable", "it is damaged"),
        ("too much", "it is too much to be gone through"),
        ("traces left", "it holds location or device data that cannot be taken out"),
    ],
)
def test_a_document_without_copy_is_not_given_out_and_why_is_said(
    site: Site, card: Evidence, browse: Any, how: str, told: str
) -> None:
    PaperForStrangers.objects.create(blob=card.blob, how=how)
    answer = browse("electrician").get(at(card, "original"))
    assert answer.status_code == 403
    assert told in words(answer)
    assert (
        f"The general contractor and the coordinator have the original. SHA-256 {card.blob.sha256}"
        in words(answer)
    )
    sheet = reverse("task", args=[site.project.uid, card.requirement.task.uid])
    assert told in words(browse("crew").get(sheet))
    assert told not in words(browse("contractor").get(sheet))


def test_every_reason_has_its_words() -> None:
    assert set(NOT_GIVEN) == set(REASONS)
    assert set(GIVEN_AS) == {"stripped", "unsigned", "signed"}


def test_the_sheet_says_what_its_reader_gets(site: Site, card: Evidence, browse: Any) -> None:
    sheet = reverse("task", args=[site.project.uid, card.requirement.task.uid])
    assert "its copy is still being made" in words(browse("crew").get(sheet))
    look_at(card.blob)
    assert "copy without location and device data" in words(browse("crew").get(sheet))
    assert "copy without" not in words(browse("contractor").get(sheet))


def test_a_copy_that_is_lost_is_said_and_can_be_made_again(card: Evidence, browse: Any) -> None:
    copy = look_at(card.blob).blob
    path_of(copy).unlink()
    answer = browse("electrician").get(at(card, "original"))
    assert answer.status_code == 404
    assert "can have it made again" in words(answer)
    assert check_evidence().made == 1
    assert NAMED.search(all_bytes_of(body(browse("electrician").get(at(card, "original"))))) is None


def test_a_signed_document_that_tells_nothing_goes_as_it_is(site: Site, browse: Any) -> None:
    site.start(ROUGH.key, "electrician")
    row = site.document("rough@pit#inspection", "contractor", signed(plain_photo()))
    assert look_at(row.blob).how == "signed"
    answer = browse("electrician").get(at(row, "original"))
    assert answer.headers["Content-Disposition"] == 'attachment; filename="card.pdf"'
    assert body(answer) == path_of(row.blob).read_bytes()


def test_of_a_signed_document_that_tells_more_a_copy_goes_and_says_that_it_is_not_signed(
    site: Site, browse: Any
) -> None:
    site.start(ROUGH.key, "electrician")
    row = site.document("rough@pit#inspection", "contractor", signed(photo_with_position()))
    assert look_at(row.blob).how == "unsigned"
    answer = browse("electrician").get(at(row, "original"))
    assert answer.headers["Content-Disposition"] == 'attachment; filename="card-copy-without-location.pdf"'
    assert NAMED.search(all_bytes_of(body(answer))) is None
    sheet = reverse("task", args=[site.project.uid, row.requirement.task.uid])
    assert "the original is signed, which no copy can be" in words(browse("crew").get(sheet))


def test_an_altered_document_is_given_to_nobody(card: Evidence, browse: Any) -> None:
    path = path_of(card.blob)
    path.chmod(0o640)
    path.write_bytes(b"altered")
    for name in ("electrician", "contractor"):
        answer = browse(name).get(at(card, "original"))
        assert f"the SHA-256 of the original is {card.blob.sha256}" in words(answer)


@pytest.mark.parametrize("size", ["huge", "320", "..", "Small"])
def test_there_are_three_sizes(browse: Any, photo: Evidence, size: str) -> None:
    assert browse("coordinator").get(f"/media/{photo.uid}/{size}").status_code == 404


def test_what_was_never_handed_in_is_not_there(site: Site, browse: Any) -> None:
    assert browse("coordinator").get(reverse("media", args=[NOBODYS, "small"])).status_code == 404


def test_a_reading_has_no_picture(site: Site, browse: Any) -> None:
    site.start(BACKING.key, "framer")
    row = site.read("backing@rail-wall#spread", "framer", '30"')
    assert browse("coordinator").get(at(row)).status_code == 404
