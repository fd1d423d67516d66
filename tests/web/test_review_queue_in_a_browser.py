"""The reviewer's queue in real Chromium: single keys that decide nothing, a foot within a thumb's reach, no script."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Browser, Page, expect

from coordination.evidence.models import Review
from tests.gates.sites import BACKING, RAILS, Site, build
from tests.web.test_in_a_browser import faults_of
from tests.web.test_tasks_in_a_browser import SMALL

pytestmark = pytest.mark.browser
on_sqlite = pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
LEFT, SPREAD = "backing@rail-wall#left", "backing@rail-wall#spread"
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
DESK = {"viewport": {"width": 1280, "height": 900}}
FOCUS = "() => document.activeElement.value ?? document.activeElement.textContent.trim()"


@pytest.fixture
def shown(served: str) -> Site:
    """The left photo was refused once and came again; the reading waits too."""
    site = build()
    site.start(BACKING.key, "framer")
    site.photo(LEFT, "framer"), site.read(SPREAD, "framer", '30"')
    site.review(LEFT, "contractor", "refused", "It stops short of the marks.")
    site.photo(LEFT, "framer")
    return site


def queue(browser: Browser, served: str, site: Site, name: str = "contractor", **look: Any) -> Page:
    client = Client()
    client.force_login(site.cast.people[name])
    context = browser.new_context(**look)
    context.add_cookies([{"name": "sessionid", "value": client.cookies["sessionid"].value, "url": served}])
    page = context.new_page()
    page.goto(f"{served}{reverse('reviews', args=[site.project.uid])}?look={site.need(LEFT).uid}")
    return page


def words() -> list[tuple[str, list[str]]]:
    return [(row.outcome, row.reasons) for row in Review.objects.order_by("pk")[1:]]


@on_sqlite
def test_keys_move_the_focus_and_tick_and_only_enter_decides(
    browser: Browser, served: str, shown: Site
) -> None:
    page = queue(browser, served, shown, **DESK)
    expect(page.get_by_text("No key alone decides anything")).to_be_visible()
    page.keyboard.press("a")
    assert (page.evaluate(FOCUS), words()) == ("accepted", [])
    page.keyboard.press("r")
    assert page.evaluate("() => document.querySelector('[data-refusing]').open") is True
    page.keyboard.press("2")
    page.keyboard.press("3")
    assert page.evaluate(
        "() => [...document.querySelectorAll('[name=reasons]:checked')].map((one) => one.value)"
    ) == [
        "stops-short",
        "wrong-thickness",
    ]
    page.keyboard.press("3")
    assert words() == []
    page.locator("[data-refuse]").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=2).first).to_have_text("spread")
    expect(page.get_by_role("article")).to_be_focused()
    assert words() == [("refused", ["It stops short of the marks."])]
    page.keyboard.press("a")
    assert page.evaluate(FOCUS) == "accepted"
    page.keyboard.press("Enter")
    expect(page.get_by_text("Nothing waits for your word.")).to_be_visible()
    assert [outcome for outcome, _why in words()] == ["refused", "accepted"]
    page.context.close()


@on_sqlite
def test_what_is_written_is_no_key_and_with_control_neither(
    browser: Browser, served: str, shown: Site
) -> None:
    page = queue(browser, served, shown, **DESK)
    page.keyboard.press("r")
    page.locator("#review-words").fill("")
    page.locator("#review-words").press_sequentially("arn 12")
    assert page.locator("#review-words").input_value() == "arn 12"
    assert page.locator("[name=reasons]:checked").count() == 0
    page.locator("h1").click()
    page.keyboard.press("Control+a")
    assert page.evaluate(FOCUS) != "accepted"
    page.keyboard.press("n")
    expect(page.get_by_role("heading", level=2).first).to_have_text("spread")
    page.context.close()


@on_sqlite
def test_the_keys_can_be_switched_off_and_stay_off(browser: Browser, served: str, shown: Site) -> None:
    page = queue(browser, served, shown, **DESK)
    page.get_by_label("Use single keys on this page").uncheck()
    for _visit in range(2):
        page.keyboard.press("a")
        page.keyboard.press("2")
        assert page.evaluate(FOCUS) != "accepted"
        assert page.locator("[name=reasons]:checked").count() == 0
        page.reload()
        assert page.get_by_label("Use single keys on this page").is_checked() is False
    page.get_by_label("Use single keys on this page").check()
    page.keyboard.press("a")
    assert page.evaluate(FOCUS) == "accepted"
    page.context.close()


@on_sqlite
@pytest.mark.parametrize("look", [PHONE, DESK], ids=["phone", "desk"])
def test_before_and_after_stand_side_by_side_and_nothing_is_in_anybodys_way(
    browser: Browser, served: str, shown: Site, look: dict[str, Any]
) -> None:
    page = queue(browser, served, shown, **look)
    before, after = (page.locator(name).bounding_box() for name in (".review-before", ".review-now"))
    assert before is not None
    assert after is not None
    assert abs(before["y"] - after["y"]) < 2
    assert before["x"] + before["width"] <= after["x"] + 1
    expect(page.locator(".review-before")).to_contain_text("It stops short of the marks.")
    assert faults_of(page) == []
    assert page.evaluate(SMALL) == []
    assert page.evaluate("() => document.documentElement.scrollWidth <= window.innerWidth") is True
    page.context.close()


@on_sqlite
def test_on_a_phone_the_word_is_at_the_foot_and_there_are_no_keys(
    browser: Browser, served: str, shown: Site
) -> None:
    page = queue(browser, served, shown, **PHONE)
    assert page.locator("[data-review-keys]").is_visible() is False
    page.keyboard.press("a")
    assert page.evaluate(FOCUS) != "accepted"
    for button in ("Accept", "Refuse"):
        box = page.get_by_role("button", name=button, exact=True).bounding_box()
        assert box is not None
        assert (box["height"] >= 44, box["y"] + box["height"] <= 844) == (True, True)
    page.get_by_role("button", name="Refuse", exact=True).tap()
    page.get_by_label("It stops short of the marks.").check()
    assert words() == []
    page.get_by_role("button", name="Refuse", exact=True).tap()
    expect(page.get_by_role("heading", level=2).first).to_have_text("spread")
    assert words() == [("refused", ["It stops short of the marks."])]
    page.context.close()


@on_sqlite
def test_without_script_everything_goes_by_buttons(browser: Browser, served: str, shown: Site) -> None:
    page = queue(browser, served, shown, **PHONE, java_script_enabled=False)
    page.get_by_role("button", name="Refuse", exact=True).tap()
    expect(page.get_by_role("alert")).to_contain_text("Say why it is refused")
    page.get_by_label("A board is split").check()
    page.get_by_role("button", name="Refuse", exact=True).tap()
    expect(page.get_by_role("heading", level=2).first).to_have_text("spread")
    page.get_by_role("button", name="Accept", exact=True).tap()
    expect(page.get_by_text("Nothing waits for your word.")).to_be_visible()
    assert [outcome for outcome, _why in words()] == ["refused", "accepted"]
    page.context.close()


@on_sqlite
def test_a_receiver_refuses_with_a_photo_from_the_phone(browser: Browser, served: str, tmp_path: Any) -> None:
    from coordination.gates.models import AnswerPhoto
    from tests.gates.sites import picture

    site = build()
    site.start(BACKING.key, "framer")
    site.photo(LEFT, "framer"), site.read(SPREAD, "framer", '30"')
    site.offer(BACKING.key, "framer")
    page = queue(browser, served, site, "crew", **PHONE)
    page.goto(served + reverse("my-task", args=[site.project.uid, site.task(RAILS.key).uid]))
    assert faults_of(page) == []
    photo = tmp_path / "wrong.jpg"
    photo.write_bytes(picture(120))
    page.locator("summary", has_text="Refuse it").tap()
    page.get_by_label("It stops short of the marks.").check()
    page.locator("input[type=file][name=photos]:not([capture])").set_input_files(photo)
    assert page.evaluate(SMALL) == []
    assert page.evaluate("() => document.documentElement.scrollWidth <= window.innerWidth") is True
    page.get_by_role("button", name="Refuse it").tap()
    expect(page.get_by_text("Refused. It goes back with your reasons.")).to_be_visible()
    assert AnswerPhoto.objects.get().file_name == "wrong.jpg"
    page.context.close()


@on_sqlite
@pytest.mark.parametrize("look", [PHONE, DESK], ids=["phone", "desk"])
def test_who_owes_what_is_in_nobodys_way(
    browser: Browser, served: str, shown: Site, look: dict[str, Any]
) -> None:
    page = queue(browser, served, shown, **look)
    page.goto(served + reverse("owed", args=[shown.project.uid]))
    assert faults_of(page) == []
    assert page.evaluate(SMALL) == []
    assert page.evaluate("() => document.documentElement.scrollWidth <= window.innerWidth") is True
    page.context.close()
