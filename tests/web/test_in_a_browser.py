"""The components in real Chromium: desk and phone, light, dark and forced colours, keyboard, no script."""

from pathlib import Path
from typing import Any

import axe_playwright_python
import pytest
from django.test import Client
from django.urls import reverse
from PIL import Image
from playwright.sync_api import Browser, Page

from tests.gates.sites import build

pytestmark = pytest.mark.browser
on_sqlite = pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
AXE = (Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text()
LOOKS = [
    {"viewport": {"width": width, "height": 844}, **look}
    for width in (390, 1280)
    for look in ({"color_scheme": "light"}, {"color_scheme": "dark"}, {"forced_colors": "active"})
]


@pytest.fixture(autouse=True)
def _debugging(settings: Any) -> None:
    settings.DEBUG = True


def faults_of(page: Page) -> list[tuple[str, list[str]]]:
    page.evaluate(AXE)
    found = page.evaluate("async () => await axe.run(document)")
    return [(v["id"], [node["html"] for node in v["nodes"]]) for v in found["violations"]]


def opened(browser: Browser, address: str, **look: Any) -> tuple[Page, list[str]]:
    page = browser.new_context(**look).new_page()
    faults: list[str] = []
    page.on("console", lambda message: faults.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.goto(address)
    return page, faults


@pytest.mark.parametrize(
    "look", LOOKS, ids=lambda look: f"{look['viewport']['width']} {[*look.values()][-1]}"
)
@on_sqlite
def test_nothing_is_in_anybodys_way(browser: Browser, served: str, look: dict[str, Any]) -> None:
    page, faults = opened(browser, f"{served}/components/", **look)
    assert faults_of(page) == []
    assert faults == []
    assert page.evaluate("() => document.documentElement.scrollWidth <= window.innerWidth") is True
    page.context.close()


@on_sqlite
def test_a_seeded_fault_is_found(browser: Browser, served: str) -> None:
    page, _faults = opened(browser, f"{served}/components/")
    page.evaluate("() => document.querySelector('label[for]').remove()")
    assert "label" in [fault for fault, _where in faults_of(page)]
    page.context.close()


@on_sqlite
def test_what_a_thumb_presses_is_large_enough(browser: Browser, served: str) -> None:
    page, _faults = opened(browser, f"{served}/components/", viewport={"width": 390, "height": 844})
    small = page.evaluate(
        """() => [...document.querySelectorAll(
             "button, summary, select, textarea, input:not([type=hidden], [type=checkbox], [type=radio]), "
             + "a.button, a.phone, .sheet-index a, .sheet-head a, .choices label, label.field-choice")]
           .filter((one) => one.checkVisibility())
           .map((one) => [one.textContent.trim().slice(0, 30), one.getBoundingClientRect().height])
           .filter(([, height]) => height < 43.99)"""
    )
    assert small == []
    page.context.close()


@on_sqlite
def test_the_focus_goes_to_what_is_wrong(browser: Browser, served: str) -> None:
    page, _faults = opened(browser, f"{served}/sign-in")
    page.get_by_label("Your e-mail address").fill("nobody")
    page.get_by_role("button", name="Mail me a link").click()
    page.wait_for_selector(".errors")
    assert page.evaluate("() => document.activeElement.className") == "errors"
    page.context.close()


@on_sqlite
def test_the_keyboard_skips_the_head(browser: Browser, served: str) -> None:
    page, _faults = opened(browser, f"{served}/sign-in")
    page.keyboard.press("Tab")
    assert page.evaluate("() => document.activeElement.textContent") == "Skip to the content"
    page.keyboard.press("Enter")
    assert page.evaluate("() => document.activeElement.id") == "content"
    page.context.close()


@on_sqlite
def test_signing_in_works_without_script(browser: Browser, served: str) -> None:
    page, _faults = opened(browser, f"{served}/sign-in", java_script_enabled=False)
    page.get_by_label("Your e-mail address").fill("somebody@far.example")
    page.get_by_role("button", name="Mail me a link").click()
    assert page.get_by_role("heading", level=1).text_content() == "Look into your mail"
    page.context.close()


def test_chosen_photos_are_seen_before_they_are_sent(browser: Browser, served: str, tmp_path: Path) -> None:
    page, faults = opened(browser, f"{served}/components/")
    files = [tmp_path / "left.png", tmp_path / "right.png"]
    for file in files:
        Image.new("RGB", (8, 6), (90, 120, 60)).save(file)
    page.locator("#id_photos").first.set_input_files(files)
    shown = page.locator("form[data-upload] [data-chosen] li")
    assert shown.all_text_contents() == ["left.png", "right.png"]
    page.wait_for_function(
        "() => [...document.querySelectorAll('[data-chosen] img')].every((img) => img.naturalWidth === 8)"
    )
    page.locator("#id_photos").first.set_input_files([])
    assert page.locator("[data-chosen]").first.is_hidden()
    assert faults == []
    page.context.close()


@on_sqlite
def test_the_bar_says_how_far_the_sending_is(browser: Browser, served: str) -> None:
    page, _faults = opened(browser, f"{served}/components/")

    def after(name: str, **detail: Any) -> str:
        told = {"name": name, "detail": detail}
        page.evaluate(
            "(told) => document.querySelector('form[data-upload]').dispatchEvent("
            "new CustomEvent(told.name, { bubbles: true, detail: told.detail }))",
            told,
        )
        return page.locator("[data-sending-words]").first.text_content() or ""

    assert page.locator("[data-sending]").first.is_hidden()
    assert (
        after("htmx:xhr:progress", lengthComputable=True, loaded=3, total=4)
        == "75 % sent; keep this page open"
    )
    assert page.locator("[data-sending] progress").first.get_attribute("value") == "75"
    assert (
        after("htmx:xhr:progress", lengthComputable=True, loaded=4, total=4)
        == "Sent; being checked and stored"
    )
    assert after("htmx:sendError") == "The connection broke. Nothing is lost: send again."
    page.context.close()


@on_sqlite
@pytest.mark.parametrize("width", [390, 1280])
def test_the_screens_of_a_site_are_in_nobodys_way(browser: Browser, served: str, width: int) -> None:
    site = build()
    client = Client()
    client.force_login(site.cast.people["contractor"])
    context = browser.new_context(viewport={"width": width, "height": 844})
    context.add_cookies([{"name": "sessionid", "value": client.cookies["sessionid"].value, "url": served}])
    page = context.new_page()
    for name in ("project", "links"):
        page.goto(served + reverse(name, args=[site.project.uid]))
        assert (name, faults_of(page)) == (name, [])
        assert page.evaluate("() => document.documentElement.scrollWidth <= window.innerWidth") is True
    context.close()
