"""The one block in which anything is decided."""

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from datetime import UTC, datetime
from typing import Any

from django.db import connection, transaction

from coordination.record.chaining import canonical, hash_of
from coordination.record.models import Chain, Event


class NothingWritten(RuntimeError):
    """A deciding block ended without its event: a fault in our code, nothing is kept."""


class WrittenTwice(RuntimeError):
    """A deciding block tried to write a second event for the same stream: a fault in our code."""


class Pen:
    """Writes the one event of a deciding block. Rows that the decision makes carry the event it returns."""

    def __init__(
        self, chain: Chain, actor: Mapping[str, Any], at: datetime, claimed_at: datetime | None
    ) -> None:
        self._chain, self._actor, self._at, self._claimed = chain, actor, at, claimed_at
        self.event: Event | None = None
        self.unchanged = False

    @property
    def head(self) -> str:
        """The hash of the newest event before this decision."""
        return self._chain.head

    @property
    def length(self) -> int:
        return self._chain.length

    @property
    def at(self) -> datetime:
        return self._at

    def write(self, verb: str, *, subject: str, body: Mapping[str, Any]) -> Event:
        """Append the event of this decision to the chain and return it."""
        if self.event is not None:
            raise WrittenTwice(verb)
        event = Event(
            stream=self._chain.stream,
            seq=self._chain.length + 1,
            prev=self._chain.head,
            at=self._at.astimezone(UTC).isoformat(timespec="microseconds"),
            claimed_at=self._claimed.astimezone(UTC).isoformat(timespec="microseconds")
            if self._claimed
            else "",
            actor=canonical(self._actor),
            verb=verb,
            subject=subject,
            body=canonical(body),
        )
        event.hash = hash_of(event)
        event.save(force_insert=True)
        Chain.objects.filter(pk=self._chain.pk).update(length=event.seq, head=event.hash)
        self.event = event
        return event

    def leave_as_it_is(self) -> None:
        """Say that the decision was already taken: the second press of a button changes nothing."""
        self.unchanged = True


@contextmanager
def deciding_on(
    stream: str, *, actor: Mapping[str, Any], at: datetime, claimed_at: datetime | None = None
) -> Iterator[Pen]:
    """Lock the stream before the first read, and write exactly one event or leave everything as it was.

    Raises NothingWritten when the block ends without an event and without saying so.
    """
    with transaction.atomic(durable=True):
        yield (pen := Pen(_locked(stream), actor, at, claimed_at))
        if pen.event is None and not pen.unchanged:
            raise NothingWritten(stream)


def _locked(stream: str) -> Chain:
    """The chain's row, locked: SELECT FOR UPDATE, or the file's own write lock that IMMEDIATE took."""
    Chain.objects.get_or_create(stream=stream)
    rows = Chain.objects.all()
    if connection.features.has_select_for_update:
        rows = rows.select_for_update()
    return rows.get(stream=stream)
