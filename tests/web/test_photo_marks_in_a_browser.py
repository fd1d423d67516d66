"""Marks in real Chromium: by keyboard alone, by touch on a phone, by mouse, without script; nothing in anybody's way."""

from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import Browser, CDPSession, Page, expect

from coordination.evidence.models import Evidence, Mark, MarkReason
from coordination.evidence.renditions import ensure_renditions
from tests.gates.sites import BACKING, Site, build
from tests.web.test_in_a_browser import faults_of
from tests.web.test_tasks_in_a_browser import LEFT, SMALL, SPREAD, signed_in

pytestmark = pytest.mark.browser
on_sqlite = pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
NEARLY = 60  # ten-thousandths: less than two pixels of a phone


@pytest.fixture
def photo(served: str) -> Evidence:
    """A photo of the backing that waits for the contractor's word."""
    site = build()
    site.start(BACKING.key, "framer")
    row = site.photo(LEFT, "framer")
    site.read(SPREAD, "framer", '30"')
    site.offer(BACKING.key, "framer")
    ensure_renditions(row)
    row.site = site
    return row


def opened(page: Page, served: str, row: Evidence) -> Page:
    page.goto(served + reverse("photo", args=[row.uid]))
    return page


def on_phone(browser: Browser, served: str, site: Site, **more: Any) -> Page:
    cookies = signed_in(browser, served, site, "contractor", 390).context.cookies()
    context = browser.new_context(
        viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True, **more
    )
    context.add_cookies(cookies)  # type: ignore[arg-type]
    return context.new_page()


def points(mark: Mark) -> list[int]:
    return [mark.x1, mark.y1, mark.x2, mark.y2]


def at(page: Page, x: float, y: float) -> tuple[float, float]:
    """Where on the screen a point of the photo lies, in shares of its width and height."""
    box = page.locator("[data-stage] img").bounding_box()
    assert box is not None
    return box["x"] + box["width"] * x, box["y"] + box["height"] * y


def drag(touch: CDPSession, start: tuple[float, float], end: tuple[float, float]) -> None:
    """One finger from start to end, in steps as a hand makes them, once the page is drawn as it stands."""
    drawn = "new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))"
    touch.send("Runtime.evaluate", {"expression": drawn, "awaitPromise": True})

    def send(kind: str, *places: tuple[float, float]) -> None:
        touch.send(
            "Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": x, "y": y} for x, y in places]}
        )

    send("touchStart", start)
    for step in range(1, 11):
        send("touchMove", tuple(a + (b - a) * step / 10 for a, b in zip(start, end, strict=True)))  # type: ignore[arg-type]
    send("touchEnd")  # fmt: skip


def stands_still(page: Page) -> Page:
    """Once nothing scrolls any more: a browser takes a tap on a page that still glides for a hand that stops it."""
    page.evaluate("""async () => {
      for (let still = 0, last = NaN; still < 12; last = window.scrollY) {
        await new Promise((drawn) => requestAnimationFrame(drawn));
        still = window.scrollY === last ? still + 1 : 0;
      }
    }""")
    return page


@on_sqlite
@pytest.mark.parametrize("width", [390, 1280])
def test_nothing_is_in_anybodys_way(browser: Browser, served: str, photo: Evidence, width: int) -> None:
    page = opened(signed_in(browser, served, photo.site, "contractor", width), served, photo)
    page.get_by_role("button", name="Place it on the photo").click()
    page.get_by_role("button", name="Show the squares").click()
    assert faults_of(page) == []
    assert page.evaluate(SMALL) == []
    assert page.evaluate("() => document.documentElement.scrollWidth <= window.innerWidth") is True
    page.emulate_media(forced_colors="active", reduced_motion="reduce")
    assert faults_of(page) == []
    page.context.close()


@on_sqlite
def test_a_mark_is_put_by_keyboard_alone(browser: Browser, served: str, photo: Evidence) -> None:
    page = opened(signed_in(browser, served, photo.site, "contractor", 1280), served, photo)
    where, keys = page.locator("[data-where]"), page.keyboard

    def tab_to(name: str) -> None:
        for _step in range(60):
            keys.press("Tab")
            if (
                page.evaluate("() => document.activeElement.textContent || document.activeElement.value")
                == name
            ):
                return
        raise AssertionError(name)

    tab_to("arrow")
    keys.press("ArrowRight")
    tab_to("Place it on the photo")
    keys.press("Enter")
    expect(where).to_contain_text(
        "One corner of the ring: middle, halfway down, square E4. Arrow keys move it"
    )
    outline = page.evaluate("() => getComputedStyle(document.activeElement).outlineStyle")
    assert outline != "none"
    for key in ("ArrowLeft", "ArrowLeft", "Shift+ArrowLeft", "ArrowUp"):
        keys.press(key)
    expect(where).to_have_text("One corner of the ring: left side, a third down, square E4")
    keys.press("Enter")
    expect(where).to_contain_text("The opposite corner: middle, halfway down")
    keys.press("Shift+ArrowDown"), keys.press("Enter")
    assert page.evaluate("() => document.activeElement.name") == "words"
    keys.type("blocking stops short")
    keys.press("Enter")
    expect(page.get_by_text("Mark 1 is put.")).to_be_visible()
    mark = Mark.objects.get()
    assert (mark.kind, points(mark)) == ("ring", [4100 - 420, 4100 - 200, 5900, 5920])
    tab_to("Take back mark 1")
    keys.press("Enter")
    expect(page.get_by_text("Mark 1 is taken back.")).to_be_visible()
    page.context.close()  # fmt: skip


