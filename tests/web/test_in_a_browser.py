"""The components in real Chromium: desk and phone, light, dark and forced colours, keyboard, no script."""

from pathlib import Path
from typing import Any

import axe_playwright_python
import pytest
from playwright.sync_api import Browser, Page

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
AXE = (Path(axe_playwright_python.__file__).parent / "axe.min.js").read_text()
LOOKS = [
    {"viewport": {"width": width, "height": 844}, **look}
    for width in (390, 1280)
    for look in ({"color_scheme": "light"}, {"color_scheme": "dark"}, {"forced_colors": "active"})
]


@pytest.fixture(autouse=True)
def _debugging(settings: Any) -> None:
    settings.DEBUG = True


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
def test_nothing_is_in_anybodys_way(browser: Browser, live_server: Any, look: dict[str, Any]) -> None:
    page, faults = opened(browser, f"{live_server.url}/components/", **look)
    page.evaluate(AXE)
    found = page.evaluate("async () => await axe.run(document)")
    assert [(v["id"], [node["html"] for node in v["nodes"]]) for v in found["violations"]] == []
    assert faults == []
    assert page.evaluate("() => document.documentElement.scrollWidth <= window.innerWidth") is True
    page.context.close()


def test_a_seeded_fault_is_found(browser: Browser, live_server: Any) -> None:
    page, _faults = opened(browser, f"{live_server.url}/components/")
    page.evaluate("() => document.querySelector('label[for]').remove()")
    page.evaluate(AXE)
    found = page.evaluate("async () => await axe.run(document)")
    assert "label" in [v["id"] for v in found["violations"]]
    page.context.close()


def test_what_a_thumb_presses_is_large_enough(browser: Browser, live_server: Any) -> None:
    page, _faults = opened(browser, f"{live_server.url}/components/", viewport={"width": 390, "height": 844})
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


def test_the_focus_goes_to_what_is_wrong(browser: Browser, live_server: Any) -> None:
    page, _faults = opened(browser, f"{live_server.url}/sign-in")
    page.get_by_label("Your e-mail address").fill("nobody")
    page.get_by_role("button", name="Mail me a link").click()
    page.wait_for_selector(".errors")
    assert page.evaluate("() => document.activeElement.className") == "errors"
    page.context.close()


def test_the_keyboard_skips_the_head(browser: Browser, live_server: Any) -> None:
    page, _faults = opened(browser, f"{live_server.url}/sign-in")
    page.keyboard.press("Tab")
    assert page.evaluate("() => document.activeElement.textContent") == "Skip to the content"
    page.keyboard.press("Enter")
    assert page.evaluate("() => document.activeElement.id") == "content"
    page.context.close()


def test_signing_in_works_without_script(browser: Browser, live_server: Any) -> None:
    page, _faults = opened(browser, f"{live_server.url}/sign-in", java_script_enabled=False)
    page.get_by_label("Your e-mail address").fill("somebody@far.example")
    page.get_by_role("button", name="Mail me a link").click()
    assert page.get_by_role("heading", level=1).text_content() == "Look into your mail"
    page.context.close()
