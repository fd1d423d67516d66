"""What was decided, for screens and papers."""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from coordination.record.models import Chain, Event


@dataclass(frozen=True)
class Decision:
    """One event, read back."""

    stream: str
    seq: int
    hash: str
    at: datetime
    claimed_at: datetime | None
    actor: dict[str, Any]
    verb: str
    subject: str
    body: dict[str, Any]


def read(event: Event) -> Decision:
    return Decision(
        stream=event.stream,
        seq=event.seq,
        hash=event.hash,
        at=datetime.fromisoformat(event.at),
        claimed_at=datetime.fromisoformat(event.claimed_at) if event.claimed_at else None,
        actor=json.loads(event.actor),
        verb=event.verb,
        subject=event.subject,
        body=json.loads(event.body),
    )


def decisions(
    stream: str, *, subject: str | None = None, after: int = 0, most: int | None = None
) -> list[Decision]:
    """Decisions of a stream in order, newest last; those about one subject when it is given."""
    events = Event.objects.filter(stream=stream, seq__gt=after).order_by("seq")
    if subject is not None:
        events = events.filter(subject=subject)
    return [read(event) for event in (events if most is None else events[:most])]


def newest(stream: str, *, most: int) -> list[Decision]:
    """The last decisions of a stream, newest first."""
    return [read(event) for event in Event.objects.filter(stream=stream).order_by("-seq")[:most]]


def length_and_head(stream: str) -> tuple[int, str]:
    """Length and head of a stream; (0, zeros) before its first event."""
    chain = Chain.objects.filter(stream=stream).first()
    return (chain.length, chain.head) if chain else (0, "0" * 64)


def heads(streams: Iterable[str]) -> dict[str, str]:
    """The head of each stream that has begun; one query however many."""
    return dict(Chain.objects.filter(stream__in=list(streams)).values_list("stream", "head"))
