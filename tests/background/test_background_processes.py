"""Workers and children as real processes, killed without warning."""

import logging
import os
import signal
import subprocess
import sys
import time
from collections import Counter
from datetime import UTC, datetime
from pathlib import Path

import pytest

from coordination.background import child
from coordination.background.leasing import take
from coordination.background.models import Lease
from coordination.background.running import Tried, run_until_idle
from tests.background import chores
from tests.background.chores import chore

ROOT = Path(__file__).resolve().parent.parent.parent


@pytest.fixture
def folder(tmp_path, monkeypatch, real_database):
    chores.lay_out(tmp_path / "chores", "a")
    monkeypatch.setenv("CHORES", str(tmp_path / "chores"))
    monkeypatch.setenv("SILL_DATABASE", real_database)
    monkeypatch.setenv("SILL_VAR", str(tmp_path / "var"))
    return tmp_path / "chores"


@pytest.fixture
def worker(folder):
    """Start worker processes; whatever is left of them is killed at the end."""
    started = []

    def start(name: str, lease: float = 4) -> subprocess.Popen[bytes]:
        environment = {
            **os.environ,
            "DJANGO_SETTINGS_MODULE": "coordination.settings",
            "PYTHONPATH": str(ROOT),
        }
        command = [sys.executable, str(Path(chores.__file__)), str(lease), name]
        started.append(subprocess.Popen(command, env=environment, cwd="/"))
        return started[-1]

    yield start
    for process in started:
        process.kill()
        process.wait()


@pytest.fixture(autouse=True)
def _warnings_stay_in_the_log(caplog):
    caplog.set_level(logging.ERROR, "coordination.background.running")


def running_with(text: str) -> list[str]:
    """Command lines of living processes that contain ``text``."""
    found = []
    for path in Path("/proc").glob("[0-9]*/cmdline"):
        try:
            line = path.read_bytes().decode(errors="replace")
        except OSError:
            continue
        found += [line] if text in line else []
    return found


def test_a_child_does_it(folder):
    assert run_until_idle([chore(chores.tells_database)], datetime.now(UTC)) == [
        Tried("tells_database", "a", "")
    ]
    assert chores.logged(folder) in (["database sqlite False"], ["database postgresql False"])
    assert Lease.objects.count() == 0


@pytest.mark.parametrize(
    ("do", "error"),
    [
        (chores.fails, "ValueError: no a today"),
        (chores.dies, "Stopped by signal 9 (SIGKILL)."),
        (chores.breaks_down, "Stopped by signal 11 (SIGSEGV)."),
        (chores.leaves_at_once, "Ended with code 3 and without an answer."),
        (chores.sleeps, "Stopped after 2 seconds."),
    ],
)
def test_what_goes_wrong_in_a_child_is_kept(folder, do, error):
    assert run_until_idle([chore(do, limit=2)], datetime.now(UTC)) == [Tried(do.__name__, "a", error)]
    assert list(Lease.objects.values_list("attempts", "error", "until")) == [(1, error, None)]


def test_one_child_does_one_key_after_the_other(folder):
    chores.lay_out(folder, "b", "c")
    run_until_idle([chore(chores.who)], datetime.now(UTC))
    done_by = chores.logged(folder)
    assert (len(done_by), len(set(done_by))) == (3, 1)
    assert done_by[0] != f"done by {os.getpid()}"


def test_a_broken_picture_takes_nothing_else_with_it(folder):
    chores.lay_out(folder, "b", "c")
    tried = run_until_idle([chore(chores.breaks_down)], datetime.now(UTC))
    assert [(one.key, one.error) for one in tried] == [
        ("a", "Stopped by signal 11 (SIGSEGV)."),
        ("b", ""),
        ("c", ""),
    ]


def test_what_the_work_prints_and_reads_does_not_come_between(folder):
    chores.lay_out(folder, "b")
    tried = run_until_idle([chore(chores.chatters)], datetime.now(UTC))
    assert [(one.key, one.error) for one in tried] == [("a", ""), ("b", "")]
    assert chores.logged(folder) == ["read ''", "read ''"]


