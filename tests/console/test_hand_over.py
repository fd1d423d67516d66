"""`manage.py hand_over` as its user runs it: a folder that stands by itself, opened and read in a real browser."""

import re
import subprocess
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser

from coordination.console.demo.final_words import WORDS
from coordination.evidence.models import Evidence
from coordination.files.keeping import path_of
from coordination.siteprep.handover_items import handover_list
from tests.gates.sites import Site, build

ON_SQLITE = pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)


@pytest.fixture
def site(real_database: str) -> Site:
    site = build()
    site.ready()
    return site


@pytest.fixture
def hand_over(real_database: str, settings, run_manage):
    def run(*arguments: str) -> "subprocess.CompletedProcess[str]":
        return run_manage("hand_over", *arguments, var=settings.VAR, SILL_DATABASE=real_database)

    return run


@ON_SQLITE
def test_the_folder_checks_opens_without_script_and_is_accessible(
    site: Site, hand_over, tmp_path: Path, browser: Browser
) -> None:
    lost = Evidence.objects.select_related("blob").get(requirement=site.need("rough@pit#receptacle"))
    path_of(lost.blob).unlink()
    folder = tmp_path / "handed over"
    answer = hand_over(site.project.name, str(folder))
    assert answer.returncode == 0, answer.stderr
    assert (
        "originals/pit/01-rough-2026-03-02-receptacle.jpg: Photo: the file is missing from the store"
        in answer.stderr
    )
    assert (
        answer.stdout
        == f"{folder}: check it there with sha256sum -c SHA256SUMS\n4 things could not be laid down.\n"
    )
    told = answer.stderr.splitlines()
    assert told[0] == "Laying down the final handover of Harrow Lane"
    total = re.fullmatch(r"  (\d+) of \1 files", told[told.index("  all laid down") - 1])
    assert total
    assert len(re.findall(rf"^  \d+ of {total[1]} files$", answer.stderr, re.MULTILINE)) == 4
    subprocess.run(["sha256sum", "--quiet", "-c", "SHA256SUMS"], cwd=folder, check=True, timeout=60)
    for pdf in sorted(folder.rglob("*.pdf")):
        subprocess.run(["qpdf", "--check", str(pdf)], check=True, capture_output=True, timeout=60)
    assert not (tmp_path / "handed over.part").exists()
    for width in (390, 1280):
        context = browser.new_context(java_script_enabled=True, viewport={"width": width, "height": 900})
        page = context.new_page()
        asked: list[str] = []
        page.on("request", lambda request, asked=asked: asked.append(request.url))
        page.goto(f"{folder.as_uri()}/index.html")
        assert page.title() == "Final handover: Harrow Lane"
        assert page.locator("script").count() == 0
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        found = Axe().run(page)
        assert found.violations_count == 0, found.generate_report()
        assert [url for url in asked if not url.startswith("file://")] == []
        for href in page.eval_on_selector_all("a[href]", "all => all.map(each => each.getAttribute('href'))"):
            if href.startswith("tel:"):
                continue
            name, _, part = href.partition("#")
            assert not name or (folder / name).is_file(), href
            assert not part or page.locator(f"#{part}").count() == 1, href
        context.close()
    _works_without_script(browser, folder, tmp_path)


def _works_without_script(browser: Browser, folder: Path, tmp_path: Path) -> None:
    """On a phone: what is urgent is on the first screen, the keyboard opens a place, paper shows what is closed."""
    context = browser.new_context(java_script_enabled=False, viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.goto(f"{folder.as_uri()}/index.html")
    for part in ("#shut-offs", "#contacts", "#days", "#places"):
        box = page.locator(f'nav a[href="{part}"]').bounding_box()
        assert box is not None, part
        assert (box["height"] >= 44, box["y"] + box["height"] <= 844) == (True, True), part
    photos = [each.get_attribute("src") for each in page.locator("img").all()]
    assert len(photos) == len(set(photos))
    place = page.locator("#place-pit")
    hidden = place.get_by_role("link", name="All evidence of Pit (PDF)")
    assert not hidden.is_visible()
    paper = tmp_path / "printed.pdf"
    page.pdf(path=paper)
    printed = subprocess.run(
        ["pdftotext", str(paper), "-"], capture_output=True, text=True, check=True
    ).stdout
    for words in ("All evidence of Pit (PDF)", "sha256sum -c SHA256SUMS", "What the owner receives"):
        assert words in printed
    place.locator("summary").focus()
    page.keyboard.press("Enter")
    hidden.wait_for(state="visible")
    context.close()


@ON_SQLITE
def test_it_refuses_what_is_not_there_and_what_is_not_empty(site: Site, hand_over, tmp_path: Path) -> None:
    answer = hand_over("Nobody's lane", str(tmp_path / "a"))
    assert (answer.returncode, answer.stdout) == (2, "")
    assert answer.stderr.splitlines() == [
        "Refused: Nobody's lane",
        "  No site is called that.",
        "  There are:",
        f"    {site.project.uid}  Harrow Lane",
    ]
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "mine.txt").write_text("kept")
    answer = hand_over(str(site.project.uid), str(tmp_path / "full"))
    assert (answer.returncode, answer.stdout) == (2, "")
    assert answer.stderr.splitlines()[1:] == ["  This folder is not empty. Name another one."]
    assert [path.name for path in (tmp_path / "full").iterdir()] == ["mine.txt"]
    answer = hand_over(site.project.name, str(tmp_path / "full" / "mine.txt"))
    assert answer.stderr.splitlines()[1:] == ["  This is a file. Name a folder."]
    answer = hand_over(site.project.name, str(tmp_path / "full" / "mine.txt" / "below"))
    assert (answer.returncode, answer.stderr.splitlines()[1:]) == (
        2,
        ["  The folder cannot be written: Not a directory."],
    )
    assert "invalid choice: 'fr'" in hand_over("Harrow Lane", str(tmp_path / "b"), "--language", "fr").stderr


def test_the_demo_writes_down_items_that_somebody_can_say() -> None:
    known = {item.key: item for item in handover_list().items if item.said}
    assert {item for item, _words, _days in WORDS} <= set(known)
    for item, words, days in WORDS:
        assert words
        assert bool(known[item].day) == bool(days), item
