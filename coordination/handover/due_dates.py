"""Days to keep after the handover: tests, renewals, inspections, ends of warranty and of what was let go."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.translation import gettext as _

from coordination.handover.final_list import FinalSection
from coordination.handover.let_go import ends_words, variance_words
from coordination.handover.reading import Reader, Snapshot
from coordination.handover.whole import Whole

# A reading that counts the days until something is due: its day follows from when it was handed in.
COUNTED = (("room-clear", "extinguisher-date"),)


@dataclass(frozen=True, order=True)
class Due:
    """One day to keep: what, and where it is known from."""

    on: date
    what: str
    known_from: str


def due_dates(whole: Whole, sections: Iterable[FinalSection], reader: Reader) -> list[Due]:
    """The first one first."""
    return sorted([*_said(whole, sections, reader), *_counted(whole, reader), *_concessions(whole, reader)])


def _said(whole: Whole, sections: Iterable[FinalSection], reader: Reader) -> Iterator[Due]:
    for line in (line for section in sections for line in section.lines):
        said = whole["said"].get(line.key)
        if said and said["day"] and line.state == "present":
            told = {"name": said["name"], "day": reader.day(said["at"])}
            what = f"{line.text}: {line.day_of}" if line.day_of else line.text
            yield Due(date.fromisoformat(said["day"]), what, _("says %(name)s, %(day)s") % told)


def _counted(whole: Whole, reader: Reader) -> Iterator[Due]:
    for task in whole["tasks"]:
        for need in task["requirements"]:
            items = [item for item in need["evidence"] if item["value"] is not None]
            if (task["entry"], need["key"]) in COUNTED and items:
                read = datetime.fromisoformat(items[-1]["received_at"]).astimezone(reader.zone).date()
                known = _("reading of %(day)s") % {"day": reader.day(read.isoformat())}
                yield Due(read + timedelta(days=int(items[-1]["value"])), reader.text(need["text"]), known)


def _concessions(whole: Whole, reader: Reader) -> Iterator[Due]:
    for item in whole["concessions"]:
        if item["expires_on"]:
            yield Due(
                date.fromisoformat(item["expires_on"]), ends_words(item, reader), _known_from(item, reader)
            )


def _known_from(item: Snapshot, reader: Reader) -> str:
    """The authority's document that says so, else for which part it is."""
    return variance_words(item.get("variance"), reader) or item["scope"]
