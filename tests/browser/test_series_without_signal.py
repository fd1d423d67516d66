"""A grid of readings in real Chromium at phone width: pasted, judged at once, kept without signal, stored once."""

from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone
from playwright.sync_api import Page, expect

from coordination.evidence.models import Evidence
from tests.browser.test_without_signal import (
    Phone,
    Server,
    come_in,
    in_nobodys_way,
    keeps,
    on_sqlite,
    phone,
    server,
    sheet,
    text_link,
)
from tests.gates.series_sites import MEASURED, SURVEY, WARMTH
from tests.gates.sites import BACKING, Site, build

__all__ = ["phone", "server"]
pytestmark = pytest.mark.browser
PASTED = '6"\t7"\n6 1/4"\t7 1/8"'
NAMED = '\tNorth wall\tLeft wall\nLanding 2\t7"\t6 1/4"\nLanding 1\t7"\t6"'
PASTE = """([field, text]) => {
  const data = new DataTransfer();
  data.setData('text/plain', text);
  field.focus();
  field.dispatchEvent(new ClipboardEvent('paste', { clipboardData: data, bubbles: true, cancelable: true }));
}"""


@pytest.fixture
def site(server: Server) -> Site:
    site = build("", MEASURED)
    site.at = timezone.now() - timedelta(minutes=30)
    site.start(BACKING.key, "framer")
    return site


def cell(page: Page, row: str, column: str) -> Any:
    return page.get_by_label(f"{row}, {column}", exact=True)


def paste(page: Page, row: str, column: str, text: str) -> None:
    page.evaluate(PASTE, [cell(page, row, column).element_handle(), text])


def opened(page: Page, site: Site) -> Any:
    page.get_by_role("link", name="backing").first.click()
    return page.locator(f"#need-{site.need(SURVEY).uid}")


@on_sqlite
def test_a_survey_without_signal(server: Server, site: Site, phone: Phone, wait_until: Any) -> None:
    page = sheet(phone.open())
    come_in(page, server.address + text_link(site, "framer", "Bo Tran"))
    wait_until(keeps(page, 2), seconds=60)
    card = opened(page, site)
    in_nobodys_way(page)

    # Pasted from the first cell on, judged at once in words; Enter goes down.
    paste(page, "Landing 1", "Left wall", PASTED)
    expect(cell(page, "Landing 2", "North wall")).to_have_value('7 1/8"')
    expect(card.locator(".check").first).to_contain_text(
        'Out of plumb by 1/4"; 4 readings: inside the tolerance'
    )
    cell(page, "Landing 1", "Left wall").focus()
    page.keyboard.press("Enter")
    expect(cell(page, "Landing 2", "Left wall")).to_be_focused()
    cell(page, "Landing 2", "Left wall").fill('6 3/4"')
    expect(card.locator(".check").first).to_contain_text("outside the tolerance")
    expect(card.locator(".grid-word", has_text="outside")).to_have_count(2)

    # What is being typed outlives a reload.
    page.reload()
    expect(cell(page, "Landing 2", "Left wall")).to_have_value('6 3/4"')
    cell(page, "Landing 2", "Left wall").fill('6 1/4"')

    # Without signal: kept on the phone, through a restart of the browser, then stored once.
    server.stop()
    card.get_by_label("Read with").fill("laser 4")
    taken = card.get_by_label("Taken on")
    zone = ZoneInfo(site.project.zone)
    shown = datetime.fromisoformat(taken.input_value()).replace(tzinfo=zone)
    assert abs(timezone.now() - shown) < timedelta(minutes=5)
    read_at = (timezone.now() - timedelta(minutes=20)).replace(second=0, microsecond=0)
    taken.fill(f"{read_at.astimezone(zone):%Y-%m-%dT%H:%M}")
    card.get_by_role("button", name="Hand in", exact=True).last.click()
    line = card.locator("[data-queued] .queued")
    expect(line).to_contain_text("Readings: 4")
    expect(line.locator("[data-state=waiting]").first).to_be_visible()
    in_nobodys_way(page)
    address = page.url
    phone.close()
    page = sheet(phone.open())
    page.goto(address)
    expect(page.locator(f"#need-{site.need(SURVEY).uid} [data-queued] .queued")).to_contain_text(
        "Readings: 4"
    )
    server.start()
    page.reload()
    wait_until(lambda: Evidence.objects.filter(requirement=site.need(SURVEY)).exists(), seconds=90)
    [row] = Evidence.objects.filter(requirement=site.need(SURVEY))
    assert [each["typed"] for each in row.value["cells"]] == ['6"', '7"', '6 1/4"', '7 1/8"']
    assert (row.instrument, row.in_tolerance, row.taken_at) == ("laser 4", True, read_at)


@on_sqlite
def test_names_go_to_the_server_and_days_grow(
    server: Server, site: Site, phone: Phone, tmp_path: Path
) -> None:
    page = sheet(phone.open())
    come_in(page, server.address + text_link(site, "framer", "Bo Tran"))
    card = opened(page, site)
    paste(page, "Landing 1", "Left wall", NAMED)
    box = card.get_by_label("Lines of the spreadsheet")
    expect(box).to_be_visible()
    card.get_by_role("button", name="Put it into the grid").click()
    expect(cell(page, "Landing 2", "Left wall")).to_have_value('6 1/4"')
    expect(page.locator(f"#need-{site.need(SURVEY).uid}")).to_contain_text("It stands in the grid now.")
    assert not Evidence.objects.exists()

    warm = page.locator(f"#need-{site.need(WARMTH).uid}")
    before = warm.locator("tbody tr").count()
    warm.locator("tbody tr").last.locator("th input").fill("2026-03-02T07:00")
    expect(warm.locator("tbody tr")).to_have_count(before + 1)
    assert warm.locator("tbody tr").last.locator("th input").get_attribute("name") == f"when:{before}"
    in_nobodys_way(page)
