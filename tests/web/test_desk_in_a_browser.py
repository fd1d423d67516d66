"""The desk's screens in real Chromium at both widths: nothing in anybody's way, targets for a thumb, no script needed."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Browser, BrowserContext

from coordination.projects.models import FactEntry, Question
from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.facts import load_facts
from coordination.siteprep.plan import derive
from tests.gates.sites import Site
from tests.standing_cast import gather
from tests.web.test_in_a_browser import faults_of
from tests.web.test_new_site import FIXTURES

pytestmark = pytest.mark.browser
on_sqlite = pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
SCREENS = ("facts", "questions", "change", "companies", "packages", "dates", "visits", "record")
SMALL = """() => [...document.querySelectorAll("main :is(button, summary, select, textarea), "
  + "main input:not([type=hidden], [type=checkbox], [type=radio]), main a.button, main a.phone, main .choices label")]
  .filter((one) => one.checkVisibility())
  .map((one) => [one.textContent.trim().slice(0, 30), one.getBoundingClientRect().height])
  .filter(([, height]) => height < 43.99)"""


def whole_site() -> Site:
    site = Site(gather())
    site.accept(derive(load_facts(FIXTURES / "facts" / "candle-works.toml"), load_catalogue()))
    return site


def signed_in(browser: Browser, served: str, site: Site, **look: Any) -> BrowserContext:
    client = Client()
    client.force_login(site.cast.people["coordinator"])
    context = browser.new_context(**look)
    context.add_cookies([{"name": "sessionid", "value": client.cookies["sessionid"].value, "url": served}])
    return context


@on_sqlite
@pytest.mark.parametrize("width", [390, 1280])
def test_the_desks_screens_are_in_nobodys_way(browser: Browser, served: str, width: int) -> None:
    site = whole_site()
    context = signed_in(browser, served, site, viewport={"width": width, "height": 844})
    page = context.new_page()
    pit = reverse("place", args=[site.project.uid, "pit"])
    for address in ["/sites/new", *(reverse(name, args=[site.project.uid]) for name in SCREENS), pit]:
        page.goto(served + address)
        page.evaluate(
            "() => document.querySelectorAll('main details').forEach((each) => { each.open = true })"
        )
        assert (address, faults_of(page)) == (address, [])
        assert (address, page.evaluate(SMALL)) == (address, [])
        assert page.evaluate("() => document.documentElement.scrollWidth <= window.innerWidth") is True
    # The place's dimensions: read without sideways scrolling, and on a phone too a table to whoever listens.
    area = page.get_by_role("region", name="Dimensions at this place")
    assert area.evaluate("each => each.scrollWidth <= each.clientWidth") is True
    cell = area.get_by_role("row").nth(1).get_by_role("cell").first
    assert cell.evaluate("each => getComputedStyle(each, '::before').content !== 'none'") is (width == 390)
    assert area.get_by_role("table").get_by_role("columnheader").all_inner_texts()[1:] == [
        "value",
        "where it comes from",
    ]
    context.close()


@on_sqlite
def test_a_question_is_answered_on_a_phone_without_script(browser: Browser, served: str) -> None:
    site = whole_site()
    context = signed_in(
        browser, served, site, viewport={"width": 390, "height": 844}, java_script_enabled=False
    )
    page = context.new_page()
    question = Question.objects.filter(project=site.project, fact="pit.sump").get()
    page.goto(served + reverse("questions", args=[site.project.uid]))
    asked = page.locator(f"[id='{question.fact}']")
    asked.locator("summary").click()
    asked.locator("select").select_option("no")
    asked.get_by_label("Where it is written").fill("letter of 3 March")
    asked.get_by_role("button", name="Enter the answer").click()
    assert "Said since: no (Ida Marsh, letter of 3 March" in (page.text_content("main") or "")
    assert FactEntry.objects.get(key="pit.sump").source == "letter of 3 March"
    context.close()
