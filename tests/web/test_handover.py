"""The inspector's page: reports with what to check them by, the PDF itself, remarks."""

import hashlib
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from coordination.background.models import Lease
from coordination.evidence.arrivals import take_in
from coordination.evidence.items import HandIn
from coordination.evidence.models import Evidence
from coordination.evidence.renditions import ensure_renditions
from coordination.files.for_strangers import look_at
from coordination.files.keeping import path_of
from coordination.files.models import PaperForStrangers
from coordination.handover.models import Remark
from coordination.record.models import Event
from tests.evidence.test_arrivals import photo
from tests.files.scans import NAMED, all_bytes_of, photo_with_position, plain_photo, scanned, signed
from tests.gates.sites import Site, build
from tests.web.sites import PDF, browser, paper, text_of

READERS = ["coordinator", "contractor", "crew", "by link: inspector"]
OTHERS = ["electrician", "framer", "left", "owner", "stranger"]


@pytest.fixture
def site(db: Any, now: Any) -> Site:
    site = build()
    site.signed()
    site.clear("close-in")
    return site


def page(site: Site) -> str:
    return reverse("handover", args=[site.project.uid])


def download(site: Site, code: str) -> str:
    return reverse("report", args=[site.project.uid, code])


def remark(site: Site, code: str) -> str:
    return reverse("remark", args=[site.project.uid, code])


def fetched(client: Client, address: str) -> bytes:
    answer = client.get(address)
    assert answer.status_code == 200
    content = b"".join(answer.streaming_content)
    answer.close()
    return content


@pytest.mark.parametrize("name", READERS)
def test_readers_get_the_page_and_the_pdf(site: Site, seen_by: Any, monkeypatch: Any, name: str) -> None:
    made = paper(site.clearing("close-in"), site.step(), monkeypatch)
    client = seen_by(name)
    assert client.get(page(site)).status_code == 200
    assert fetched(client, download(site, made.code)) == PDF


@pytest.mark.parametrize("name", [*OTHERS, "by link: owner", "by link: framer", "by link: expired"])
def test_others_get_nothing(site: Site, seen_by: Any, monkeypatch: Any, name: str) -> None:
    made = paper(site.clearing("close-in"), site.step(), monkeypatch)
    client, before = seen_by(name), Event.objects.count()
    answers = [
        client.get(page(site)).status_code,
        client.get(download(site, made.code)).status_code,
        client.post(remark(site, made.code), {"name": "me", "body": "it"}).status_code,
    ]
    assert (answers, Event.objects.count()) == ([404] * 3, before)


def test_a_code_opens_nothing_on_another_project(site: Site, monkeypatch: Any) -> None:
    far = build("far.")
    made = paper(site.clearing("close-in"), site.step(), monkeypatch)
    client = browser(far)("coordinator")
    assert client.get(download(far, made.code)).status_code == 404
    assert client.post(remark(far, made.code), {"name": "me", "body": "it"}).status_code == 404
    assert client.get(download(site, made.code)).status_code == 404


def test_the_pdf_is_sent_to_be_kept_and_never_to_be_run(site: Site, seen_by: Any, monkeypatch: Any) -> None:
    made = paper(site.clearing("close-in"), site.step(), monkeypatch)
    answer = seen_by("by link: inspector").get(download(site, made.code))
    answer.close()
    kept = {
        name: answer.headers[name]
        for name in (
            "Content-Type",
            "Content-Disposition",
            "X-Content-Type-Options",
            "Content-Security-Policy",
            "Cache-Control",
            "Content-Length",
        )
    }
    assert kept == {
        "Content-Type": "application/pdf",
        "Content-Disposition": f'attachment; filename="harrow-lane-close-in-round-1-{made.code}.pdf"',
        "X-Content-Type-Options": "nosniff",
        "Content-Security-Policy": "sandbox; default-src 'none'; frame-ancestors 'none'",
        "Cache-Control": "private, no-transform",
        "Content-Length": str(len(PDF)),
    }
    assert "Set-Cookie" not in answer.headers


def test_the_page_says_what_a_genuine_report_weighs_and_hashes_to(
    site: Site, seen_by: Any, monkeypatch: Any
) -> None:
    made = paper(site.clearing("close-in"), site.step(), monkeypatch)
    said = text_of(seen_by("by link: inspector").get(page(site)))
    for words in (made.code, hashlib.sha256(PDF).hexdigest(), f"{len(PDF):,} bytes", "stands", "sha256sum"):
        assert words in said


