"""A subcontractor's whole visit at phone width, in real Chromium, against a real server with its worker.

From the texted link to the refusal and the photo taken again. What the person sees is what is checked; at the end the
rows are looked at as well.
"""

from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import Browser, BrowserContext, Locator, Page, expect

from coordination.access import actions as access
from coordination.console.demo.site_photos import draw_photo
from coordination.evidence.models import Evidence, Rendition
from coordination.gates.models import Offer
from coordination.record.verification import Verified, verify_stream
from tests.gates.sites import BACKING, Site, build
from tests.web.test_in_a_browser import faults_of

pytestmark = pytest.mark.browser
on_sqlite = pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
LEFT, SPREAD = "backing@rail-wall#left", "backing@rail-wall#spread"
PHONE = {
    "viewport": {"width": 390, "height": 844},
    "device_scale_factor": 2,
    "is_mobile": True,
    "has_touch": True,
}


@pytest.fixture
def site(serving: str) -> Site:
    """The small job, standing now, with a link just texted to the framer."""
    site = build()
    site.at = timezone.now() - timedelta(minutes=30)
    link, token = access.send_link(
        site.project,
        site.who("coordinator"),
        site.at,
        purpose="company tasks",
        company=site.cast.companies["framer"],
        holder="Bo Tran",
        days=7,
    )
    site.cast.links["texted"], site.cast.tokens["texted"] = link, token
    return site


@pytest.fixture
def shots(tmp_path: Path) -> list[Path]:
    """Photos as a phone makes them: twelve megapixels lying on their side, HEIC, PNG."""
    taken = timezone.now() - timedelta(minutes=10)
    files = {
        "IMG_0001.jpg": draw_photo("framing", seed=1, taken_at=taken, orientation=6, gps=(44.4, -73.2)),
        "IMG_0002.HEIC": draw_photo("framing", seed=2, taken_at=taken, size=(1600, 1200), fmt="HEIC"),
        "IMG_0003.png": draw_photo("framing", seed=3, taken_at=taken, size=(800, 600), fmt="PNG"),
    }
    for name, content in files.items():
        (tmp_path / name).write_bytes(content)
    return [tmp_path / name for name in files]


@pytest.fixture
def phone(browser: Browser) -> Any:
    context = browser.new_context(**PHONE)
    yield context
    context.close()


def opened(context: BrowserContext, faults: list[str]) -> Page:
    page = context.new_page()
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.on(
        "console",
        lambda message: (
            faults.append(message.text) if message.type == "error" and "422" not in message.text else None
        ),
    )
    return page


def card(page: Page, site: Site, need: str) -> Locator:
    return page.locator(f"#need-{site.need(need).uid}")


def in_nobodys_way(page: Page) -> None:
    assert faults_of(page) == []
    assert page.evaluate("() => document.documentElement.scrollWidth <= window.innerWidth") is True


