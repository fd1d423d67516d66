"""Doing one piece of work in this process while its lease is kept alive. ``child`` does it in another one."""

import contextlib
import threading
from collections.abc import Callable, Iterator
from datetime import datetime

from django.db import DatabaseError, connection

from coordination.background.leasing import LEASE, hold
from coordination.background.models import Lease
from coordination.background.work import Work

BEAT = LEASE.total_seconds() / 3
Clock = Callable[[], datetime]
Do = Callable[[Work, str, Lease, Clock], None]


class Failed(Exception):
    """The work did not get done; the text is what stays on the lease."""


def do_here(work: Work, key: str, lease: Lease, clock: Clock) -> None:
    """Do it in this process. Raises Failed with the name and text of whatever it raised."""
    try:
        with _heart_beat(lease, clock):
            work.do(key)
    except Exception as error:
        raise Failed(f"{type(error).__name__}: {error}") from error


def beat(lease: Lease, clock: Clock) -> bool:
    """Hold the lease for another while; false when it was lost to somebody else."""
    try:
        return hold(lease, clock())
    except DatabaseError:  # the next beat comes before the lease runs out
        return True


@contextlib.contextmanager
def _heart_beat(lease: Lease, clock: Clock) -> Iterator[None]:
    done = threading.Event()
    thread = threading.Thread(target=_beating, args=(done, lease, clock), daemon=True)
    thread.start()
    try:
        yield
    finally:
        done.set()
        thread.join()


def _beating(done: threading.Event, lease: Lease, clock: Clock) -> None:
    try:
        while not done.wait(BEAT):
            beat(lease, clock)
    finally:
        connection.close()  # a thread has its own