def test_a_report_says_what_superseded_it(site: Site, seen_by: Any, monkeypatch: Any) -> None:
    first = paper(site.clearing("close-in"), site.step(), monkeypatch)
    photo = Evidence.objects.get(requirement=site.need("backing@rail-wall#left"))
    site.withdraw(photo, "framer", "wrong wall")
    between = text_of(seen_by("by link: inspector").get(page(site)))
    assert "superseded: the gate reopened and has not been cleared again" in between
    assert "what was handed in for “Photo” was withdrawn: wrong wall" in between
    site.photo("backing@rail-wall#left", "framer")
    offer = site.offer("backing@rail-wall", "framer")
    site.review("backing@rail-wall#left", "contractor")
    site.answer(offer, "rails@hoistway", "crew")
    for name in ("contractor", "crew"):
        site.sign("close-in", name)
    second = paper(site.clear("close-in"), site.step(), monkeypatch, PDF + b" again")
    answer = seen_by("by link: inspector").get(page(site))
    told = [
        (line.number, line.state, line.superseded_by, line.papers[0].code) for line in answer.context["lines"]
    ]
    assert told == [(2, "cleared", "", second.code), (1, "reopened", second.code, first.code)]
    assert f"superseded by report {second.code}" in text_of(answer)
    assert fetched(seen_by("by link: inspector"), download(site, first.code)) == PDF


def test_the_authoritys_own_document_is_the_official_result(site: Site, seen_by: Any) -> None:
    answer = seen_by("by link: inspector").get(page(site))
    [result] = answer.context["results"]
    assert (result.authority, result.what, result.number) == (
        "The electrical authority",
        "Electrical inspection",
        "E-77",
    )
    document = Evidence.objects.get(requirement=site.need("rough@pit#inspection"))
    assert (result.dated, result.sha256) == (document.dated, document.blob.sha256)


def test_it_shows_no_telephone_and_no_row_of_ours(site: Site, seen_by: Any, monkeypatch: Any) -> None:
    paper(site.clearing("close-in"), site.step(), monkeypatch)
    page_text = seen_by("by link: inspector").get(page(site)).content.decode()
    assert "555-" not in page_text
    assert "tel:" not in page_text
    assert f'"{site.project.pk}"' not in page_text


def test_a_remark_is_kept_as_unverified_once(site: Site, seen_by: Any, monkeypatch: Any) -> None:
    made = paper(site.clearing("close-in"), site.step(), monkeypatch)
    client = seen_by("by link: inspector")
    told = {"name": "County inspector", "body": "Left jamb <b>out</b> of plumb at landing 2."}
    for _ in range(2):
        answer = client.post(remark(site, made.code), told)
        assert answer.status_code == 302
    assert Remark.objects.count() == 1
    shown = client.get(page(site))
    assert "County inspector, Wed 4 Mar 2026, 10:30 , unverified" in text_of(shown)
    assert b"&lt;b&gt;out&lt;/b&gt;" in shown.content
    assert site.clearing("close-in").reopened_at is None


@pytest.mark.parametrize(
    ("told", "said"),
    [
        ({"name": "", "body": "crack"}, "Write who remarks, a person or an office."),
        ({"name": "Inspector", "body": " "}, "Write what you found and where."),
        ({"name": "Inspector", "body": "x" * 2001}, "at most 2000 characters"),
    ],
)
def test_a_remark_that_lacks_something_is_refused_in_its_place(
    site: Site, seen_by: Any, monkeypatch: Any, told: Any, said: str
) -> None:
    made = paper(site.clearing("close-in"), site.step(), monkeypatch)
    answer = seen_by("by link: inspector").post(remark(site, made.code), told)
    assert (answer.status_code, Remark.objects.count()) == (422, 0)
    assert said in text_of(answer)
    assert b"<details open><summary>Leave a remark" in answer.content


def test_an_expired_or_revoked_link_opens_no_report_any_more(
    site: Site, seen_by: Any, monkeypatch: Any
) -> None:
    from coordination.access.actions import revoke_link

    made = paper(site.clearing("close-in"), site.step(), monkeypatch)
    client = seen_by("by link: inspector")
    revoke_link(site.project, site.who("coordinator"), site.step(), site.cast.links["inspector"].uid)
    assert client.get(download(site, made.code)).status_code == 404
    assert client.post(remark(site, made.code), {"name": "me", "body": "it"}).status_code == 404


def test_a_report_that_is_being_made_and_one_that_cannot_be(site: Site, seen_by: Any) -> None:
    client = seen_by("by link: inspector")
    assert "it shows here by itself when it is done" in text_of(client.get(page(site)))
    clearing = site.clearing("close-in")
    Lease.objects.create(kind="reports", key=str(clearing.uid), due=None, error="no font")
    assert "This report could not be made" in text_of(client.get(page(site)))


def test_the_page_costs_the_same_for_one_report_and_for_two(
    site: Site, seen_by: Any, monkeypatch: Any, django_assert_num_queries: Any
) -> None:
    paper(site.clearing("close-in"), site.step(), monkeypatch)
    client = seen_by("by link: inspector")
    with django_assert_num_queries(QUERIES):
        assert len(client.get(page(site)).context["lines"]) == 1
    site.start("rails@hoistway", "crew")
    site.offer("rails@hoistway", "crew")
    paper(site.clear("handover", "contractor"), site.step(), monkeypatch, PDF + b" last")
    with django_assert_num_queries(QUERIES):
        assert len(client.get(page(site)).context["lines"]) == 2


QUERIES = 12


def scan(site: Site, uid: Any) -> str:
    return reverse("official-result", args=[site.project.uid, uid])


