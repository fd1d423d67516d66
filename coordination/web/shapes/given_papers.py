"""What the reader gets of PDFs that were handed in, said beside their links."""

from collections.abc import Iterable, Mapping

from django.utils.translation import gettext as _

from coordination.access.permissions import may
from coordination.access.visitors import Visitor
from coordination.evidence.outcomes import Item
from coordination.evidence.strangers_words import how_given
from coordination.files.for_strangers import PDF, given_of_all
from coordination.files.models import Blob

Notes = Mapping[int, str]


def notes_on(files: Iterable[Blob | None], visitor: Visitor) -> Notes:
    """By the file's own key. Nothing where the reader may have originals; no query where there is no PDF."""
    if may(visitor, "see photo originals"):
        return {}
    papers = [file for file in files if file is not None and file.media_type == PDF]
    given = given_of_all(papers) if papers else {}
    return {file.pk: how_given(given.get(file.pk)) or _("its copy is still being made") for file in papers}


def notes_in(items: Iterable[Item], visitor: Visitor) -> Notes:
    """The same for what was handed in."""
    return notes_on((item.evidence.blob for item in items), visitor)
