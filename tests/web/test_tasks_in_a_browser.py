"""The sheets of tasks and the reviewer's queue in real Chromium: nothing in anybody's way, the next one by keyboard."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Browser, Page, expect

from coordination.evidence.models import Review
from tests.gates.sites import BACKING, RAILS, ROUGH, Site, build
from tests.web.test_in_a_browser import faults_of

pytestmark = pytest.mark.browser
on_sqlite = pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
LEFT, SPREAD = "backing@rail-wall#left", "backing@rail-wall#spread"
SMALL = """() => [...document.querySelectorAll(
     "button, summary, select, textarea, input:not([type=hidden], [type=checkbox], [type=radio]), "
     + "a.button, a.phone, .choices label, label.field-choice, .papers li, .to-show li")]
   .filter((one) => one.checkVisibility())
   .map((one) => [one.textContent.trim().slice(0, 30), one.getBoundingClientRect().height])
   .filter(([, height]) => height < 43.99)"""


@pytest.fixture
def shown(served: str) -> Site:
    """Backing is handed in and offered; the electrician is at work."""
    site = build()
    site.start(BACKING.key, "framer")
    site.photo(LEFT, "framer"), site.read(SPREAD, "framer", '30"')
    site.offer(BACKING.key, "framer")
    site.start(ROUGH.key, "electrician")
    return site


def signed_in(browser: Browser, served: str, site: Site, name: str, width: int) -> Page:
    client = Client()
    client.force_login(site.cast.people[name])
    context = browser.new_context(viewport={"width": width, "height": 844})
    context.add_cookies([{"name": "sessionid", "value": client.cookies["sessionid"].value, "url": served}])
    return context.new_page()


@on_sqlite
@pytest.mark.parametrize("width", [390, 1280])
def test_nothing_is_in_anybodys_way(browser: Browser, served: str, shown: Site, width: int) -> None:
    seen: list[tuple[str, str, Any]] = [
        ("contractor", "task", shown.task(BACKING.key).uid),
        ("contractor", "task", shown.task(ROUGH.key).uid),
        ("contractor", "reviews", None),
        ("crew", "my-tasks", None),
        ("crew", "my-task", shown.task(RAILS.key).uid),
        ("electrician", "my-task", shown.task(ROUGH.key).uid),
    ]
    for name, address, uid in seen:
        page = signed_in(browser, served, shown, name, width)
        page.goto(served + reverse(address, args=[shown.project.uid, *([uid] if uid else [])]))
        assert (name, address, faults_of(page)) == (name, address, [])
        assert (name, address, page.evaluate(SMALL)) == (name, address, [])
        assert page.evaluate("() => document.documentElement.scrollWidth <= window.innerWidth") is True
        page.context.close()


@on_sqlite
def test_the_queue_is_worked_through_with_the_keyboard(browser: Browser, served: str, shown: Site) -> None:
    page = signed_in(browser, served, shown, "contractor", 1280)
    page.goto(served + reverse("reviews", args=[shown.project.uid]))
    for name in ("Photo", "spread"):
        expect(page.get_by_role("heading", level=2).first).to_have_text(name)
        for _step in range(12):
            page.keyboard.press("Tab")
            if page.evaluate("() => document.activeElement.value") == "accepted":
                break
        page.keyboard.press("Enter")
        expect(page.get_by_text("Accepted.", exact=True)).to_be_visible()
        page.wait_for_function("() => document.activeElement.closest('#queue') !== null")
    expect(page.get_by_text("Nothing waits for your word.")).to_be_visible()
    assert [row.outcome for row in Review.objects.all()] == ["accepted", "accepted"]
    page.context.close()
