"""The public page on which a paper is checked, and the wish for another language or size."""

import hashlib
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from coordination.console.background_work import make_report
from coordination.files.keeping import path_of
from coordination.handover.actions import make_gate_report
from coordination.handover.models import Report, ReportWish
from coordination.handover.papers_wanted import reports_wished
from coordination.paper.ordering import PaperError
from coordination.record.models import Event
from coordination.web.shapes.handover import edition_words
from coordination.web.views import report_check
from tests.gates.sites import Site, build
from tests.handover.certificates import made_in
from tests.web.sites import browser, text_of

CHECK = "/check"


@pytest.fixture
def site(db: Any, now: Any) -> Site:
    site = build()
    site.signed()
    site.clear("close-in")
    return site


SPANISH_A4 = edition_words("es", "a4")
HELD = b"%PDF-1.7 the kept bytes of report "


@pytest.fixture
def report(site: Site, monkeypatch: Any) -> Report:
    return made(site, monkeypatch)


def made(site: Site, monkeypatch: Any) -> Report:
    """The report, with its code in readable bytes and nothing more."""
    rendered = lambda composed, file: file.write(HELD + composed.code.encode())  # noqa: E731
    monkeypatch.setattr("coordination.handover.composing.Composed.render_to", rendered)
    return make_gate_report(site.clearing("close-in"), site.step(), language="en-us", paper="letter")


def held(report: Report) -> bytes:
    return HELD + report.code.encode()


def send(content: bytes, **more: str) -> Any:
    file = SimpleUploadedFile("held.pdf", content, content_type="application/pdf")
    return Client().post(CHECK, {"file": file, **more})


def reopen(site: Site) -> None:
    from coordination.evidence.models import Evidence

    photo = Evidence.objects.get(requirement=site.need("backing@rail-wall#left"))
    site.withdraw(photo, "framer", "wrong wall")


def test_anybody_reads_what_a_code_says_and_no_more_than_the_title(site: Site, report: Report) -> None:
    answer = Client().get(f"{CHECK}/{report.code.lower()}")
    said = text_of(answer)
    assert answer.status_code == 200
    assert "A report with this code was given out, and it still stands." in said
    assert "Gate report: close-in" in said
    assert "Harrow Lane" in said
    for kept_back in ("Copper Creek", "Ana Ruiz", "backing", "rail wall", "555-", "12 Harrow Lane"):
        assert kept_back not in said
    assert str(site.project.uid) not in answer.content.decode()


@pytest.mark.parametrize("address", ["/sign-in", "/help", CHECK])
def test_whoever_holds_a_print_finds_the_way_without_an_account(db: None, address: str) -> None:
    page = Client().get(address).content.decode()
    assert f'<a class="title-help" href="{CHECK}">Check a report</a>' in page
    assert page.count(f'href="{CHECK}"') == (1 if address == CHECK else 2)


def test_a_superseded_one_says_so(site: Site, report: Report) -> None:
    reopen(site)
    assert "It is superseded: its gate reopened on" in text_of(Client().get(f"{CHECK}/{report.code}"))


def test_a_code_may_be_typed(site: Site, report: Report) -> None:
    answer = Client().get(CHECK, {"code": report.code.replace("-", " ").lower()})
    assert answer["Location"] == f"{CHECK}/{report.code}"
    assert Client().get(CHECK).status_code == 200


def test_unknown_codes_are_counted_and_known_ones_are_not(site: Site, report: Report) -> None:
    for _each in range(report_check.UNKNOWN_CODES.most):
        assert "Unknown: no report with this code" in text_of(Client().get(f"{CHECK}/AAAAA-AAAAA"))
    assert Client().get(f"{CHECK}/AAAAA-AAAAA").status_code == 422
    assert Client().get(f"{CHECK}/{report.code}").status_code == 422


def test_a_file_is_compared_and_not_kept(site: Site, report: Report, settings: Any) -> None:
    before = sorted(path for path in settings.VAR.rglob("*") if path.is_file())
    answer = send(held(report))
    said = text_of(answer)
    assert f"Genuine: this is report {report.code} as it was given out, byte for byte." in said
    assert hashlib.sha256(held(report)).hexdigest() in said
    assert "not worked out: this needs script and a page opened over https" in said
    answer.close()
    assert sorted(path for path in settings.VAR.rglob("*") if path.is_file()) == before


def test_both_hashes_stand_side_by_side(site: Site, report: Report) -> None:
    own = hashlib.sha256(held(report)).hexdigest()
    assert "Both are the same" in text_of(send(held(report), browser_sha256=own))
    assert "They differ" in text_of(send(held(report), browser_sha256="0" * 64))
    assert "not worked out" in text_of(send(held(report), browser_sha256="<script>"))


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"%PDF-1.7 the kepT bytes of report CODE", "Altered: 1 byte is not as in report"),
        (b"%PDF-1.7 the kept bytes of report CODE\nsigned", "Something was added: it begins with report"),
        (b"%PDF-1.7 made up, report CODE", "Not the file that was given out: it names report"),
        (b"%PDF-1.7 of another house", "Unknown: this PDF is no report that was given out here"),
        (b"a picture", "This is no PDF."),
    ],
)
def test_each_wrong_file_is_told_apart(site: Site, report: Report, content: bytes, said: str) -> None:
    assert said in text_of(send(content.replace(b"CODE", report.code.encode())))


