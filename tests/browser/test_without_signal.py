"""A visit without signal, at phone width, in real Chromium: what is pressed stays on the phone and is stored once.

The server is really stopped, the browser is really killed, the line is really cut in the middle of a photo.
"""

import hashlib
import os
import signal
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone
from playwright.sync_api import BrowserContext, Page, Playwright, expect

from coordination.access import actions as access
from coordination.console.demo.site_photos import draw_photo
from coordination.evidence.models import Evidence
from coordination.files.keeping import digest, path_of
from coordination.gates.models import Offer
from coordination.record.verification import Verified, verify_stream
from tests.browser.conftest import CHROMIUM_ARGUMENTS
from tests.conftest import ROOT, free_port
from tests.gates.sites import BACKING, Site, build

pytestmark = pytest.mark.browser
on_sqlite = pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
LEFT, SPREAD = "backing@rail-wall#left", "backing@rail-wall#spread"


SERVE = """
import sys, django; django.setup()
from coordination.console.management.commands.serve import Server
Server(sys.argv[1], 4).run()
"""


class Server:
    """The real server without its worker, in a process of its own on an address that stays."""

    def __init__(self, database: str, var: Path) -> None:
        self.place = f"127.0.0.1:{free_port()}"
        self.address = f"http://{self.place}"
        self.environment = {
            **os.environ,
            "SILL_VAR": str(var),
            "SILL_DATABASE": database,
            "DJANGO_SETTINGS_MODULE": "coordination.settings",
        }
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        command = [sys.executable, "-c", SERVE, self.place]
        self.process = subprocess.Popen(command, env=self.environment, cwd=ROOT, start_new_session=True)
        end = time.monotonic() + 60
        while not answers(self.address + "/help"):
            assert time.monotonic() < end, "the server did not start"
            time.sleep(0.05)

    def stop(self) -> None:
        """As a power cut stops it: no connection is ended politely."""
        if self.process is not None:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait(30)
            self.process = None


def answers(address: str) -> bool:
    try:
        with urllib.request.urlopen(address, timeout=5):
            return True
    except OSError:
        return False


