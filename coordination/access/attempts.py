"""Counts how often somebody tried, per address and per account, so that nobody can try for ever.

Only hashes are kept of addresses and accounts. The counters lie in the database: every process sees the same.
"""

import hashlib
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import ceil

from django.db import transaction
from django.db.models import F

from coordination.access.models import Attempts
from coordination.access.refusals import Reason, TooManyAttempts


@dataclass(frozen=True)
class Limit:
    """At most ``most`` attempts within ``minutes``, counted from the first one."""

    kind: str
    most: int
    minutes: int


LINKS_FOR_AN_ACCOUNT = Limit("sign-in links for an account", 5, 60)
LINKS_FROM_AN_ADDRESS = Limit("sign-in links from an address", 30, 60)
WRONG_TOKENS = Limit("unknown links from an address", 20, 10)


def count_attempt(limit: Limit, who: str, at: datetime) -> None:
    """Count one attempt of ``who``. Raises TooManyAttempts, and then counts no further."""
    with transaction.atomic():
        Attempts.objects.get_or_create(key=_key(limit, who), defaults={"since": at})
        standing = Attempts.objects.select_for_update().get(key=_key(limit, who))
        if standing.since + timedelta(minutes=limit.minutes) <= at:
            Attempts.objects.filter(pk=standing.pk).update(since=at, count=1)
            return
        _refuse_beyond(limit, standing, at)
        Attempts.objects.filter(pk=standing.pk).update(count=F("count") + 1)


def refuse_after_too_many(limit: Limit, who: str, at: datetime) -> None:
    """Raise TooManyAttempts when ``who`` has used up ``limit``, without counting."""
    since = at - timedelta(minutes=limit.minutes)
    if standing := Attempts.objects.filter(key=_key(limit, who), since__gt=since).first():
        _refuse_beyond(limit, standing, at)


def old_attempts(before: datetime) -> bool:
    """Whether any counter began before ``before``."""
    return Attempts.objects.filter(since__lt=before).exists()


def forget_attempts(before: datetime) -> int:
    """Remove counters that began before ``before``; how many there were."""
    return Attempts.objects.filter(since__lt=before).delete()[0]


def _refuse_beyond(limit: Limit, standing: Attempts, at: datetime) -> None:
    if standing.count >= limit.most:
        left = standing.since + timedelta(minutes=limit.minutes) - at
        raise TooManyAttempts(Reason("too many attempts", {"minutes": ceil(left.total_seconds() / 60)}))


def _key(limit: Limit, who: str) -> str:
    return hashlib.sha256(f"{limit.kind}\n{who.strip().lower()}".encode()).hexdigest()