@on_sqlite
def test_the_whole_visit(
    site: Site, serving: str, phone: BrowserContext, shots: list[Path], tmp_path: Path
) -> None:
    faults: list[str] = []
    page = opened(phone, faults)

    # the texted link: looking uses nothing up, pressing comes in
    page.goto(f"{serving}/l/{site.cast.tokens['texted']}")
    page.get_by_role("button", name="Open").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("My tasks")
    in_nobodys_way(page)
    page.get_by_role("link", name="backing").first.click()

    # what, where, which dimension; then begin
    expect(page.locator(".first-line")).to_have_text("continuous backing both sides, 30 in apart")
    expect(page.locator(".drawing svg.picture")).to_be_visible()
    in_nobodys_way(page)
    page.get_by_role("button", name="Begin").click()
    expect(page.get_by_text("Begun. Hand in what it must show as you go.")).to_be_visible()

    # two shots of the camera one after the other, then one from the phone's own pictures: one sending
    left = card(page, site, LEFT)
    for shot in shots[:2]:
        left.locator("[data-camera]").set_input_files(shot)
    expect(left.locator("[data-chosen] li")).to_have_count(2)
    left.get_by_role("button", name="Leave out: IMG_0002.HEIC").click()
    expect(left.locator("[data-chosen] li")).to_have_count(1)
    left.locator('input[type="file"]:not([data-camera])').set_input_files(shots)
    expect(left.locator("[data-chosen] li")).to_have_count(3)
    slow = phone.new_cdp_session(page)
    slow.send(
        "Network.emulateNetworkConditions",
        {"offline": False, "latency": 50, "downloadThroughput": 4_000_000, "uploadThroughput": 1_500_000},
    )
    left.get_by_role("button", name="Hand in").click()
    expect(left.locator(".queued-file progress:visible").first).to_be_visible()
    expect(left.locator('.queued-file [data-state="sending"]:visible').first).to_have_text("sending")
    expect(card(page, site, LEFT).get_by_text("3 photos handed in.")).to_be_visible(timeout=60_000)
    slow.send(
        "Network.emulateNetworkConditions",
        {"offline": False, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1},
    )

    # the small copies come by themselves, upright, without reloading the page
    expect(card(page, site, LEFT).locator("img")).to_have_count(3, timeout=90_000)
    page.wait_for_function(
        "(id) => [...document.querySelectorAll(`#${id} img`)].every((img) => { img.loading = 'eager';"
        " return img.complete && img.naturalWidth > 0; })",
        arg=f"need-{site.need(LEFT).uid}",
    )
    assert (
        card(page, site, LEFT).locator("img").first.evaluate("(img) => img.naturalHeight > img.naturalWidth")
    )
    assert card(page, site, LEFT).get_by_text("its small copy is being made").count() == 0

    # a reading outside, said at once in words before it is sent; then inside
    spread = card(page, site, SPREAD)
    spread.get_by_label("What was read").press_sequentially('33"')
    expect(spread.locator(".check")).to_contain_text("2' 9\" is outside the tolerance (2' 5\" to 2' 7\").")
    spread.get_by_label("What was read").fill('30"')
    expect(spread.locator(".check")).to_contain_text("2' 6\" is inside the tolerance")
    spread.get_by_label("What was read").fill('33"')
    spread.get_by_role("button", name="Hand in").click()
    expect(card(page, site, SPREAD).get_by_text("Handed in; it is outside the tolerance.")).to_be_visible()
    expect(page.locator("#pass-on")).to_contain_text("spread")
    assert page.locator("#pass-on").get_by_role("button").count() == 0
    again = card(page, site, SPREAD)
    again.get_by_text("Hand in more").click()
    again.get_by_label("What was read").fill('30 1/4"')
    again.get_by_role("button", name="Hand in").click()
    expect(card(page, site, SPREAD).locator(".value")).to_have_text("2' 6 1/4\"")
    in_nobodys_way(page)

    # pass it on
    page.locator("#pass-on").get_by_role("button", name="Pass it on").click()
    expect(page.get_by_text("Passed on. The answer is awaited.")).to_be_visible()
    expect(page.locator("#pass-on")).to_contain_text("Offered to Low Rise Lift Supply")
    page.screenshot(path=tmp_path / "passed-on.png", full_page=True)

    # it comes back with the reasons on top
    site.at = timezone.now()
    site.review(LEFT, "contractor", "refused", "The tape cannot be read.")
    page.locator("#content").get_by_role("link", name="My tasks").click()
    expect(page.locator(".schedule")).to_contain_text("The tape cannot be read.")
    page.get_by_role("link", name="backing").first.click()
    expect(page.locator("#task-standing .reason")).to_contain_text("The tape cannot be read.")
    in_nobodys_way(page)

    # a file that is no photo is named and not kept; the photo taken again is
    before = Evidence.objects.count()
    note = tmp_path / "left.jpg"
    note.write_text("this is no photo")
    left = card(page, site, LEFT)
    left.locator('input[type="file"]:not([data-camera])').set_input_files(note)
    left.get_by_role("button", name="Hand in").click()
    expect(card(page, site, LEFT).get_by_role("alert")).to_contain_text(
        "left.jpg is no picture, whatever its name says."
    )
    page.wait_for_function("() => document.activeElement.getAttribute('role') === 'alert'")
    assert Evidence.objects.count() == before
    left = card(page, site, LEFT)
    left.locator("[data-camera]").set_input_files(shots[2])
    left.get_by_role("button", name="Hand in").click()
    expect(card(page, site, LEFT).get_by_text("1 photo handed in.")).to_be_visible()
    expect(page.locator("#task-standing .reason")).to_have_count(0)
    page.locator("#pass-on").get_by_role("button", name="Pass it on").click()
    expect(page.locator("#pass-on")).to_contain_text("Offered to Low Rise Lift Supply")

    # what is in the rows
    assert [offer.round for offer in Offer.objects.filter(task__key=BACKING.key).order_by("round")] == [1, 2]
    assert {row.sender_name for row in Evidence.objects.all()} == {"Bo Tran"}
    assert Rendition.objects.filter(evidence__requirement=site.need(LEFT)).count() >= 6
    assert isinstance(verify_stream(site.project.stream), Verified)
    assert faults == []


@on_sqlite
def test_the_same_without_script(site: Site, serving: str, browser: Browser, shots: list[Path]) -> None:
    context = browser.new_context(**PHONE, java_script_enabled=False)
    page = context.new_page()
    page.goto(f"{serving}/l/{site.cast.tokens['texted']}")
    page.get_by_role("button", name="Open").click()
    page.get_by_role("link", name="backing").first.click()
    page.get_by_role("button", name="Begin").click()
    left = card(page, site, LEFT)
    left.locator('input[type="file"]:not([data-camera])').set_input_files(shots[1:])
    left.get_by_role("button", name="Hand in").click()
    expect(page.get_by_text("2 photos handed in.")).to_be_visible()
    spread = card(page, site, SPREAD)
    spread.get_by_label("What was read").fill("wide")
    spread.get_by_role("button", name="Hand in").click()
    expect(card(page, site, SPREAD).get_by_role("alert")).to_contain_text(
        "wide is no length that can be read"
    )
    card(page, site, SPREAD).get_by_label("What was read").fill('30"')
    card(page, site, SPREAD).get_by_role("button", name="Hand in").click()
    page.locator("#pass-on").get_by_role("button", name="Pass it on").click()
    expect(page.get_by_text("Passed on. The answer is awaited.")).to_be_visible()
    assert Evidence.objects.count() == 3
    context.close()