class Phone:
    """A browser with a profile of its own on disk, in a process that can be killed."""

    def __init__(self, playwright: Playwright, profile: Path) -> None:
        self.playwright, self.profile = playwright, profile
        self.process: subprocess.Popen[bytes] | None = None

    def open(self) -> BrowserContext:
        told = self.profile / "DevToolsActivePort"
        told.unlink(missing_ok=True)
        arguments = [
            *CHROMIUM_ARGUMENTS.split(),
            "--headless=new",
            "--remote-debugging-port=0",
            "--lang=en-US",
        ]
        self.process = subprocess.Popen(
            ["/usr/bin/chromium", *arguments, f"--user-data-dir={self.profile}", "about:blank"],
            start_new_session=True,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        end = time.monotonic() + 60
        while not (told.exists() and "\n" in told.read_text()):
            assert time.monotonic() < end, "the browser did not start"
            time.sleep(0.05)
        port = told.read_text().split()[0]
        self.browser = self.playwright.chromium.connect_over_cdp(f"http://127.0.0.1:{port}")
        return self.browser.contexts[0]

    def close(self) -> None:
        """As its user closes it: what it has in memory goes to the disk."""
        assert self.process is not None
        self.browser.new_browser_cdp_session().send("Browser.close")
        self.process.wait(30)
        self.process = None

    def kill(self) -> None:
        if self.process is not None:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait(30)
            self.process = None


@pytest.fixture
def server(real_database: str, settings: Any) -> Iterator[Server]:
    server = Server(real_database, settings.VAR)
    server.start()
    yield server
    server.stop()


@pytest.fixture
def phone(playwright: Playwright, tmp_path: Path) -> Iterator[Phone]:
    phone = Phone(playwright, tmp_path / "profile")
    yield phone
    phone.kill()


@pytest.fixture
def site(server: Server) -> Site:
    """The small job, standing now, its framing begun, with a link just texted to the framer."""
    site = build()
    site.at = timezone.now() - timedelta(minutes=30)
    return site


def text_link(site: Site, company: str, holder: str) -> str:
    _link, token = access.send_link(
        site.project,
        site.who("coordinator"),
        site.at,
        purpose="company tasks",
        company=site.cast.companies[company],
        holder=holder,
        days=7,
    )
    return f"/l/{token}"


def sheet(context: BrowserContext) -> Page:
    page = context.new_page()
    page.set_viewport_size({"width": 390, "height": 844})
    return page


def come_in(page: Page, address: str) -> None:
    page.goto(address)
    page.get_by_role("button", name="Open").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("My tasks")


KEPT = """async () => {
  const names = (await caches.keys()).filter((name) => name.startsWith('sheets-'));
  const sheets = await Promise.all(names.map(async (name) => (await caches.open(name)).keys()));
  return sheets.flat().map(({ url }) => new URL(url).pathname).filter((path) => path.startsWith('/my/')).length;
}"""


def keeps(page: Page, number: int) -> Callable[[], bool]:
    """Whether the worker has kept that many sheets under /my/."""
    return lambda: bool(page.evaluate(KEPT) >= number)


@pytest.fixture
def shots(tmp_path: Path) -> list[Path]:
    taken = timezone.now() - timedelta(minutes=10)
    for seed in (1, 2):
        photo = draw_photo("framing", seed=seed, taken_at=taken, size=(1600, 1200))
        (tmp_path / f"IMG_000{seed}.jpg").write_bytes(photo)
    return [tmp_path / "IMG_0001.jpg", tmp_path / "IMG_0002.jpg"]


def stored_hashes() -> list[str]:
    """SHA-256 of every original as it is read back from the disk."""
    rows = Evidence.objects.filter(blob__isnull=False).select_related("blob")
    return sorted(digest(path_of(row.blob)) for row in rows)


@on_sqlite
def test_a_visit_without_signal(
    server: Server, site: Site, phone: Phone, shots: list[Path], wait_until: Any
) -> None:
    link = text_link(site, "framer", "Bo Tran")
    context = phone.open()
    page = sheet(context)
    come_in(page, server.address + link)
    wait_until(keeps(page, 2))
    phone.close()

    # the server is gone, the browser was closed: the day's tasks, drawings and lists are there
    server.stop()
    page = sheet(phone.open())
    page.goto(server.address + "/")
    expect(page.get_by_role("heading", level=1)).to_have_text("My tasks")
    expect(page.locator(".kept-note")).to_be_visible()
    page.get_by_role("link", name="backing").first.click()
    expect(page.locator(".drawing svg.picture")).to_be_visible()

    # begin, two photos, a reading, and pass it on
    page.get_by_role("button", name="Begin").click()
    left = page.locator(f"#need-{site.need(LEFT).uid}")
    left.locator("[data-camera]").set_input_files(shots[0])
    left.locator("[data-camera]").set_input_files(shots[1])
    left.get_by_role("button", name="Hand in").click()
    expect(left.locator("[data-queued] .queued-file")).to_have_count(2)
    spread = page.locator(f"#need-{site.need(SPREAD).uid}")
    spread.get_by_label("What was read").fill('30"')
    spread.get_by_role("button", name="Hand in").click()
    expect(spread.locator("[data-queued] .queued")).to_contain_text('30"')
    page.locator("#pass-on").get_by_role("button", name="Pass it on").click()
    expect(page.locator("[data-queue-said]")).to_have_text("To be sent: 4")

    # reload, and a browser that is killed
    page.reload()
    expect(page.locator("[data-queue-said]")).to_have_text("To be sent: 4")
    phone.kill()
    page = sheet(phone.open())
    page.goto(server.address + "/phone")
    expect(page.locator("[data-queued] .queued")).to_have_count(4)
    assert Evidence.objects.count() == 0

    # signal again: everything goes by itself, once
    server.start()
    expect(page.locator('[data-queued] [data-state="stored"]:visible')).to_have_count(5, timeout=30_000)
    expect(page.locator("[data-queue-bar]")).to_be_hidden()
    assert stored_hashes() == sorted(hashlib.sha256(shot.read_bytes()).hexdigest() for shot in shots)
    assert [(row.typed, row.in_tolerance) for row in Evidence.objects.filter(blob=None)] == [('30"', True)]
    assert [offer.task.key for offer in Offer.objects.all()] == [BACKING.key]
    assert {row.sender_name for row in Evidence.objects.all()} == {"Bo Tran"}
    assert isinstance(verify_stream(site.project.stream), Verified)