@on_sqlite
def test_escape_leaves_and_nothing_is_put(browser: Browser, served: str, photo: Evidence) -> None:
    page = opened(signed_in(browser, served, photo.site, "contractor", 1280), served, photo)
    page.get_by_role("button", name="Place it on the photo").press("Enter")
    page.keyboard.press("ArrowLeft"), page.keyboard.press("Escape")
    expect(page.locator("[data-where]")).to_have_text("Nothing is placed.")
    assert page.evaluate("() => document.activeElement.hasAttribute('data-place')") is True
    values = [
        page.locator(f"[name={name}]").input_value() for name in ("x1", "y1", "x2", "y2", "first", "second")
    ]
    assert values == [""] * 6
    page.context.close()


@on_sqlite
def test_a_thumb_draws_and_moves_a_mark_and_refuses_by_it(
    browser: Browser, served: str, photo: Evidence
) -> None:
    page = opened(on_phone(browser, served, photo.site), served, photo)
    touch = page.context.new_cdp_session(page)
    page.get_by_text("arrow", exact=True).tap()
    page.get_by_role("button", name="Place it on the photo").tap()
    expect(page.locator("[data-where]")).to_have_text("Drag across the photo, or drag the two corners.")
    drag(touch, at(page, 0.9, 0.9), at(page, 0.6, 0.4))
    expect(page.locator("[data-where]")).to_contain_text("Where it points: ")
    drag(touch, at(page, 0.6, 0.4), at(page, 0.3, 0.2))
    page.get_by_label("What it shows").fill("open joint")
    stands_still(page).get_by_role("button", name="Put the mark").tap()
    expect(page.get_by_text("Mark 1 is put.")).to_be_visible()
    mark = Mark.objects.get()
    assert (mark.kind, points(mark)) == ("arrow", pytest.approx([9000, 9000, 3000, 2000], abs=NEARLY))
    page.get_by_role("link", name="Accept or refuse it").tap()
    page.get_by_role("button", name="Refuse").tap()
    page.get_by_label("Mark 1: open joint").tap()
    page.get_by_role("button", name="Refuse").tap()
    expect(page.get_by_text("Refused; the work goes back with your reasons.")).to_be_visible()
    assert MarkReason.objects.get().mark == mark
    page.context.close()


@on_sqlite
def test_a_finger_that_only_scrolls_draws_nothing(browser: Browser, served: str, photo: Evidence) -> None:
    page = opened(on_phone(browser, served, photo.site), served, photo)
    touch = page.context.new_cdp_session(page)
    drag(touch, at(page, 0.5, 0.9), at(page, 0.5, 0.1))
    expect(page.locator("[data-handles]")).to_be_hidden()
    page.wait_for_function("() => window.scrollY > 40")
    page.context.close()


@on_sqlite
def test_a_mouse_draws_at_once_and_what_is_drawn_is_what_is_stored(
    browser: Browser, served: str, photo: Evidence
) -> None:
    page = opened(signed_in(browser, served, photo.site, "contractor", 1280), served, photo)
    page.get_by_text("dimension", exact=True).click()
    page.mouse.move(*at(page, 0.2, 0.5))
    (
        page.mouse.down(),
        page.mouse.move(*at(page, 0.5, 0.5)),
        page.mouse.move(*at(page, 0.8, 0.55)),
        page.mouse.up(),
    )
    page.get_by_label("How long it is").fill('28 3/4"')
    page.get_by_label("What it shows").fill("clear")
    page.get_by_role("button", name="Put the mark").click()
    expect(page.get_by_text("Mark 1 is put.")).to_be_visible()
    assert points(Mark.objects.get()) == pytest.approx([2000, 5000, 8000, 5500], abs=NEARLY)
    drawn = page.locator('[data-mark="1"] line').last.bounding_box()
    assert drawn is not None
    found = (drawn["x"], drawn["y"], drawn["x"] + drawn["width"], drawn["y"] + drawn["height"])
    assert found == pytest.approx((*at(page, 0.2, 0.5), *at(page, 0.8, 0.55)), abs=24)
    page.context.close()


@on_sqlite
def test_without_script_squares_say_where(browser: Browser, served: str, photo: Evidence) -> None:
    cookies = signed_in(browser, served, photo.site, "contractor", 390).context.cookies()
    context = browser.new_context(viewport={"width": 390, "height": 844}, java_script_enabled=False)
    context.add_cookies(cookies)  # type: ignore[arg-type]
    page = opened(context.new_page(), served, photo)
    expect(page.locator(".photo-squares")).to_be_visible()
    expect(page.get_by_role("button", name="Place it on the photo")).to_be_hidden()
    page.get_by_label("ring").check()
    page.get_by_label("From square").fill("c4")
    page.get_by_label("What it shows").fill("blocking stops short")
    page.get_by_role("button", name="Put the mark").click()
    expect(page.get_by_text("1, ring, left side, a third down: blocking stops short")).to_be_visible()
    page.get_by_role("button", name="Take back").click()
    expect(page.get_by_text("None yet.")).to_be_visible()
    context.close()
