"""The loop: find what needs doing, lease it, do it, note how it went."""

import logging
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import close_old_connections
from django.utils import timezone

from coordination.background import leasing
from coordination.background.child import Child
from coordination.background.doing import Clock, Do, Failed, do_here
from coordination.background.models import Lease
from coordination.background.work import Work, must_be_found_by_name

STALE = leasing.REST / 2
logger = logging.getLogger(__name__)


@dataclass(frozen=True)
class Tried:
    """One piece of work that was begun; ``error`` is empty when it was done."""

    kind: str
    key: str
    error: str


def run_once(works: Sequence[Work], now: datetime, *, children: bool = True) -> list[Tried]:
    """Go once through ``works`` and try what is due; return what was tried.

    A list of keys is used for STALE only, so that what other workers did meanwhile is not done again: a long piece of
    work ends the turn of its kind. ``children=False`` does everything in this process, for tests within one
    transaction.
    """
    with Child() as child:
        return _one_round(works, now, _doing(works, child, children))


def run_until_idle(
    works: Sequence[Work],
    now: datetime,
    *,
    children: bool = True,
    tell: Callable[[Tried], object] | None = None,
) -> list[Tried]:
    """Run until nothing is due at ``now``; return all that was tried, in order. Failures are left to later.

    ``tell`` hears of each piece of work as soon as it was tried.
    """
    tried: list[Tried] = []
    with Child() as child:
        do = _doing(works, child, children)
        while some := _one_round(works, now, do, tell):
            tried += some
    for work in works:
        leasing.forget(work.kind, work.find(now), before=None)
    return tried


def run_forever(
    works: Sequence[Work],
    stop: threading.Event,
    *,
    clock: Clock = timezone.now,
    pause: float = 1.0,
    children: bool = True,
) -> None:
    """Run until ``stop`` is set, which lets a piece of work under way finish; look again every ``pause`` seconds."""
    with Child() as child:
        do = _doing(works, child, children)
        while not stop.is_set():
            if not sum(_without_falling_over(work, clock, do, stop) for work in works):
                child.rest()
                stop.wait(pause)


def _doing(works: Sequence[Work], child: Child, children: bool) -> Do:
    """How the works are done. Raises ValueError when a child process could not find one of them."""
    if not children:
        return do_here
    for work in works:
        must_be_found_by_name(work)
    return child.do


def _one_round(
    works: Sequence[Work], now: datetime, do: Do, tell: Callable[[Tried], object] | None = None
) -> list[Tried]:
    started = time.monotonic()

    def clock() -> datetime:
        return now + timedelta(seconds=time.monotonic() - started)

    found = []
    for work in works:
        for tried in _one_kind(work, clock, do, threading.Event()):
            found.append(tried)
            if tell is not None:
                tell(tried)
    return found


def _without_falling_over(work: Work, clock: Clock, do: Do, stop: threading.Event) -> int:
    """One turn of one kind of work; a database that is away, or a broken ``find``, stops no other kind."""
    close_old_connections()
    try:
        return sum(1 for _ in _one_kind(work, clock, do, stop))
    except Exception:
        logger.exception("Looking for work of the kind %s failed.", work.kind)
        return 0


def _one_kind(work: Work, clock: Clock, do: Do, stop: threading.Event) -> Iterator[Tried]:
    found_at = clock()
    keys = list(work.find(found_at))
    leasing.forget(work.kind, keys, before=found_at)
    for key in keys:
        if stop.is_set() or clock() - found_at > STALE:
            break
        if lease := leasing.take(work.kind, key, clock(), work.attempts):
            yield _try(work, lease, clock, do)


def _try(work: Work, lease: Lease, clock: Clock, do: Do) -> Tried:
    try:
        do(work, lease.key, lease, clock)
    except Failed as failure:
        logger.warning("%s failed: %s", lease, failure, exc_info=failure.__cause__)
        leasing.fail(lease, clock(), work.attempts, str(failure))
        return Tried(work.kind, lease.key, str(failure))
    except BaseException:  # the worker itself was asked to stop
        leasing.let_go(lease, clock())
        raise
    leasing.settle(lease, clock())
    return Tried(work.kind, lease.key, "")
