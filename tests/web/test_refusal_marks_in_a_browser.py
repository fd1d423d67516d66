"""In real Chromium: a refused handoff's photo is marked by keyboard, and marks on the offered work are ticked to refuse."""

import uuid
from typing import Any

import pytest
from django.urls import reverse
from playwright.sync_api import Browser, Page, expect

from coordination.evidence.marking import MarkInput, put_mark
from coordination.evidence.models import MarkNamed
from coordination.evidence.renditions import ensure_renditions
from coordination.gates.actions import make_reason, put_answer_mark
from coordination.gates.models import AnswerMark, AnswerMarkReason, AnswerPhoto
from coordination.gates.refusal_photos import make_copies, without_copies
from tests.gates.sites import BACKING, RAILS, Site, build
from tests.gates.test_refusal_photos import seen
from tests.web.test_in_a_browser import faults_of
from tests.web.test_tasks_in_a_browser import LEFT, SMALL, SPREAD, signed_in

pytestmark = pytest.mark.browser
on_sqlite = pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)


@pytest.fixture
def site(served: str) -> Site:
    """Work was refused with a photo, and is held out again; the receiver has marked its photo."""
    site = build()
    site.start(BACKING.key, "framer")
    photo = site.photo(LEFT, "framer")
    site.read(SPREAD, "framer", '30"')
    first = site.offer(BACKING.key, "framer")
    site.answer(first, RAILS.key, "crew", "refused", "anchor side is open", photos=[seen(site, 200)])
    make_copies(without_copies()[0])
    site.offer(BACKING.key, "framer")
    ensure_renditions(photo)
    ring = MarkInput(uuid.uuid4(), "ring", ((1000, 2000), (4000, 6000)), "still open here")
    put_mark(site.project, site.who("crew"), site.step(), photo.uid, ring)
    return site


def in_nobodys_way(page: Page) -> bool:
    assert faults_of(page) == []
    assert page.evaluate(SMALL) == []
    return bool(page.evaluate("() => document.documentElement.scrollWidth <= window.innerWidth"))


def refused(page: Page, served: str) -> Page:
    page.goto(served + reverse("refused-photo", args=[AnswerPhoto.objects.get().uid]))
    return page


@on_sqlite
def test_the_photo_of_a_refusal_is_marked_and_made_a_reason_by_keyboard_alone(
    browser: Browser, served: str, site: Site
) -> None:
    page = refused(signed_in(browser, served, site, "crew", 1280), served)
    keys = page.keyboard

    def tab_to(name: str) -> None:
        for _step in range(60):
            keys.press("Tab")
            if page.evaluate("() => document.activeElement.textContent.trim()").startswith(name):
                return
        raise AssertionError(name)

    tab_to("Place it on the photo")
    keys.press("Enter")
    keys.press("ArrowLeft"), keys.press("Enter"), keys.press("ArrowUp"), keys.press("Enter")
    keys.type("this side")
    tab_to("Put the mark")
    keys.press("Enter")
    expect(page.get_by_text("Mark 1 is put.")).to_be_visible()
    tab_to("Make it a reason of the refusal")
    keys.press("Enter")
    expect(page.get_by_text("Mark 1 is one of the reasons now.")).to_be_visible()
    assert (AnswerMark.objects.get().kind, AnswerMarkReason.objects.count()) == ("arrow", 1)
    page.context.close()


@on_sqlite
@pytest.mark.parametrize("width", [390, 1280])
def test_nothing_is_in_anybodys_way(browser: Browser, served: str, site: Site, width: int) -> None:
    given: dict[str, Any] = {"kind": "dimension", "points": ((1000, 8000), (9000, 8000)), "typed": '28 3/4"'}
    photo = AnswerPhoto.objects.get()
    for more in ({"kind": "ring", "points": ((2000, 2000), (5000, 6000)), "words": "anchor side"}, given):
        mark = put_answer_mark(
            site.project, site.who("crew"), site.step(), photo.uid, MarkInput(uuid.uuid4(), **more)
        )
    make_reason(site.project, site.who("crew"), site.step(), mark.uid)
    page = refused(signed_in(browser, served, site, "crew", width), served)
    assert in_nobodys_way(page)
    for name, address, task in (("crew", "my-task", RAILS), ("framer", "my-task", BACKING)):
        other = signed_in(browser, served, site, name, width)
        other.goto(served + reverse(address, args=[site.project.uid, site.task(task.key).uid]))
        for summary in other.locator("summary").all():
            if summary.is_visible():
                summary.click()
        assert in_nobodys_way(other)
        other.context.close()
    page.context.close()


@on_sqlite
def test_a_mark_on_the_offered_work_is_ticked_and_refuses_it(
    browser: Browser, served: str, site: Site
) -> None:
    page = signed_in(browser, served, site, "crew", 390)
    page.goto(served + reverse("my-task", args=[site.project.uid, site.task(RAILS.key).uid]))
    page.locator("summary", has_text="Refuse it").click()
    page.get_by_label("Mark 1: still open here").check()
    page.get_by_role("button", name="Refuse it").click()
    expect(page.get_by_text("Refused. It goes back with your reasons.")).to_be_visible()
    assert MarkNamed.objects.get().mark.words == "still open here"
    page.context.close()
