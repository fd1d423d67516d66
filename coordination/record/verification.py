"""Walk a chain and name the first place where it does not hold."""

from dataclasses import dataclass

from coordination.record.chaining import GENESIS, hash_of
from coordination.record.models import Chain, Event


@dataclass(frozen=True)
class Fault:
    """Where a stream first breaks: the place in it, and a key of what is wrong."""

    stream: str
    seq: int
    what: str  # "missing" "changed" "unlinked" "cut off" "beyond the head" "no chain"


@dataclass(frozen=True)
class Verified:
    """A stream that holds: its length and head."""

    stream: str
    length: int
    head: str


def verify_stream(stream: str) -> Verified | Fault:
    """Check every event of ``stream`` in order against its predecessor, its own hash and the chain's head."""
    chain = Chain.objects.filter(stream=stream).first()
    prev, seq = GENESIS, 0
    for event in Event.objects.filter(stream=stream).order_by("seq").iterator():
        if event.seq != seq + 1:
            return Fault(stream, seq + 1, "missing")
        if event.prev != prev:
            return Fault(stream, event.seq, "unlinked")
        if hash_of(event) != event.hash:
            return Fault(stream, event.seq, "changed")
        prev, seq = event.hash, event.seq
    return _against_the_head(stream, chain, prev, seq)


def _against_the_head(stream: str, chain: Chain | None, head: str, length: int) -> Verified | Fault:
    if chain is None:
        return Fault(stream, 1, "no chain")
    if length < chain.length:
        return Fault(stream, length + 1, "cut off")
    if (length, head) != (chain.length, chain.head):
        return Fault(stream, chain.length + 1, "beyond the head")
    return Verified(stream, length, head)


def verify_all() -> list[Verified | Fault]:
    """One answer for every stream, also for streams whose chain row or events are gone."""
    return [verify_stream(stream) for stream in sorted(_streams())]


def stands(stream: str) -> bool:
    """Whether the record knows anything of ``stream``: its chain row, or an event."""
    return stream in _streams()


def _streams() -> set[str]:
    events = Event.objects.values_list("stream", flat=True).distinct()
    return {*Chain.objects.values_list("stream", flat=True), *events}