def attached(site: Site, content: bytes, name: str) -> Evidence:
    """The electrical authority's document, handed in anew as ``content``."""
    first = Evidence.objects.get(requirement=site.need("rough@pit#inspection"))
    site.withdraw(first, "contractor", "not readable")
    came = take_in(site.project, content, kind="document", file_name=name)
    item = HandIn(uuid4(), blob=came.blob, image=came.image, file_name=name, number="E-78", dated=first.dated)
    return site.hand_in("rough@pit#inspection", "contractor", item)


def test_readers_get_the_document_that_the_page_names_each_as_they_may(site: Site, seen_by: Any) -> None:
    document = attached(site, scanned(), "tag.pdf")
    whole = path_of(document.blob).read_bytes()
    look_at(document.blob)
    for name in READERS:
        client, original = seen_by(name), name in {"coordinator", "contractor"}
        assert scan(site, document.uid) in client.get(page(site)).content.decode()
        got = fetched(client, scan(site, document.uid))
        assert (got == whole, bool(NAMED.search(all_bytes_of(got)))) == (original, original)
    inspector = seen_by("by link: inspector")
    answer = inspector.get(scan(site, document.uid))
    answer.close()
    names = ("Content-Security-Policy", "X-Content-Type-Options", "Content-Disposition")
    assert [answer.headers[name] for name in names] == [
        "sandbox; default-src 'none'; frame-ancestors 'none'",
        "nosniff",
        'attachment; filename="tag-copy-without-location.pdf"',
    ]
    told = text_of(inspector.get(page(site)))
    copy = hashlib.sha256(fetched(inspector, scan(site, document.uid))).hexdigest()
    both = f"SHA-256 {document.blob.sha256} ; copy without location and device data, SHA-256 {copy}"
    assert both in told
    assert "the second is that of the file you download" in told
    assert "copy without location" not in text_of(seen_by("contractor").get(page(site)))


def test_a_signed_document_that_tells_nothing_goes_as_it_is(site: Site, seen_by: Any) -> None:
    document = attached(site, signed(plain_photo()), "tag.pdf")
    look_at(document.blob)
    inspector = seen_by("by link: inspector")
    assert fetched(inspector, scan(site, document.uid)) == path_of(document.blob).read_bytes()
    assert "as it was signed: nothing in it says" in text_of(inspector.get(page(site)))


def test_a_signed_document_that_tells_more_goes_as_a_copy_that_says_it_is_not_signed(
    site: Site, seen_by: Any
) -> None:
    document = attached(site, signed(photo_with_position()), "tag.pdf")
    copy = look_at(document.blob).blob
    inspector = seen_by("by link: inspector")
    assert fetched(inspector, scan(site, document.uid)) == path_of(copy).read_bytes()
    assert "whoever needs the signature asks for the original" in text_of(inspector.get(page(site)))


def test_a_document_that_can_have_no_copy_is_named_with_the_reason(site: Site, seen_by: Any) -> None:
    document = attached(site, signed(photo_with_position()), "tag.pdf")
    PaperForStrangers.objects.create(blob=document.blob, how="locked")
    inspector = seen_by("by link: inspector")
    told = text_of(inspector.get(page(site)))
    assert "This document is not given out here: it is locked with a password" in told
    assert "The general contractor and the coordinator have the original." in told
    assert document.blob.sha256 in told
    assert inspector.get(scan(site, document.uid)).status_code == 404
    assert fetched(seen_by("contractor"), scan(site, document.uid)) == path_of(document.blob).read_bytes()


def test_nobody_else_opens_the_document_and_no_other_paper_is_opened_so(site: Site, seen_by: Any) -> None:
    document = Evidence.objects.get(requirement=site.need("rough@pit#inspection"))
    other = Evidence.objects.get(requirement=site.need("backing@rail-wall#left"))
    ensure_renditions(document)
    ensure_renditions(other)
    names = [*OTHERS, "by link: owner", "by link: framer", "by link: expired"]
    refused = [seen_by(name).get(scan(site, document.uid)).status_code for name in names]
    far = browser(build("far."))("coordinator").get(scan(site, document.uid)).status_code
    assert (refused, far) == ([404] * len(names), 404)
    assert [seen_by(name).get(scan(site, other.uid)).status_code for name in READERS] == [404] * 4


def test_a_photo_of_the_document_goes_to_strangers_as_a_copy_without_its_place(
    site: Site, seen_by: Any
) -> None:
    content = photo(gps=True)
    document = attached(site, content, "tag.jpg")
    inspector = seen_by("by link: inspector")
    assert "A copy is still being made" in text_of(inspector.get(page(site)))
    assert inspector.get(scan(site, document.uid)).status_code == 404
    ensure_renditions(document)
    copy = fetched(inspector, scan(site, document.uid))
    assert (b"Exif" in content, b"Exif" in copy, copy[:3]) == (True, False, b"\xff\xd8\xff")
    assert fetched(seen_by("coordinator"), scan(site, document.uid)) == content
