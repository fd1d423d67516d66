"""An anchor is one word about a chain, HASH@LENGTH: the hash of its event number LENGTH. A paper carries it away, so
that a record rewritten afterwards, however consistently, no longer agrees with the paper.
"""

import re
from dataclasses import dataclass

from coordination.record.models import Event
from coordination.record.verification import Fault, Verified, verify_stream

WRITTEN = re.compile(r"\b([0-9a-f]{64})@([1-9][0-9]{0,9})\b")


@dataclass(frozen=True)
class Anchor:
    """The hash of event number ``length``, 64 hexadecimal digits; ``stream`` where it is known."""

    hash: str
    length: int
    stream: str = ""

    def __str__(self) -> str:
        return f"{self.hash}@{self.length}"


@dataclass(frozen=True)
class Held:
    """The chain's event number ``anchor.length`` is the anchor's, and everything before it holds.

    ``whole`` is the answer on the whole chain: a fault in it lies behind the anchor.
    """

    anchor: Anchor
    whole: Verified | Fault


@dataclass(frozen=True)
class Contradicted:
    """The record is not the one that the anchor was taken from.

    ``what``: "unknown", no chain has this event; "cut off", the chain is shorter; "other", another event stands there.
    """

    anchor: Anchor
    what: str


def read_anchor(text: str) -> Anchor | None:
    """The first anchor in a text, None where there is none."""
    found = WRITTEN.search(text)
    return Anchor(found[1], int(found[2])) if found else None


def verify_anchor(anchor: Anchor) -> Held | Contradicted | Fault:
    """Prove that the record still holds what the anchor stands for, and everything before it, unchanged.

    A fault is the answer where the chain breaks at or before the anchor.
    """
    named = Event.objects.filter(seq=anchor.length, hash=anchor.hash)
    streams = [anchor.stream] if anchor.stream else list(named.values_list("stream", flat=True))
    for stream in streams:
        answer = verify_stream(stream)
        if isinstance(answer, Fault) and answer.seq <= anchor.length:
            return answer
        standing = Event.objects.filter(stream=stream, seq=anchor.length).first()
        if standing is None:
            return Contradicted(anchor, "cut off")
        if standing.hash != anchor.hash:
            return Contradicted(anchor, "other")
        return Held(anchor, answer)
    return Contradicted(anchor, "unknown")