def test_a_swollen_child_is_replaced(folder):
    chores.lay_out(folder, "b")
    run_until_idle([chore(chores.swells)], datetime.now(UTC))
    assert len(set(chores.logged(folder))) == 2


def test_a_child_without_work_goes(folder, monkeypatch):
    monkeypatch.setattr(child, "IDLE", 0.0)
    with child.Child() as one:
        lease = take("who", "a", datetime.now(UTC), 5)
        one.do(chore(chores.who), "a", lease, lambda: datetime.now(UTC))
        pid = int(chores.logged(folder)[0].removeprefix("done by "))
        assert Path(f"/proc/{pid}").exists()
        one.rest()
        assert not Path(f"/proc/{pid}").exists()


def test_a_child_killed_between_two_keys_costs_no_attempt(folder):
    with child.Child() as one:
        for key in ("a", "b"):
            lease = take("who", key, datetime.now(UTC), 5)
            one.do(chore(chores.who), key, lease, lambda: datetime.now(UTC))
            os.kill(int(chores.logged(folder)[-1].removeprefix("done by ")), signal.SIGKILL)
    assert len(set(chores.logged(folder))) == 2


def test_a_child_too_slow_is_stopped_with_all_it_started(folder):
    run_until_idle([chore(chores.sleeps, limit=2)], datetime.now(UTC))
    assert chores.logged(folder) == ["begin a"]
    assert running_with(str(folder)) == []


def test_a_killed_child_is_tried_again(folder):
    work = chore(chores.dies_once)
    run_until_idle([work], datetime.now(UTC))
    assert run_until_idle([work], Lease.objects.get().due) == [Tried("dies_once", "a", "")]
    assert chores.logged(folder) == ["begin a", "begin a", "end a"]


def test_work_of_a_killed_worker_is_found_again(folder, worker, wait_until, monkeypatch):
    monkeypatch.setenv("CHORE_SECONDS", "1000")
    first = worker("alone")
    wait_until(lambda: chores.logged(folder) == ["begin a"])
    first.send_signal(signal.SIGKILL)
    first.wait()
    monkeypatch.setenv("CHORE_SECONDS", "0.05")
    worker("alone")
    wait_until(lambda: "end a" in chores.logged(folder))
    assert chores.logged(folder) == ["begin a", "begin a", "end a"]


def test_a_child_dies_with_its_worker(folder, worker, wait_until):
    parent = worker("sleeps")
    wait_until(lambda: chores.logged(folder) == ["begin a"])
    wait_until(lambda: len(running_with(str(folder))) == 1)
    parent.send_signal(signal.SIGKILL)
    parent.wait()
    wait_until(lambda: running_with(str(folder)) == [])


def test_a_living_worker_is_left_alone_however_long_it_takes(folder, worker, wait_until, monkeypatch):
    monkeypatch.setenv("CHORE_SECONDS", "4")
    for _ in range(2):
        worker("alone", lease=1.5)
    wait_until(lambda: "end a" in chores.logged(folder))
    time.sleep(0.5)
    assert chores.logged(folder) == ["begin a", "end a"]


def test_three_workers_never_do_one_piece_at_once_nor_twice(folder, worker, wait_until):
    keys = [f"{number:02}" for number in range(30)]
    chores.lay_out(folder, *keys)
    for _ in range(3):
        worker("alone", lease=5)
    wait_until(lambda: len(list((folder / "done").iterdir())) == 31, 60)
    time.sleep(0.5)
    assert Counter(chores.logged(folder)) == Counter(
        f"{word} {key}" for key in ["a", *keys] for word in ("begin", "end")
    )


def test_workers_killed_again_and_again_still_get_everything_done(folder, worker, wait_until):
    keys = [f"{number:02}" for number in range(12)]
    chores.lay_out(folder, *keys)
    worker("alone", lease=4)
    for seconds in (1.3, 1.7):
        victim = worker("alone", lease=4)
        time.sleep(seconds)
        victim.send_signal(signal.SIGKILL)
    wait_until(lambda: len(list((folder / "done").iterdir())) == 13, 150)
    assert not any(line.startswith("CLASH") for line in chores.logged(folder))
