"""How an event is hashed: over the stored texts, one per line after its length, so that no two events share bytes."""

import hashlib
import json
from collections.abc import Iterable
from typing import Any

GENESIS = "0" * 64
FIELDS = ("stream", "seq", "prev", "at", "claimed_at", "actor", "verb", "subject", "body")


def canonical(value: Any) -> str:
    """JSON with sorted keys, no white space, no ASCII escapes: the form that is stored and hashed."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def digest(texts: Iterable[object]) -> str:
    """SHA-256 over the texts, each preceded by its length in bytes."""
    sha = hashlib.sha256()
    for text in texts:
        raw = str(text).encode()
        sha.update(b"%d\n" % len(raw))
        sha.update(raw)
    return sha.hexdigest()


def hash_of(event: Any) -> str:
    """The hash that ``event`` must carry; reads the attributes named in ``FIELDS``."""
    return digest(getattr(event, field) for field in FIELDS)
