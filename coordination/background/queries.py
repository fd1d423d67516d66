"""How far the background is: what is being done, what waits, what stands still and needs a person."""

from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from coordination.background.models import Lease


def given_up() -> QuerySet[Lease]:
    """Pieces of work that failed too often and wait for a person, with their last error."""
    return Lease.objects.filter(due=None).order_by("kind", "key")


def failing() -> QuerySet[Lease]:
    """Pieces of work that failed and will be tried again, next ones first."""
    return Lease.objects.filter(due__isnull=False).exclude(error="").order_by("due", "kind", "key")


@dataclass(frozen=True)
class Progress:
    """How far one piece of work is: ``waits`` for its turn, somebody is ``at it``, it failed and is tried ``again`` at
    ``due``, or it was ``given up``.
    """

    state: str
    due: datetime | None = None


WAITS = Progress("waits")


def progress_of(kind: str) -> dict[str, Progress]:
    """By key, how far each piece of work of a kind is that somebody has begun; what is not there WAITS. One query."""
    return {lease.key: _progress(lease) for lease in Lease.objects.filter(kind=kind)}


def _progress(lease: Lease) -> Progress:
    if lease.until is not None:
        return Progress("at it")
    if lease.due is None:
        return Progress("given up")
    return Progress("again", lease.due) if lease.error else WAITS