def test_without_a_file_and_with_one_too_large(site: Site, report: Report, settings: Any) -> None:
    assert Client().post(CHECK, {}).status_code == 422
    settings.UPLOAD_LIMIT = 10
    answer = send(held(report) + bytes(1_000_001))
    assert (answer.status_code, "larger than 1 MB, and so than every report" in text_of(answer)) == (
        422,
        True,
    )


def test_a_report_larger_than_an_upload_is_checked(site: Site, report: Report, settings: Any) -> None:
    settings.UPLOAD_LIMIT = 10
    assert "Genuine" in text_of(send(held(report)))
    assert "Something was added" in text_of(send(held(report) + bytes(900_000)))


def test_files_are_counted(site: Site, report: Report, monkeypatch: Any) -> None:
    monkeypatch.setattr(report_check, "FILES", report_check.Limit("files checked from an address", 2, 10))
    assert [send(held(report)).status_code for _each in range(3)] == [200, 200, 422]


def wish(site: Site, name: str, value: str) -> Any:
    address = reverse("report-wish", args=[site.project.uid, site.clearing("close-in").uid])
    return browser(site)(name).post(address, {"wish": value})


@pytest.mark.parametrize("name", ["coordinator", "contractor", "crew", "by link: inspector"])
def test_whoever_reads_reports_may_have_one_in_another_language(
    site: Site, report: Report, name: str
) -> None:
    assert wish(site, name, "es/a4").status_code == 302
    assert wish(site, name, "es/a4").status_code == 302
    [key] = reports_wished()
    assert key == f"{report.clearing.uid}/es/a4"
    assert (ReportWish.objects.count(), Event.objects.filter(verb="report asked for").count()) == (1, 1)
    page = browser(site)(name).get(reverse("handover", args=[site.project.uid]))
    assert f"{SPANISH_A4} The report waits for its turn" in text_of(page)
    make_report(key)
    assert list(reports_wished()) == []
    page = text_of(browser(site)(name).get(reverse("handover", args=[site.project.uid])))
    assert "Download the PDF: English, Letter" in page
    assert f"Download the PDF: {SPANISH_A4}" in page


@pytest.mark.parametrize("name", ["electrician", "framer", "owner", "stranger"])
def test_others_may_not(site: Site, report: Report, name: str) -> None:
    assert wish(site, name, "es/a4").status_code == 404
    assert not ReportWish.objects.exists()


@pytest.mark.parametrize("value", ["", "fr/a4", "es/a3", "es", "es/a4/x"])
def test_only_what_is_offered_can_be_wished(site: Site, report: Report, value: str) -> None:
    answer = wish(site, "coordinator", value)
    assert (answer.status_code, "choose one of those that are offered" in text_of(answer)) == (422, True)


def test_a_wish_for_another_site_is_not_found(site: Site, report: Report) -> None:
    other = build("other-")
    address = reverse("report-wish", args=[other.project.uid, site.clearing("close-in").uid])
    assert browser(other)("coordinator").post(address, {"wish": "es/a4"}).status_code == 404


def test_a_report_is_signed_where_a_key_is_set(
    site: Site, settings: Any, monkeypatch: Any, tmp_path: Any
) -> None:
    monkeypatch.setattr("coordination.handover.actions.signed", lambda pdf, signing: pdf + b"\nsignature")
    settings.SIGNING = (tmp_path / "key", tmp_path / "certificate")
    report = made(site, monkeypatch)
    assert path_of(report.blob).read_bytes() == held(report) + b"\nsignature"
    unsigned = hashlib.sha256(held(report)).hexdigest(), len(held(report))
    assert (report.unsigned_sha256, report.unsigned_size) == unsigned
    assert "as it was given out and signed, byte for byte" in text_of(send(held(report) + b"\nsignature"))
    assert "before it was signed, byte for byte" in text_of(send(held(report)))
    assert "Something was added" in text_of(send(held(report) + b"\nsignaturf"))


def test_a_key_that_cannot_sign_refuses_the_report_in_words(
    site: Site, settings: Any, monkeypatch: Any, tmp_path: Any
) -> None:
    settings.SIGNING = made_in(tmp_path, password=b"plumb line")
    with pytest.raises(
        PaperError, match=r"cannot be signed\. key\.pem is locked with a password\. Write the name"
    ):
        made(site, monkeypatch)
    assert not Report.objects.exists()
