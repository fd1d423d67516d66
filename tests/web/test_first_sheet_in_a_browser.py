"""The first sheet of a job that is under way, in real Chromium; the picture of the README is taken here.

``SILL_PICTURES=1`` puts it to static/img/first-sheet.png.
"""

import os
import shutil
from datetime import date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from PIL import Image
from playwright.sync_api import Browser

from coordination.access.actions import send_sign_in_link
from coordination.console.demo import offerings
from coordination.console.demo.cast import Troupe, assemble, open_for
from coordination.console.demo.playing import Player
from coordination.console.demo.story import Refusal, Story
from coordination.gates.actions import accept_change
from coordination.projects.actions import FactInput, enter_facts
from coordination.projects.job_file import read_job
from tests.web.test_in_a_browser import faults_of, on_sqlite, opened

pytestmark = pytest.mark.browser
ROOT = Path(__file__).resolve().parents[2]
FIRST = date(2026, 8, 31)
STORY = Story(
    refusals=(Refusal("backing@rail-wall#backing-left", ("The tape cannot be read.",)),),
    never_retaken=frozenset({"backing@rail-wall#backing-left"}),
    never_answered=frozenset({"frame-opening@landing-2"}),
)


@pytest.fixture
def worked(served: str, monkeypatch: pytest.MonkeyPatch) -> str:
    """Eleven weeks of the ropewalk on the served database; gives the address that signs the coordinator in."""
    monkeypatch.setattr(offerings, "SMALL", (640, 480))
    zone = ZoneInfo("America/New_York")
    at = datetime.combine(FIRST, time(6), zone)
    job = read_job(ROOT / "fixtures" / "facts" / "ropewalk.toml")
    cast = assemble(at)
    troupe = Troupe(cast, open_for(cast, job, at), at)
    coordinator = troupe.as_role("coordinator", at)
    entries = {**job.entries, "calendar.start": FactInput(typed=FIRST.isoformat())}
    change = enter_facts(troupe.project, coordinator, at, entries, authorities=job.authorities)
    accept_change(troupe.project, coordinator, at, change.uid)
    player = Player(troupe, STORY, lambda _done, _of: None)
    player.play(FIRST, FIRST + timedelta(days=79))
    monkeypatch.setattr("django.utils.timezone.now", lambda: player.now)
    token = send_sign_in_link(cast.people["coordinator"], player.now, once=False)
    return f"{served}/l/{token}"


@on_sqlite
def test_the_drawing_leads_and_everything_can_be_read(browser: Browser, worked: str, tmp_path: Path) -> None:
    page, faults = opened(browser, worked, viewport={"width": 1280, "height": 900})
    page.get_by_role("button", name="Sign in").click()
    page.click("text=Saltmarsh ropewalk")
    assert page.locator("h1").inner_text() == "First sheet"
    assert page.locator("svg[role]").first.is_visible()
    assert (faults_of(page), faults) == ([], [])
    picture = tmp_path / "first-sheet.png"
    page.screenshot(path=picture)
    with Image.open(picture) as taken:
        assert taken.size == (1280, 900)
        assert len(taken.convert("L").getcolors(256) or ()) > 30
    if os.environ.get("SILL_PICTURES"):
        shutil.copy(picture, ROOT / "static" / "img" / "first-sheet.png")
    page.set_viewport_size({"width": 390, "height": 844})
    page.reload()
    assert page.evaluate("() => document.documentElement.scrollWidth <= window.innerWidth") is True
    page.context.close()
