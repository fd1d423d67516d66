"""The sources of a sheet, each in one line and under one number."""

from django.utils.translation import gettext as _

from coordination.siteprep.plan import Source
from coordination.web.shapes.calculation_results import confirmed_by
from coordination.web.shapes.needs import source_words


def shown_source(source: Source) -> str:
    """Document, clause and status, and with whom to confirm what was not read in the text itself."""
    words = source_words({"document": source.document, "clause": source.clause, "status": source.status})
    if not source.confirm_with:
        return words
    return _("%(source)s; confirm with %(whom)s") % {
        "source": words,
        "whom": confirmed_by(source.confirm_with),
    }


def number_of(source: Source, sources: dict[str, int]) -> int:
    """The number of a source on its sheet; a new one is added."""
    words = shown_source(source)
    return sources.setdefault(words, len(sources) + 1) if words else 0
