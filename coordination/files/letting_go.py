"""Originals that nothing points to: a file that was kept before what it was for was refused.

Nobody is told whether bytes were known already, so what is unclaimed is found from state, days later, and let go.
Whatever points to a blob counts, on every floor above: its rows are found by the foreign keys themselves.
"""

from collections.abc import Iterable
from datetime import datetime

from django.db import transaction
from django.db.models import Exists, ManyToOneRel, OuterRef, QuerySet

from coordination.files.keeping import alone, path_of
from coordination.files.models import Blob, Measurement, PaperForStrangers

GO_WITH_THEIR_ORIGINAL = (Measurement, PaperForStrangers)


def unclaimed(before: datetime) -> list[str]:
    """Keys of the originals that nothing points to and that did not come again since ``before``; oldest first."""
    return [str(row.pk) for row in _nobodys(before) if not _came_again(row, before)]


def let_go(key: str, before: datetime) -> bool:
    """Remove one of ``unclaimed`` with its row; whether it was still nobody's. Doing it twice is harmless."""
    with alone():
        with transaction.atomic():
            row = _nobodys(before).filter(pk=int(key)).first()
            if row is None or _came_again(row, before):
                return False
            path = path_of(row)
            for worked_out in GO_WITH_THEIR_ORIGINAL:
                worked_out.objects.filter(blob=row).delete()
            row.delete()
        path.unlink(missing_ok=True)
    return True


def _nobodys(before: datetime) -> QuerySet[Blob]:
    rows = Blob.objects.filter(created__lt=before).order_by("pk")
    for model, column in _that_point_here():
        rows = rows.filter(~Exists(model.objects.filter(**{column: OuterRef("pk")})))
    return rows


def _that_point_here() -> Iterable[tuple[type, str]]:
    """Who claims an original. What is worked out of it goes with it and claims nothing."""
    for relation in Blob._meta.get_fields(include_hidden=True):
        if isinstance(relation, ManyToOneRel) and not _goes_with_it(relation):
            yield relation.related_model, relation.field.name


def _goes_with_it(relation: ManyToOneRel) -> bool:
    return relation.related_model in GO_WITH_THEIR_ORIGINAL and relation.field.name == "blob"


def _came_again(row: Blob, before: datetime) -> bool:
    """The same bytes that come again touch their file, see ``keeping``: whoever brought them may be about to claim."""
    try:
        return path_of(row).stat().st_mtime >= before.timestamp()
    except FileNotFoundError:
        return False
