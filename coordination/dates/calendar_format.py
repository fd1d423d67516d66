"""Calendar entries as an iCalendar object (RFC 5545; name and refresh interval by RFC 7986)."""

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta

from icalendar import Calendar, Event, vDuration, vUri

from coordination.dates.models import CalendarEntry

PRODUCT = "-//Sill & Plumb//dates//EN"
ASK_AGAIN = timedelta(hours=4)


def as_icalendar(name: str, entries: Sequence[CalendarEntry], addresses: Sequence[str]) -> bytes:
    """The object as it goes over the wire; ``addresses`` are those of the entries' pages, empty where there is none.

    The same entries give the same bytes. There is no METHOD: it is a copy of what stands, so that DTSTAMP is the
    moment of an entry's last revision (RFC 5545, 3.8.7.2).
    """
    calendar = Calendar()
    calendar.add("version", "2.0")
    calendar.add("prodid", PRODUCT)
    calendar.add("calscale", "GREGORIAN")
    calendar.add("name", name)
    calendar.add("refresh-interval", vDuration(ASK_AGAIN), parameters={"VALUE": "DURATION"})
    for entry, address in zip(entries, addresses, strict=True):
        calendar.add_component(_event(entry, address))
    return bytes(calendar.to_ical())


def newest(entries: Sequence[CalendarEntry]) -> datetime | None:
    """The moment of the last revision, None where there is no entry."""
    return max((entry.told_at for entry in entries), default=None)


def _event(entry: CalendarEntry, address: str) -> Event:
    """One entry: whole days, the end being the day after the last (RFC 5545, 3.6.1); it blocks nobody's time."""
    event, told_at = Event(), entry.told_at.astimezone(UTC).replace(microsecond=0)
    event.add("uid", str(entry.uid))
    event.add("dtstamp", told_at)
    event.add("last-modified", told_at)
    event.add("sequence", entry.sequence)
    event.add("status", entry.state.upper())
    event.add("dtstart", entry.first)
    event.add("dtend", entry.last + timedelta(days=1))
    event.add("summary", entry.summary)
    if entry.place:
        event.add("location", entry.place)
    if entry.text:
        event.add("description", entry.text)
    if address:
        event.add("url", vUri(address))
    event.add("transp", "TRANSPARENT")
    event.add("class", "PRIVATE")
    return event
