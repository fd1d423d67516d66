"""Papers of one site: who finds which kind, what the owner's variant leaves out, packing, the final list by hand."""

import io
import re
import uuid
from collections.abc import Callable

import pypdf
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from coordination.evidence.marking import MarkInput, put_mark
from coordination.evidence.models import Evidence, Rendition
from coordination.evidence.renditions import ensure_renditions
from coordination.handover.models import ItemWord, Pack
from coordination.handover.packs import make_pack
from coordination.record.models import Event
from coordination.siteprep.fact_reading import load_facts
from coordination.web.shapes.recall_facts import given_from
from tests.gates.sites import Site
from tests.web.sites import text_of

SeenBy = Callable[[str], Client]
PDF = b"%PDF-1.7 made"


@pytest.fixture(autouse=True)
def _papers_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is drawn is tested below; here it is who gets it."""
    for view in ("papers", "contact_sheets", "final_list"):
        monkeypatch.setattr(f"coordination.web.views.{view}.pdf_of", lambda order: PDF)
    monkeypatch.setattr("coordination.handover.packing.laying.pdf_of", lambda order: PDF)
    monkeypatch.setattr(
        "coordination.handover.weekly.one_page", lambda orders: next(iter(orders)).html.encode()
    )


@pytest.fixture
def worked(site: Site) -> Site:
    site.ready()
    return site


def at(name: str, site: Site, *more: object) -> str:
    return reverse(name, args=[site.project.uid, *more])


KINDS = (
    "papers",
    "week-pdf",
    "brief-pdf",
    "final-list",
    "final-list-pdf",
    "place-evidence",
    "place-evidence-pdf",
)
OPENS = {
    "coordinator": set(KINDS),
    "contractor": set(KINDS),
    "crew": set(KINDS),
    "framer": set(),
    "by link: owner": {"papers", "week-pdf", "final-list", "final-list-pdf"},
    "by link: inspector": {
        "papers", "week-pdf", "final-list", "final-list-pdf", "place-evidence", "place-evidence-pdf",
    },
    "stranger": set(),
    "by link: expired": set(),
}  # fmt: skip


@pytest.mark.parametrize("name", OPENS)
def test_each_opens_what_they_may_and_the_page_names_nothing_else(
    worked: Site, seen_by: SeenBy, name: str
) -> None:
    client, opened = seen_by(name), set()
    for kind in KINDS:
        more = ["rail-wall"] if kind.startswith("place") else []
        if client.get(at(kind, worked, *more)).status_code == 200:
            opened.add(kind)
    assert opened == OPENS[name]
    if "papers" in opened:
        page = client.get(at("papers", worked)).content.decode()
        for kind in KINDS[1:]:
            if not kind.startswith("place"):
                linked = f'href="{at(kind, worked)}"' in page
                assert not linked or kind in opened, kind
        assert (at("place-evidence", worked, "rail-wall") in page) == ("place-evidence" in opened)


def test_a_place_or_task_that_is_not_there_is_not_found(worked: Site, seen_by: SeenBy) -> None:
    client = seen_by("coordinator")
    assert client.get(at("place-evidence", worked, "attic")).status_code == 404
    assert client.get(at("task-evidence", worked, worked.project.uid)).status_code == 404
    assert client.get(at("site-recall-test", worked)).status_code == 404  # this plan has no recall test


def test_a_trade_sees_the_evidence_of_its_own_work_only(worked: Site, seen_by: SeenBy) -> None:
    own, other = worked.task("backing@rail-wall").uid, worked.task("rough@pit").uid
    framer = seen_by("framer")
    assert framer.get(at("task-evidence", worked, own)).status_code == 200
    assert framer.get(at("task-evidence-pdf", worked, own)).content == PDF
    assert framer.get(at("task-evidence", worked, other)).status_code == 404
    photo = Evidence.objects.get(requirement=worked.need("rough@pit#receptacle"))
    assert framer.get(at("evidence-copy", worked, photo.uid, "small")).status_code == 404


def test_the_evidence_of_a_place_says_what_was_let_go_there(site: Site, seen_by: SeenBy) -> None:
    site.vary("rough@pit#receptacle")
    client = seen_by("by link: inspector")
    pit = text_of(client.get(at("place-evidence", site, "pit")))
    assert "Authority’s variance: Photo · rough, Pit" in pit
    assert "Town Hall (building department), No. V-12" in pit
    assert "variance" not in text_of(client.get(at("place-evidence", site, "rail-wall"))).lower()


def test_the_sheet_shows_copies_and_how_each_stands(worked: Site, seen_by: SeenBy) -> None:
    photo = Evidence.objects.select_related("blob").get(requirement=worked.need("backing@rail-wall#left"))
    ensure_renditions(photo)
    client = seen_by("by link: inspector")
    page = client.get(at("place-evidence", worked, "rail-wall"))
    words = text_of(page)
    for told in (
        "1 · Photo",
        "accepted",
        "Bo Tran",
        photo.blob.sha256,
        "2' 6\", inside, tape",
        "2' 5\" to 2' 7\"",
    ):
        assert told in words, told
    small = at("evidence-copy", worked, photo.uid, "small")
    assert f'src="{small}"' in page.content.decode()
    answer = client.get(small)
    copy = Rendition.objects.get(evidence=photo, size=320)
    assert answer.headers["ETag"] == f'"{copy.blob.sha256}"'
    answer.close()
    assert client.get(at("evidence-copy", worked, photo.uid, "original")).status_code == 404


def test_the_sheet_shows_the_marks_over_the_photo_and_leads_to_what_the_reader_may_open(
    worked: Site, seen_by: SeenBy
) -> None:
    photo = Evidence.objects.select_related("blob").get(requirement=worked.need("backing@rail-wall#left"))
    ensure_renditions(photo)
    told = MarkInput(sender_key=uuid.uuid4(), kind="ring", points=((1000, 1000), (4000, 4000)), words="gap")
    put_mark(worked.project, worked.who("contractor"), worked.step(), photo.uid, told)
    large = at("evidence-photo", worked, photo.uid)
    for name, href in (("contractor", reverse("photo", args=[photo.uid])), ("by link: inspector", large)):
        page = seen_by(name).get(at("place-evidence", worked, "rail-wall"))
        shown = page.content.decode().split(f'<a class="marked-photo" href="{href}">')[1].split("</a>")[0]
        assert shown.count('data-kind="ring"') == 1
        assert ". Marks: 1, ring, left side, a third down: gap" in shown
        assert "1, ring, left side, a third down: gap (Ana Ruiz)" in text_of(page)


def test_the_large_photo_behind_a_link_has_its_marks_in_the_picture_and_in_words(
    worked: Site, seen_by: SeenBy
) -> None:
    photo = Evidence.objects.select_related("blob").get(requirement=worked.need("backing@rail-wall#left"))
    told = MarkInput(sender_key=uuid.uuid4(), kind="ring", points=((1000, 1000), (4000, 4000)), words="gap")
    put_mark(worked.project, worked.who("contractor"), worked.step(), photo.uid, told)
    asked = at("evidence-photo", worked, photo.uid)
    waiting = seen_by("by link: inspector").get(asked).content.decode()
    assert ("photo-waiting" in waiting, "evidence/copies" in waiting) == (True, False)
    ensure_renditions(photo)
    page = seen_by("by link: inspector").get(asked)
    stage = page.content.decode().split("marking-stage")[1].split("</div>")[0]
    assert f'src="{at("evidence-copy", worked, photo.uid, "large")}"' in stage
    assert stage.count('data-kind="ring"') == 1
    assert ". Marks: 1, ring, left side, a third down: gap" in stage
    assert "1, ring, left side, a third down: gap (Ana Ruiz)" in text_of(page)
    assert f'href="{at("place-evidence", worked, "rail-wall")}"' in page.content.decode()
    assert "Put the mark" not in text_of(page)


def test_the_large_photo_is_seen_by_whoever_sees_the_sheet(worked: Site, seen_by: SeenBy) -> None:
    photo = Evidence.objects.select_related("blob").get(requirement=worked.need("backing@rail-wall#left"))
    ensure_renditions(photo)
    asked = at("evidence-photo", worked, photo.uid)
    sees = {name: seen_by(name).get(asked).status_code for name in ("framer", "by link: inspector", "crew")}
    assert sees == {"framer": 200, "by link: inspector": 200, "crew": 200}
    others = ("electrician", "by link: owner", "by link: expired", "stranger")
    assert {seen_by(name).get(asked).status_code for name in others} <= {302, 404, 410}
    of_task = at("task-evidence", worked, worked.task("backing@rail-wall").uid)
    assert f'href="{of_task}"' in seen_by("framer").get(asked).content.decode()
    assert seen_by("crew").get(at("evidence-photo", worked, worked.project.uid)).status_code == 404


def test_the_owners_week_names_no_company_no_person_and_no_telephone(worked: Site, seen_by: SeenBy) -> None:
    whole = seen_by("contractor").get(at("week-pdf", worked)).content.decode()
    owners = seen_by("by link: owner").get(at("week-pdf", worked)).content.decode()
    named = [company.name for company in worked.cast.companies.values()]
    assert any(name in whole for name in named)
    assert "555-0" in whole
    assert [name for name in named if name in owners] == []
    assert "555-0" not in owners


def test_a_link_gets_the_variant_of_copies_and_never_the_other(worked: Site, seen_by: SeenBy) -> None:
    owner, contractor = seen_by("by link: owner"), seen_by("contractor")
    for client in (owner, contractor):
        assert client.post(at("pack-asking", worked, "folder")).status_code == 302
    for pack in Pack.objects.all():
        make_pack(str(pack.uid))
    ours, theirs = Pack.objects.get(originals=True), Pack.objects.get(originals=False)
    assert owner.get(at("pack-file", worked, ours.uid)).status_code == 404
    answer = owner.get(at("pack-file", worked, theirs.uid))
    assert answer.headers["Content-Type"] == "application/zip"
    assert 'filename="harrow-lane-handover-' in answer.headers["Content-Disposition"]
    assert b"".join(answer.streaming_content)[:2] == b"PK"
    answer.close()
    page = text_of(owner.get(at("papers", worked)))
    assert theirs.sha256 in page
    assert ours.sha256 not in page


@pytest.mark.parametrize("name", ["crew", "framer", "by link: inspector", "stranger"])
def test_others_cannot_have_anything_packed(worked: Site, seen_by: SeenBy, name: str) -> None:
    assert seen_by(name).post(at("pack-asking", worked, "archive")).status_code == 404
    assert Pack.objects.count() == 0


def test_while_it_is_packed_the_page_says_how_far_and_asks_again(worked: Site, seen_by: SeenBy) -> None:
    client = seen_by("coordinator")
    client.post(at("pack-asking", worked, "archive"))
    Pack.objects.update(done=3, total=12)
    page = client.get(at("papers", worked))
    assert "Being packed: 3 of 12." in text_of(page)
    assert 'hx-trigger="every 2s"' in page.content.decode()
    client.post(at("pack-asking", worked, "archive"))
    assert Pack.objects.count() == 1
    assert client.post(at("pack-asking", worked, "everything")).status_code == 404


def test_a_folder_that_was_let_go_says_why_and_can_be_packed_again(worked: Site, seen_by: SeenBy) -> None:
    client = seen_by("by link: owner")
    client.post(at("pack-asking", worked, "archive"))
    pack = Pack.objects.get()
    make_pack(str(pack.uid))
    assert "Download the ZIP" in text_of(client.get(at("papers", worked)))
    Pack.objects.update(blob=None)
    told = text_of(client.get(at("papers", worked)))
    assert "This file is not given out any more: PDFs in it could say where" in told
    assert ("Download the ZIP" in told, "Pack it as it stands now" in told) == (False, True)
    client.post(at("pack-asking", worked, "archive"))
    make_pack(str(pack.uid))
    assert "Download the ZIP" in text_of(client.get(at("papers", worked)))


# ---- the final list by hand
def test_what_is_written_down_fills_the_list_and_stands_in_the_record(worked: Site, seen_by: SeenBy) -> None:
    client = seen_by("contractor")
    told = {"state": "present", "words": "Two recall keys, beside the recall switch."}
    answer = client.post(at("final-list-item", worked, "keys"), told)
    assert (answer.status_code, answer.headers["Location"]) == (302, at("final-list", worked) + "#item-keys")
    assert "Two recall keys, beside the recall switch (says Ana Ruiz" in text_of(
        client.get(at("final-list", worked))
    )
    client.post(at("final-list-item", worked, "keys"), told)
    assert ItemWord.objects.count() == Event.objects.filter(verb="final list filled").count() == 1


def test_a_warranty_needs_its_day_and_a_paper_may_lie_beside_it(worked: Site, seen_by: SeenBy) -> None:
    client, where = seen_by("coordinator"), at("final-list-item", worked, "warranty")
    told = {"state": "present", "words": "Parts and labor."}
    refused = client.post(where, told)
    assert refused.status_code == 422
    assert "Write the day that goes with it." in text_of(refused)
    file = SimpleUploadedFile("warranty.pdf", _pdf(), "application/pdf")
    assert client.post(where, {**told, "day": "2027-11-30", "file": file}).status_code == 302
    word = ItemWord.objects.select_related("blob").get()
    assert (str(word.day), word.file_name, word.blob.media_type) == (
        "2027-11-30",
        "warranty.pdf",
        "application/pdf",
    )


def test_what_is_no_paper_is_refused_and_keeps_nothing(worked: Site, seen_by: SeenBy) -> None:
    file = SimpleUploadedFile("keys.pdf", b"<html>", "application/pdf")
    told = {"state": "present", "words": "In the box.", "file": file}
    answer = seen_by("coordinator").post(at("final-list-item", worked, "keys"), told)
    assert answer.status_code == 422
    assert re.search(r"keys\.pdf", text_of(answer))
    assert ItemWord.objects.count() == 0


@pytest.mark.parametrize(("name", "status"), [("crew", 404), ("by link: owner", 404), ("framer", 404)])
def test_others_write_nothing_down(worked: Site, seen_by: SeenBy, name: str, status: int) -> None:
    client = seen_by(name)
    told = {"state": "present", "words": "x"}
    assert client.post(at("final-list-item", worked, "keys"), told).status_code == status
    if name != "framer":
        assert "final-list/keys" not in client.get(at("final-list", worked)).content.decode()


def test_only_items_that_somebody_can_say_are_filled_by_hand(worked: Site, seen_by: SeenBy) -> None:
    told = {"state": "not needed", "words": "x"}
    for item in ("certificate", "nothing"):
        assert seen_by("coordinator").post(at("final-list-item", worked, item), told).status_code == 404


# ---- the recall test of a site
def test_the_recall_test_is_filled_with_what_is_known_of_the_site() -> None:
    from django.conf import settings

    facts = load_facts(settings.BASE_DIR / "fixtures" / "facts" / "candle-works.toml")
    given = given_from(facts)
    assert given["landings"] == ["Pouring hall", "Drying loft"]
    assert (given["designated"], given["hydraulic"], given["lift_class"]) == (
        "Pouring hall",
        True,
        "limited use",
    )
    assert set(given) >= {"panel", "machinery_in_hoistway"}


def test_the_recall_test_names_the_project_and_its_landings() -> None:
    from django.conf import settings

    from coordination.web.shapes.calculated import calculated
    from coordination.web.shapes.recall_facts import recall_form
    from coordination.web.shapes.test_sheets import test_sheet

    facts = load_facts(settings.BASE_DIR / "fixtures" / "facts" / "candle-works.toml")
    form = recall_form(facts)
    made = test_sheet(timezone.now(), form, calculated(form), project="Candle works, Little Harrow")
    text = " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(made)).pages).split())
    assert "Candle works, Little Harrow" in text
    assert "Drying loft" in text


def _pdf() -> bytes:
    writer, file = pypdf.PdfWriter(), io.BytesIO()
    writer.add_blank_page(200, 200)
    writer.write(file)
    return file.getvalue()
