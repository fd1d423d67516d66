"""What a calendar feed tells: entries that keep their identity while days move, are taken back or come again.

What was told before is kept (``CalendarEntry``), because it cannot be worked out afterwards: an entry that says
something else than last time goes out as a revision, one that is no longer there as cancelled.
"""

import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db import transaction

from coordination.access.models import Project
from coordination.dates.models import CalendarEntry

NAMESPACE = uuid.UUID("6d0e3f0e-7a0b-5c51-9a53-0f5b3f6f5a7c")
KEPT = timedelta(days=60)  # how long what was finished or cancelled is still told
WEIGHTY = ("first", "last", "summary", "place", "state")


@dataclass(frozen=True)
class Wanted:
    """What is to be told of one ``subject`` of a project: whole days, both included."""

    project: Project
    subject: str
    first: date
    last: date
    summary: str
    place: str = ""
    text: str = ""
    tentative: bool = False

    @property
    def told(self) -> dict[str, object]:
        """The fields of an entry."""
        return {
            "first": self.first,
            "last": self.last,
            "summary": self.summary,
            "place": self.place,
            "text": self.text,
            "state": "tentative" if self.tentative else "confirmed",
        }


def tell(
    audience: str, projects: Sequence[Project], wanted: Iterable[Wanted], at: datetime
) -> list[CalendarEntry]:
    """Bring what is told to ``audience`` of ``projects`` up to date, and give all of it, by first day.

    A revision number rises when days, name, place or state of an entry differ from what was told last; other words
    alter its time only. What is not wanted any more goes out as cancelled. What ended two
    months ago is left out. Told twice, nothing changes.
    """
    listed = {(each.project.pk, each.subject): each for each in wanted}
    with transaction.atomic():
        known = _known(audience, projects)
        missing = [each for key, each in listed.items() if key not in known]
        CalendarEntry.objects.bulk_create(
            [_new(audience, each, at) for each in missing], ignore_conflicts=True
        )
        for key, entry in known.items():
            _bring_up_to_date(entry, listed.get(key), at)
    found = _known(audience, projects).values() if missing else known.values()
    still = [entry for entry in found if entry.last + KEPT >= at.date()]
    return sorted(still, key=lambda entry: (entry.first, entry.last, str(entry.uid)))


def _known(audience: str, projects: Sequence[Project]) -> Mapping[tuple[int, str], CalendarEntry]:
    rows = CalendarEntry.objects.filter(audience=audience, project__in=projects).select_for_update()
    return {(row.project_id, row.subject): row for row in rows}


def _new(audience: str, wanted: Wanted, at: datetime) -> CalendarEntry:
    return CalendarEntry(
        uid=identity_of(audience, wanted.project, wanted.subject),
        audience=audience,
        project=wanted.project,
        subject=wanted.subject,
        told_at=at,
        **wanted.told,
    )


def identity_of(audience: str, project: Project, subject: str) -> uuid.UUID:
    """The same for the same subject, whoever reads it, by whichever address, however often it is worked out."""
    return uuid.uuid5(NAMESPACE, f"{audience} {project.uid} {subject}")


def _bring_up_to_date(entry: CalendarEntry, wanted: Wanted | None, at: datetime) -> None:
    now = wanted.told if wanted else {"state": "cancelled"}
    altered = {name: value for name, value in now.items() if getattr(entry, name) != value}
    if not altered:
        return
    for name, value in altered.items():
        setattr(entry, name, value)
    entry.sequence += any(name in WEIGHTY for name in altered)
    entry.told_at = at
    entry.save(update_fields=[*altered, "sequence", "told_at"])
