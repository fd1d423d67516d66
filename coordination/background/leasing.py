"""Taking, holding and giving back a lease: single statements that compare before they set, the same on SQLite and
PostgreSQL. None of them is wrapped in a transaction, and none is held while work is done.
"""

from collections.abc import Iterable
from datetime import datetime, timedelta

from django.db.models import Q, QuerySet

from coordination.background.models import Lease

LEASE = timedelta(seconds=30)
REST = timedelta(seconds=2)
FIRST_PAUSE = timedelta(seconds=5)
LONGEST_PAUSE = timedelta(minutes=10)
KILLED = "The worker stopped without a word, and so did each one before."


def take(kind: str, key: str, now: datetime, attempts: int) -> Lease | None:
    """Lease a piece of work for LEASE; None when somebody is at it, when it is not due, or when it was given up."""
    Lease.objects.bulk_create([Lease(kind=kind, key=key, due=now)], ignore_conflicts=True)
    seen = _free(now).filter(kind=kind, key=key, due__lte=now).first()
    if seen is None:
        return None
    if seen.attempts >= attempts:
        _as_seen(seen).update(until=None, due=None, error=seen.error or KILLED)
        return None
    if not _as_seen(seen).update(until=now + LEASE, attempts=seen.attempts + 1):
        return None
    seen.until, seen.attempts = now + LEASE, seen.attempts + 1
    return seen


def hold(lease: Lease, now: datetime) -> bool:
    """Lease it for another LEASE from ``now``; false when it was lost to somebody else."""
    if not _as_seen(lease).update(until=now + LEASE):
        return False
    lease.until = now + LEASE
    return True


def settle(lease: Lease, now: datetime) -> None:
    """It is done. The row rests, so that another worker with an older list of keys does not do it a second time."""
    _as_seen(lease).update(until=None, due=now + REST, attempts=0, error="")


def fail(lease: Lease, now: datetime, attempts: int, error: str) -> None:
    """It failed: due again after a pause that doubles, or given up after ``attempts``."""
    last = lease.attempts >= attempts
    pause = min(FIRST_PAUSE * 2 ** (lease.attempts - 1), LONGEST_PAUSE)
    _as_seen(lease).update(until=None, due=None if last else now + pause, error=error[:4000] or "failed")


def let_go(lease: Lease, now: datetime) -> None:
    """The worker was asked to stop: whoever comes next may start at once, and nothing counts as failed."""
    _as_seen(lease).update(until=None, due=now, attempts=lease.attempts - 1)


def try_again(lease: Lease, now: datetime) -> bool:
    """A person asks for what was given up to be tried once more from the beginning; false when it is not given up."""
    return bool(_as_seen(lease).filter(due=None).update(due=now, attempts=0))


def forget(kind: str, found: Iterable[str], before: datetime | None) -> None:
    """Remove rows nobody holds whose work is no longer needed, given-up ones too.

    Those that rest stay until they were due ``before``; None removes them as well.
    """
    wanted = set(found)
    for lease in Lease.objects.filter(kind=kind, until=None):
        resting = before is not None and lease.due is not None and lease.due > before
        if lease.key not in wanted and not resting:
            _as_seen(lease).delete()


def _free(now: datetime) -> QuerySet[Lease]:
    return Lease.objects.filter(Q(until=None) | Q(until__lte=now))


def _as_seen(lease: Lease) -> QuerySet[Lease]:
    """The row, if nobody has taken, held or given it back since ``lease`` was read."""
    return Lease.objects.filter(pk=lease.pk, attempts=lease.attempts, until=lease.until, due=lease.due)
