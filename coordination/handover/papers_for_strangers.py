"""Which PDFs that somebody handed in still lack a copy for strangers: found from state, made in the background."""

from collections.abc import Iterable
from datetime import datetime

from django.db.models import Exists, OuterRef

from coordination.access.models import Project
from coordination.evidence.models import Evidence
from coordination.files.for_strangers import PDF, Given, look_at
from coordination.files.models import Blob, PaperForStrangers
from coordination.gates.models import Variance
from coordination.handover.models import ItemWord

HANDED_IN = {
    Evidence: "requirement__task__project",
    Variance: "concession__requirement__task__project",
    ItemWord: "project",
}


def papers_not_looked_at(now: datetime | None = None) -> list[str]:
    """Keys of the files, oldest first."""
    looked_at = Exists(PaperForStrangers.objects.filter(blob=OuterRef("blob")))
    keys: set[int] = set()
    for model in HANDED_IN:
        rows = model.objects.filter(~looked_at, blob__media_type=PDF)  # type: ignore[attr-defined]
        keys.update(rows.values_list("blob", flat=True))
    return [str(key) for key in sorted(keys)]


def papers_of(project: Project, keys: Iterable[int]) -> set[str]:
    """Those of the keys whose files were handed in for the project."""
    listed, found = list(keys), set[int]()
    for model, of_project in HANDED_IN.items():
        rows = model.objects.filter(blob__in=listed, **{of_project: project})  # type: ignore[attr-defined]
        found.update(rows.values_list("blob", flat=True))
    return {str(key) for key in found}


def look_at_paper(key: str) -> Given:
    """Make the copy, or write down why there is none. Raises OriginalLost, NotKept."""
    return look_at(Blob.objects.get(pk=int(key)))
