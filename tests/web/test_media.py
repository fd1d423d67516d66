"""Pictures that were handed in: who gets which size, with which headers, and while a copy is being made."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from coordination.background.models import Lease
from coordination.evidence.arrivals import take_in
from coordination.evidence.models import Evidence
from coordination.evidence.renditions import ensure_renditions
from coordination.files.keeping import path_of
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


def test_a_document_is_read_by_whoever_sees_the_task_for_it_has_no_copy(site: Site, browse: Any) -> None:
    site.start(ROUGH.key, "electrician")
    row = site.document("rough@pit#inspection", "contractor")
    arrived = take_in(site.project, PDF, kind="document", file_name="card.pdf")
    Evidence.objects.filter(pk=row.pk).update(blob=arrived.blob, file_name="card.pdf")
    seen = [status_of(browse(name), at(row, "original")) for name in ("electrician", "crew", "framer")]
    assert seen == [200, 200, 404]


@pytest.mark.parametrize("size", ["huge", "320", "..", "Small"])
def test_there_are_three_sizes(browse: Any, photo: Evidence, size: str) -> None:
    assert browse("coordinator").get(f"/media/{photo.uid}/{size}").status_code == 404


def test_what_was_never_handed_in_is_not_there(site: Site, browse: Any) -> None:
    assert browse("coordinator").get(reverse("media", args=[NOBODYS, "small"])).status_code == 404


def test_a_reading_has_no_picture(site: Site, browse: Any) -> None:
    site.start(BACKING.key, "framer")
    row = site.read("backing@rail-wall#spread", "framer", '30"')
    assert browse("coordinator").get(at(row)).status_code == 404


def _pdf() -> bytes:
    import io

    from pypdf import PdfWriter

    file, writer = io.BytesIO(), PdfWriter()
    writer.add_blank_page(200, 200)
    writer.write(file)
    return file.getvalue()


PDF = _pdf()
