"""Which PDFs that somebody handed in still lack a copy for strangers: found from state, made in the background."""

from datetime import datetime

from django.db.models import Exists, OuterRef

from coordination.evidence.models import Evidence
from coordination.files.for_strangers import PDF, Given, look_at
from coordination.files.models import Blob, PaperForStrangers
from coordination.gates.models import Variance
from coordination.handover.models import ItemWord

HANDED_IN = (Evidence, Variance, ItemWord)


def papers_not_looked_at(now: datetime | None = None) -> list[str]:
    """Keys of the files, oldest first."""
    looked_at = Exists(PaperForStrangers.objects.filter(blob=OuterRef("blob")))
    keys: set[int] = set()
    for model in HANDED_IN:
        rows = model.objects.filter(~looked_at, blob__media_type=PDF)  # type: ignore[attr-defined]
        keys.update(rows.values_list("blob", flat=True))
    return [str(key) for key in sorted(keys)]


def look_at_paper(key: str) -> Given:
    """Make the copy, or write down why there is none. Raises OriginalLost, NotKept."""
    return look_at(Blob.objects.get(pk=int(key)))
