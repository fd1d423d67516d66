"""The same order gives the same bytes, in another process, on another day, elsewhere in the world."""

import json
import os
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from coordination.paper import PaperError, render_apart, render_pdf
from coordination.paper.ordering import Order, read_order, write_order
from tests.paper import sheets

ROOT = Path(__file__).resolve().parent.parent.parent
# Loaded by the interpreter before anything else: every clock of this process is 400 days ahead.
ANOTHER_DAY = """
import datetime, time
_now, _gm, _local, LATER = time.time, time.gmtime, time.localtime, 400 * 86400
time.time = lambda: _now() + LATER
time.gmtime = lambda seconds=None: _gm(time.time() if seconds is None else seconds)
time.localtime = lambda seconds=None: _local(time.time() if seconds is None else seconds)
class Later(datetime.datetime):
    @classmethod
    def now(cls, tz=None):
        return cls.fromtimestamp(time.time(), tz)
    @classmethod
    def utcnow(cls):
        return cls.now(datetime.UTC).replace(tzinfo=None)
datetime.datetime = Later
"""


@pytest.fixture(scope="module")
def here() -> bytes:
    return render_pdf(sheets.order())


def elsewhere(folder: Path, order: Order, cwd: str, **environment: str) -> bytes:
    folder.mkdir()
    (folder / "sitecustomize.py").write_text(ANOTHER_DAY)
    job = write_order(order, folder)
    answer = subprocess.run(
        [sys.executable, "-m", "coordination.paper", str(job), str(folder / "made.pdf")],
        env={**os.environ, "PYTHONPATH": f"{folder}{os.pathsep}{ROOT}", **environment},
        cwd=cwd,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert (answer.returncode, answer.stderr) == (0, "")
    return (folder / "made.pdf").read_bytes()


def test_other_process_day_zone_locale_seed_and_folder(here, tmp_path):
    order = sheets.order()
    one = elsewhere(tmp_path / "one", order, "/", TZ="Pacific/Kiritimati", LC_ALL="C", PYTHONHASHSEED="1")
    two = elsewhere(
        tmp_path / "two", order, "/usr", TZ="America/Adak", LC_ALL="C.UTF-8", PYTHONHASHSEED="4242"
    )
    assert one == two == here


def test_the_other_day_is_really_another(tmp_path):
    (tmp_path / "sitecustomize.py").write_text(ANOTHER_DAY)
    ask = "import datetime, time; print((datetime.datetime.now().date() - datetime.date(1970, 1, 1)).days - int(time.clock_gettime(time.CLOCK_REALTIME) // 86400))"
    said = subprocess.run(
        [sys.executable, "-c", ask],
        env={**os.environ, "PYTHONPATH": str(tmp_path), "TZ": "UTC"},
        capture_output=True,
        text=True,
        check=True,
    ).stdout
    assert said.strip() == "400"


def test_order_of_files_changes_nothing(here):
    order = sheets.order(
        resources=dict(reversed(sheets.resources().items())), attachments=list(reversed(sheets.attachments()))
    )
    assert render_pdf(order) == here


@pytest.mark.parametrize(
    "change",
    [
        {"identifier": b"another identif."},
        {"made_at": sheets.MADE_AT.replace(second=7)},
        {"title": "Another title"},
        {"language": "es"},
        {"attachments": []},
        {"html": sheets.HTML.replace("row 7<", "row 77<")},
    ],
)  # fmt: skip
def test_whatever_is_ordered_differently_shows(here, change):
    assert render_pdf(sheets.order(**change)) != here


def test_files_on_disk_are_the_same_as_bytes(here, tmp_path):
    files = {}
    for number, (name, content) in enumerate(sheets.resources().items()):
        files[name] = tmp_path / str(number)
        files[name].write_bytes(content)
    assert render_pdf(sheets.order(resources=files)) == here


def test_an_order_survives_being_written(tmp_path):
    order = sheets.order()
    found = read_order(write_order(order, tmp_path))
    assert {name: path.read_bytes() for name, path in found.resources.items()} == dict(order.resources)
    assert [
        (a.name, a.content.read_bytes(), a.media_type, a.description, a.relationship)
        for a in found.attachments
    ] == [(a.name, a.content, a.media_type, a.description, a.relationship) for a in order.attachments]
    words = ("html", "identifier", "made_at", "language", "title", "profile")
    assert [getattr(found, word) for word in words] == [getattr(order, word) for word in words]


def test_apart_gives_the_same_bytes(here):
    assert render_apart(sheets.order()) == here


def test_apart_says_what_was_wrong():
    order = sheets.order(html=sheets.HTML.replace("photo/one.jpg", "photo/two.jpg"))
    with pytest.raises(PaperError, match=r"photo/two\.jpg.*was not handed over"):
        render_apart(order)


def test_apart_stops_after_its_limit():
    with pytest.raises(PaperError, match=r"stopped after 0\.05 seconds"):
        render_apart(sheets.order(), limit=0.05)


def test_a_refused_job_leaves_no_file(tmp_path):
    job = write_order(sheets.order(html="<img src=x.png alt=x>"), tmp_path)
    target = tmp_path / "out" / "made.pdf"
    target.parent.mkdir()
    answer = subprocess.run(
        [sys.executable, "-m", "coordination.paper", str(job), str(target)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert answer.returncode == 1
    assert "x.png" in answer.stderr
    assert list(target.parent.iterdir()) == []


def test_a_job_file_is_plain_to_read(tmp_path):
    job = json.loads(write_order(sheets.order(), tmp_path).read_text())
    assert (job["identifier"], job["made_at"]) == (
        "30313233343536373839616263646566",
        "2026-03-09T14:05:06+00:00",
    )


def test_two_threads_at_once_do_not_hear_each_other(here):
    """The complaints about one paper must not stop another that is made at the same time."""
    answers: dict[str, object] = {}

    def make(name, html):
        try:
            answers[name] = render_pdf(sheets.order(html=html))
        except PaperError as error:
            answers[name] = error.faults

    wrong = sheets.HTML.replace(' alt="The photo in words"', "")
    threads = [
        threading.Thread(target=make, args=(name, html))
        for name, html in (("good", sheets.HTML), ("bad", wrong))
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert answers == {"good": here, "bad": ('Image "photo/one.jpg" has no required alt description',)}


def test_nothing_heavy_is_loaded_before_a_paper_is_made():
    ask = "import sys, coordination.paper; print('weasyprint' in sys.modules or 'pydyf' in sys.modules)"
    assert (
        subprocess.run(
            [sys.executable, "-c", ask], cwd=ROOT, capture_output=True, text=True, check=True
        ).stdout
        == "False\n"
    )
