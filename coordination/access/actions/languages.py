"""The language that somebody wants to read: kept with their account, and with the links by which they came in.

No decision about a project: nothing of it stands in the record.
"""

from collections.abc import Collection
from uuid import UUID

from coordination.access.models import Person, ShareLink


def choose_language(person: Person | None, link_uids: Collection[UUID], language: str) -> None:
    """From now on mails, calendars and papers of this reader are in ``language``."""
    if person is not None:
        Person.objects.filter(pk=person.pk).update(language=language)
    ShareLink.objects.filter(uid__in=link_uids).update(language=language)
