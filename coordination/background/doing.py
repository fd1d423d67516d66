"""Do one piece of work while its lease is kept alive: here, or in a child process with a time limit."""

import contextlib
import os
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from datetime import datetime
from typing import IO

from django.db import DatabaseError, connection

from coordination.background.leasing import LEASE, hold
from coordination.background.models import Lease
from coordination.background.work import Work, name_of

BEAT = LEASE.total_seconds() / 3
Clock = Callable[[], datetime]


class Failed(Exception):
    """The work did not get done; the text is what stays on the lease."""


def do_here(work: Work, key: str, lease: Lease, clock: Clock) -> None:
    """Do it in this process. Raises Failed with the name and text of whatever it raised."""
    try:
        with _heart_beat(lease, clock):
            work.do(key)
    except Exception as error:
        raise Failed(f"{type(error).__name__}: {error}") from error


def do_in_child(work: Work, key: str, lease: Lease, clock: Clock) -> None:
    """Do it in a process of its own, which dies with this one. Raises Failed, also after ``work.limit`` seconds."""
    with tempfile.TemporaryFile() as said, _child(work, key, said) as child:
        _wait(child, work.limit, lease, clock)
        if child.returncode:
            raise Failed(_last_words(said, child.returncode))


@contextlib.contextmanager
def _heart_beat(lease: Lease, clock: Clock) -> Iterator[None]:
    done = threading.Event()
    thread = threading.Thread(target=_beat, args=(done, lease, clock), daemon=True)
    thread.start()
    try:
        yield
    finally:
        done.set()
        thread.join()


def _beat(done: threading.Event, lease: Lease, clock: Clock) -> None:
    try:
        while not done.wait(BEAT):
            with contextlib.suppress(DatabaseError):  # the next beat comes before the lease runs out
                hold(lease, clock())
    finally:
        connection.close()  # a thread has its own


@contextlib.contextmanager
def _child(work: Work, key: str, said: IO[bytes]) -> Iterator[subprocess.Popen[bytes]]:
    """The child process; whatever happens, neither it nor what it started is left behind."""
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(path for path in sys.path if path)}
    command = [sys.executable, "-m", "coordination.background", name_of(work.do), key]
    child = subprocess.Popen(  # noqa: S603  our own interpreter, our own function
        command,
        stdin=subprocess.PIPE,
        stdout=subprocess.DEVNULL,
        stderr=said,
        env=environment,
        start_new_session=True,
    )
    try:
        yield child
    finally:
        if child.poll() is None:
            os.killpg(child.pid, signal.SIGKILL)
        child.communicate()


def _wait(child: subprocess.Popen[bytes], limit: float, lease: Lease, clock: Clock) -> None:
    end = time.monotonic() + limit
    while (left := end - time.monotonic()) > 0:
        try:
            child.wait(min(left, BEAT))
        except subprocess.TimeoutExpired:
            if not hold(lease, clock()):
                raise Failed("Somebody else has taken it over.") from None
        else:
            return
    raise Failed(f"Stopped after {limit:g} seconds.")


def _last_words(said: IO[bytes], code: int) -> str:
    if code < 0:
        return f"Stopped by signal {-code} ({signal.Signals(-code).name})."
    said.seek(0)
    lines = said.read().decode(errors="replace").strip().splitlines()
    return lines[-1] if lines else f"Ended with code {code} and said nothing."
