"""Somebody holds a report: dropped on the page, chosen by keyboard, or sent without script, in real Chromium."""

import base64
import hashlib
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page, expect

from coordination.evidence.models import Evidence
from coordination.files.keeping import path_of
from coordination.handover.actions import make_gate_report
from coordination.handover.models import Report
from coordination.web.views import report_check
from tests.gates.sites import Site, build
from tests.web.test_desk_in_a_browser import SMALL
from tests.web.test_in_a_browser import faults_of, opened

pytestmark = pytest.mark.browser
on_sqlite = pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
LEFT = "backing@rail-wall#left"
HELD = b"%PDF-1.7 the kept bytes of report "
DROP = """(zone, [name, bytes]) => {
  const carried = new DataTransfer();
  carried.items.add(new File([Uint8Array.from(atob(bytes), (one) => one.charCodeAt(0))], name, {type: "application/pdf"}));
  for (const kind of ["dragenter", "dragover", "drop"]) {
    zone.dispatchEvent(new DragEvent(kind, {dataTransfer: carried, bubbles: true, cancelable: true}));
  }
}"""


@pytest.fixture
def site(served: str) -> Site:
    site = build()
    site.signed()
    site.clear("close-in")
    return site


def report_of(site: Site) -> tuple[Report, bytes]:
    """The report of the standing clearing."""
    made = make_gate_report(site.clearing("close-in"), site.step(), language="en-us", paper="letter")
    return made, path_of(made.blob).read_bytes()


@pytest.fixture
def quickly(monkeypatch: pytest.MonkeyPatch) -> None:
    """Papers of a few bytes, where it is not their bytes that matter."""
    monkeypatch.setattr(
        "coordination.handover.composing.Composed.render_to",
        lambda made, file: file.write(HELD + made.code.encode()),
    )


def clear_again(site: Site) -> None:
    """Withdrawn, shown again, cleared a second time: the first report is superseded."""
    site.withdraw(Evidence.objects.get(requirement=site.need(LEFT)), "framer", "wrong wall")
    site.photo(LEFT, "framer")
    offer = site.offer("backing@rail-wall", "framer")
    site.review(LEFT, "contractor")
    site.answer(offer, "rails@hoistway", "crew")
    site.sign("close-in", "contractor")
    site.sign("close-in", "crew")
    site.clear("close-in")


def drop(page: Page, name: str, content: bytes) -> None:
    page.locator("[data-drop]").evaluate(DROP, [name, base64.b64encode(content).decode()])


def says(page: Page, words: str) -> None:
    """Wait for the answer: a file is read by a process of its own, which takes its time on a busy machine."""
    expect(page.locator("#answer")).to_contain_text(words, timeout=30_000)


def told_by_both(page: Page, content: bytes) -> None:
    """The browser's own hash, before anything is sent, and the server's: each said by whom."""
    sha256 = hashlib.sha256(content).hexdigest()
    for who in ("your browser", "this server"):
        expect(page.get_by_role("row", name=who)).to_contain_text(sha256)
    expect(page.get_by_role("status")).to_have_text(
        f"Worked out by your browser, before anything was sent: {sha256}"
    )
    says(page, "Both are the same")


@on_sqlite
def test_a_report_dropped_on_the_page_is_genuine_then_superseded_and_altered_it_is_unknown(
    browser: Browser, served: str, site: Site, request: pytest.FixtureRequest
) -> None:
    first, content = report_of(site)  # a whole PDF, as it is given out
    page, faults = opened(browser, f"{served}/check", viewport={"width": 390, "height": 844})
    drop(page, "held.pdf", content)
    says(page, f"Genuine: this is report {first.code} as it was given out, byte for byte.")
    says(page, "It still stands.")
    told_by_both(page, content)
    clear_again(site)
    request.getfixturevalue("quickly")
    second, _newer = report_of(site)
    drop(page, "the same.pdf", content)
    says(page, "The file: the same.pdf")
    says(page, f"It is superseded by revision 2 of March 2, 2026, report {second.code}.")
    changed = content[:-200] + bytes([content[-200] ^ 1]) + content[-199:]
    drop(page, "changed.pdf", changed)
    says(page, f"Altered: 1 byte is not as in report {first.code}.")
    says(page, "Do not rely on it.")
    told_by_both(page, changed)
    drop(page, "foreign.pdf", b"%PDF-1.7 of another house")
    says(page, "Unknown: this PDF is no report that was given out here")
    assert (faults, faults_of(page), page.evaluate(SMALL)) == ([], [], [])
    for width in (390, 1280):
        page.set_viewport_size({"width": width, "height": 844})
        assert page.evaluate("() => document.documentElement.scrollWidth <= window.innerWidth") is True
    page.context.close()


@on_sqlite
def test_from_the_first_page_by_keyboard_alone(
    browser: Browser, served: str, site: Site, quickly: None, tmp_path: Path
) -> None:
    report, content = report_of(site)
    (tmp_path / "held.pdf").write_bytes(content)
    page, faults = opened(browser, served)
    page.on("filechooser", lambda _chooser: None)  # the browser is told now, not while the key is pressed
    page.wait_for_url("**/sign-in**")
    tab_to(page, "Check a report")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Check a report")
    page.wait_for_load_state()
    tab_to(page, "id_file")
    with page.expect_file_chooser() as chooser:
        page.keyboard.press("Enter")
    chooser.value.set_files(tmp_path / "held.pdf")
    says(page, f"Genuine: this is report {report.code}")
    told_by_both(page, content)
    tab_to(page, "Check the file")
    page.keyboard.press("Enter")
    says(page, "It still stands.")
    tab_to(page, "id_code")
    page.keyboard.type(report.code.lower())
    page.keyboard.press("Enter")
    page.wait_for_url(f"**/check/{report.code}")
    says(page, "it still stands")
    assert faults == []
    page.context.close()


def tab_to(page: Page, name: str) -> None:
    """Press Tab until what has that id, or that text, has the focus."""
    for _press in range(30):
        page.keyboard.press("Tab")
        if name in page.evaluate(
            "() => [document.activeElement.id, document.activeElement.textContent.trim()]"
        ):
            return
    raise AssertionError(f"{name} is not reached by Tab")


@on_sqlite
def test_without_script_the_server_alone_says_it(
    browser: Browser, served: str, site: Site, quickly: None, tmp_path: Path
) -> None:
    report, content = report_of(site)
    (tmp_path / "held.pdf").write_bytes(content)
    page, _faults = opened(browser, f"{served}/check", java_script_enabled=False)
    page.get_by_label("The PDF").set_input_files(tmp_path / "held.pdf")
    page.get_by_role("button", name="Check the file").click()
    says(page, f"Genuine: this is report {report.code}")
    expect(page.get_by_role("row", name="your browser")).to_contain_text("not worked out")
    expect(page.get_by_role("row", name="this server")).to_contain_text(hashlib.sha256(content).hexdigest())
    page.context.close()


@on_sqlite
def test_what_is_refused_is_said_on_the_page_that_is_open(
    browser: Browser, served: str, real_database: str, monkeypatch: Any, settings: Any
) -> None:
    monkeypatch.setattr(report_check, "FILES", report_check.Limit("files checked from an address", 1, 10))
    settings.UPLOAD_LIMIT = 100
    page, _faults = opened(browser, f"{served}/check")
    drop(page, "large.pdf", b"%PDF-" + bytes(1_000_200))
    expect(page.get_by_role("alert")).to_contain_text("large.pdf is larger than")
    drop(page, "second.pdf", b"%PDF-")
    expect(page.locator("#refused").get_by_role("alert")).to_contain_text("again")
    page.context.close()
