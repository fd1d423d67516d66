"""A visit without signal, at phone width, in real Chromium: what is pressed stays on the phone and is stored once.

The server is really stopped, the browser is really killed, the line is really cut in the middle of a photo.
"""

import contextlib
import hashlib
import io
import os
import random
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.request
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone
from PIL import Image
from playwright.sync_api import BrowserContext, Page, Playwright, expect

from coordination.access import actions as access
from coordination.console.demo.site_photos import draw_photo
from coordination.evidence.models import Evidence
from coordination.files.keeping import digest, path_of
from coordination.gates.models import Offer
from coordination.record.verification import Verified, verify_stream
from tests.conftest import CHROMIUM_ARGUMENTS, ROOT, free_port
from tests.gates.sites import BACKING, Site, build
from tests.web.test_in_a_browser import faults_of

pytestmark = pytest.mark.browser
on_sqlite = pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
LEFT, SPREAD = "backing@rail-wall#left", "backing@rail-wall#spread"


SERVE = """
import sys, django; django.setup()
from django.conf import settings
if len(sys.argv) > 2:
    settings.STATIC_VERSION, settings.STATIC_URL = sys.argv[2], f"/static/{sys.argv[2]}/"
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

    def start(self, version: str = "") -> None:
        """``version`` stands for other files than those that are there."""
        command = [sys.executable, "-c", SERVE, self.place, *([version] if version else [])]
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


class Line:
    """What lies between phone and server: it counts what is sent up, and breaks when it is told to."""

    def __init__(self, to: str) -> None:
        host, _, port = to.partition(":")
        self.to, self.up, self.cut_at, self.open = (host, int(port)), 0, 0, True
        self.listening = socket.create_server(("127.0.0.1", 0))
        self.address = f"http://127.0.0.1:{self.listening.getsockname()[1]}"
        threading.Thread(target=self._listen, daemon=True).start()

    def _listen(self) -> None:
        with contextlib.suppress(OSError):
            while True:
                phone = self.listening.accept()[0]
                if self.open:
                    server = socket.create_connection(self.to)
                    for ends in ((phone, server, True), (server, phone, False)):
                        threading.Thread(target=self._pump, args=ends, daemon=True).start()
                else:
                    phone.close()

    def _pump(self, source: socket.socket, sink: socket.socket, upwards: bool) -> None:
        with contextlib.suppress(OSError):
            while piece := source.recv(1 << 14):
                if upwards:
                    self.up += len(piece)
                    if self.cut_at and self.up > self.cut_at:
                        self.open = False
                        break
                sink.sendall(piece)
        for end in (source, sink):
            with contextlib.suppress(OSError):
                end.shutdown(socket.SHUT_RDWR)
            end.close()

    def close(self) -> None:
        self.listening.close()


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


def in_nobodys_way(page: Page) -> None:
    """Nothing that axe finds, nothing wider than the phone."""
    assert faults_of(page) == []
    assert page.evaluate("() => document.documentElement.scrollWidth <= window.innerWidth") is True


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
    expect(spread.locator(".check")).to_have_text("No signal: it is judged when it is sent.")
    spread.get_by_role("button", name="Hand in").click()
    expect(spread.locator("[data-queued] .queued")).to_contain_text('30"')
    in_nobodys_way(page)
    page.locator("#pass-on").get_by_role("button", name="Pass it on").click()
    expect(page.locator("[data-queue-said]")).to_have_text("To be sent: 4")

    # reload, and a browser that is killed
    page.reload()
    expect(page.locator("[data-queue-said]")).to_have_text("To be sent: 4")
    phone.kill()
    page = sheet(phone.open())
    page.goto(server.address + "/phone")
    expect(page.locator("[data-queued] .queued")).to_have_count(4)
    in_nobodys_way(page)
    assert Evidence.objects.count() == 0

    # signal again: everything goes by itself, once, and the sheet that is open is the server's again
    page.goto(f"{server.address}/my/{site.project.uid}/tasks/{site.task(BACKING.key).uid}")
    expect(page.locator(".kept-note")).to_be_visible()
    server.start()
    expect(page.locator("#pass-on")).to_contain_text("Offered to Low Rise Lift Supply", timeout=60_000)
    expect(page.locator(".kept-note")).to_be_hidden()
    page.goto(server.address + "/phone")
    expect(page.locator('[data-queued] [data-state="stored"]:visible')).to_have_count(5, timeout=30_000)
    expect(page.locator("[data-queue-bar]")).to_be_hidden()
    assert stored_hashes() == sorted(hashlib.sha256(shot.read_bytes()).hexdigest() for shot in shots)
    assert [(row.typed, row.in_tolerance) for row in Evidence.objects.filter(blob=None)] == [('30"', True)]
    assert [offer.task.key for offer in Offer.objects.all()] == [BACKING.key]
    assert {row.sender_name for row in Evidence.objects.all()} == {"Bo Tran"}
    assert isinstance(verify_stream(site.project.stream), Verified)


@pytest.fixture
def line(server: Server) -> Iterator[Line]:
    line = Line(server.place)
    yield line
    line.close()


def large_photo(seed: int) -> bytes:
    """A picture of about two megabytes that nothing makes smaller."""
    file = io.BytesIO()
    noise = random.Random(seed).randbytes(900 * 700 * 3)
    Image.frombytes("RGB", (900, 700), noise).save(file, "PNG")
    return file.getvalue()


def begin(site: Site) -> None:
    site.start(BACKING.key, "framer")
    site.at = timezone.now()


@on_sqlite
def test_a_line_that_breaks_two_windows_and_a_decision_meanwhile(
    site: Site, line: Line, phone: Phone, tmp_path: Path, wait_until: Any
) -> None:
    begin(site)
    task, left, spread = (site.task(BACKING.key).uid, site.need(LEFT).uid, site.need(SPREAD).uid)
    context = phone.open()
    page = sheet(context)
    come_in(page, line.address + text_link(site, "framer", "Bo Tran"))
    own = f"{line.address}/my/{site.project.uid}/tasks/{task}"
    page.goto(own)

    # the line breaks in the middle of a photo; what came before is not sent again
    photo = large_photo(1)
    (tmp_path / "large.png").write_bytes(photo)
    line.cut_at = line.up + 900_000
    card = page.locator(f"#need-{left}")
    card.locator("[data-camera]").set_input_files(tmp_path / "large.png")
    card.get_by_role("button", name="Hand in").click()
    wait_until(lambda: not line.open)
    expect(card.locator('.queued-file [data-state="waiting"]')).to_be_visible()
    half = next((tmp_path / "var" / "incoming" / "parts").glob("*/*"))
    came = half.stat().st_size
    assert 256_000 < came < len(photo)
    line.up, line.cut_at, line.open = 0, 0, True
    expect(card.get_by_text("1 photo handed in.")).to_be_visible(timeout=60_000)
    assert stored_hashes() == [hashlib.sha256(photo).hexdigest()]
    assert line.up < len(photo) - came + 100_000
    assert not half.exists()

    # two windows and no signal: each thing goes up once, from one of them
    other = sheet(context)
    other.goto(own)
    taken: list[str] = []  # what a line that is not back yet lets fail is sent again, so only answers count
    context.on("response", lambda answer: taken.append(answer.url) if answer.ok else None)
    context.set_offline(True)
    for window, typed in ((page, '30"'), (other, '30 1/8"')):
        window.locator(f"#need-{spread}").get_by_label("What was read").fill(typed)
        window.locator(f"#need-{spread}").get_by_role("button", name="Hand in").click()
        expect(window.locator(f"#need-{spread} [data-queued]")).to_contain_text(typed)
    for window in (page, other):
        expect(window.locator(f"#need-{spread} .queued")).to_have_count(2)
    taken.clear()
    context.set_offline(False)
    wait_until(lambda: Evidence.objects.filter(blob=None).count() == 2, 60)
    for window in (page, other):
        expect(window.locator("[data-queue-bar]")).to_be_hidden()
    sent = [url for url in taken if url.endswith(str(spread)) and "/sending/" in url]
    assert len(sent) == 2
    other.close()

    # while another photo waits, the first is accepted: that is said, and the photo stays
    again = tmp_path / "again.png"
    again.write_bytes(large_photo(2))
    context.set_offline(True)
    card = page.locator(f"#need-{left}")
    card.get_by_text("Hand in more").click()
    card.locator("[data-camera]").set_input_files(again)
    card.get_by_role("button", name="Hand in").click()
    expect(card.locator(".queued-file")).to_have_count(1)
    site.at = timezone.now()
    site.review(LEFT, "contractor", "accepted")
    context.set_offline(False)
    expect(card.locator("[data-reasons]")).to_contain_text("stays on your phone", timeout=60_000)
    expect(page.locator("[data-queue-said]")).to_have_text("Not taken: 1")
    page.wait_for_function("() => document.activeElement.hasAttribute('data-reasons')")
    assert Evidence.objects.filter(blob__isnull=False).count() == 1
    page.goto(line.address + "/phone")
    with page.expect_download() as saving:
        page.get_by_role("link", name="Save it on the phone").click()
    assert Path(saving.value.path()).read_bytes() == again.read_bytes()
    page.get_by_role("button", name="Leave out").click()
    expect(page.locator(".queued")).to_have_count(4)
    page.get_by_role("button", name="Leave it out for good?").click()
    expect(page.locator(".queued")).to_have_count(3)
    assert isinstance(verify_stream(site.project.stream), Verified)


NO_ROOM = """() => {
  const put = IDBObjectStore.prototype.put;
  let puts = 0;
  IDBObjectStore.prototype.put = function (...told) {
    puts += 1;
    if (puts > 1) throw new DOMException("full", "QuotaExceededError");
    return put.apply(this, told);
  };
  window.makeRoom = () => { IDBObjectStore.prototype.put = put; };
}"""
BYTES = """async () => {
  const { openDB } = await import(document.querySelector('script[type="module"]').src.replace(/js[/][^/]*$/, 'idb/index.js'));
  return (await openDB('outbox', 1)).count('bytes');
}"""


@on_sqlite
def test_a_phone_without_room_and_without_signal(
    site: Site, server: Server, phone: Phone, shots: list[Path], wait_until: Any
) -> None:
    begin(site)
    context = phone.open()
    page = sheet(context)
    come_in(page, server.address + text_link(site, "framer", "Bo Tran"))
    page.goto(f"{server.address}/my/{site.project.uid}/tasks/{site.task(BACKING.key).uid}")
    card = page.locator(f"#need-{site.need(LEFT).uid}")
    server.stop()
    page.evaluate(NO_ROOM)
    for shot in shots:
        card.locator("[data-camera]").set_input_files(shot)
    card.get_by_role("button", name="Hand in").click()

    # the second photo finds no room: it is said, the photos stay chosen, the first leaves nothing behind
    expect(card.get_by_role("alert")).to_contain_text("This phone has no room; nothing of this was kept.")
    expect(card.get_by_role("alert")).to_be_focused()
    expect(card.locator("[data-chosen] li")).to_have_count(2)
    assert [page.locator(".queued").count(), page.evaluate(BYTES)] == [0, 0]
    in_nobodys_way(page)

    # where there is room again the same press keeps both, and they go by themselves
    page.evaluate("() => window.makeRoom()")
    card.get_by_role("button", name="Hand in").click()
    expect(card.locator("[data-queued] .queued-file")).to_have_count(2)
    expect(card.locator("[data-not-kept-said]")).to_have_count(0)
    assert page.evaluate(BYTES) == 2
    server.start()
    wait_until(lambda: len(stored_hashes()) == 2, 60)
    assert stored_hashes() == sorted(hashlib.sha256(shot.read_bytes()).hexdigest() for shot in shots)


@on_sqlite
def test_a_phone_that_two_people_use(site: Site, server: Server, phone: Phone, wait_until: Any) -> None:
    begin(site)
    task, spread = site.task(BACKING.key).uid, site.need(SPREAD).uid
    bo, kit = text_link(site, "framer", "Bo Tran"), text_link(site, "other electrician", "Kit Ames")
    context = phone.open()
    page = sheet(context)
    come_in(page, server.address + bo)
    wait_until(keeps(page, 2))
    own = f"{server.address}/my/{site.project.uid}/tasks/{task}"
    page.goto(own)
    server.stop()
    card = page.locator(f"#need-{spread}")
    card.get_by_label("What was read").fill('30"')
    card.get_by_role("button", name="Hand in").click()
    expect(card.locator(".queued")).to_contain_text('30"')

    # signing out warns; nothing of Bo's can be read afterwards, and nothing is sent
    page.get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("dialog")).to_contain_text("Still on this phone: 1.")
    page.get_by_role("button", name="Stay").click()
    expect(page.get_by_role("dialog")).to_be_hidden()
    page.get_by_role("button", name="Sign out").click()
    page.get_by_role("button", name="Sign out all the same").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("On this phone")
    expect(page.get_by_text("Without signal the server could not be told that you left.")).to_be_visible()
    expect(page.locator("[data-others]")).to_contain_text("1 from Bo Tran")
    assert page.locator(".queued").count() == 0
    assert page.locator("[data-others] li").count() == 1
    page.goto(own)
    expect(page.get_by_text("this sheet is not kept on the phone")).to_be_visible()
    assert ['30"' in page.content(), "backing" in page.content()] == [False, False]
    server.start()
    page.goto(server.address + "/")
    expect(page.get_by_role("heading", level=1)).to_have_text("Sign in")

    # Kit comes in on the same phone: Bo's reading is neither seen nor sent
    come_in(page, server.address + kit)
    page.goto(server.address + "/phone")
    expect(page.locator("[data-others]")).to_contain_text("1 from Bo Tran")
    page.goto(f"{server.address}/my/{site.project.uid}/")
    wait_until(keeps(page, 1))
    assert Evidence.objects.count() == 0
    page.get_by_role("button", name="Sign out").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Sign in")

    # Bo comes in with a new link, as the old one may be lost: now it goes, under his name
    come_in(page, server.address + text_link(site, "framer", "Bo Tran"))
    wait_until(lambda: Evidence.objects.count() == 1, 30)
    assert [(row.typed, row.sender_name) for row in Evidence.objects.all()] == [('30"', "Bo Tran")]


@on_sqlite
def test_it_installs_and_a_new_version_takes_over(
    site: Site, server: Server, phone: Phone, wait_until: Any
) -> None:
    context = phone.open()
    page = sheet(context)
    come_in(page, server.address + text_link(site, "framer", "Bo Tran"))
    wait_until(keeps(page, 2))
    told = context.new_cdp_session(page)
    assert told.send("Page.getAppManifest")["errors"] == []
    assert told.send("Page.getInstallabilityErrors")["installabilityErrors"] == []

    # new files, while the phone has the old ones
    server.stop()
    server.start(version="newer")
    page.goto(f"{server.address}/my/{site.project.uid}/")
    shells = "async () => (await caches.keys()).filter((name) => name.startsWith('shell-'))"
    wait_until(lambda: page.evaluate(shells) == ["shell-newer"], 30)
    server.stop()
    page.get_by_role("link", name="backing").first.click()
    expect(page.locator(".kept-note")).to_be_visible()
    assert (
        page.locator('link[rel="stylesheet"]').first.get_attribute("href") == "/static/newer/css/tokens.css"
    )
    assert page.evaluate("() => getComputedStyle(document.querySelector('.sheet')).display") == "flex"
