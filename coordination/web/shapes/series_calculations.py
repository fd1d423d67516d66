"""What may be calculated with a series that was handed in: which calculation, with which inputs, from where."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _

from coordination.access.models import Project
from coordination.access.permissions import Scope, may
from coordination.access.visitors import Visitor
from coordination.evidence.models import Evidence
from coordination.evidence.series import is_series, series_of
from coordination.projects.queries import standing_facts
from coordination.siteprep.series import Cell, Number
from coordination.siteprep.series_inputs import maturity_inputs, survey_inputs
from coordination.web.shapes.series_words import row_words
from coordination.web.texts import on_day

BOARDED = frozenset({"survey-board"})
MOST_SOURCE = 120


def calculation_of(row: Evidence) -> str:
    """The name of the calculation that takes this series; empty where none does."""
    series = series_of(row.requirement.terms)
    return series.feeds if series and is_series(row.value) else ""


def address_for(visitor: Visitor, trade: str, terms: Mapping[str, Any], evidence: Evidence) -> str:
    """Where to calculate with it; empty for whoever may not, and for what feeds nothing."""
    series = series_of(terms)
    if not (series and series.feeds and is_series(evidence.value)):
        return ""
    if not (may(visitor, "enter for a company") and may(visitor, "hand in evidence", Scope(trade=trade))):
        return ""
    return reverse("series-calculation", args=[visitor.project.uid, evidence.uid])


def given_for(project: Project, row: Evidence) -> dict[str, Any]:
    """The inputs of the calculation, from this series and what stands beside it. Raises TooLittleRead."""
    facts, terms = standing_facts(project), row.requirement.terms
    if calculation_of(row) == "concrete":
        return maturity_inputs(_values(row), facts)
    both = [row, *_beside(row)]
    values = {cell: value for each in both for cell, value in _values(each).items()}
    levels = {
        key: row_words(series, key)
        for each in both
        if (series := series_of(each.requirement.terms))
        for key in each.value["rows"]
    }
    boarded = row.requirement.task.entry in BOARDED
    return survey_inputs(values, levels, facts, boarded=boarded, plumb_limit=terms.get("high"))


def source_of(row: Evidence) -> str:
    """Where the inputs come from, in a line."""
    told = {"day": on_day(row.received_at.date()), "who": row.entered_for or row.sender_name}
    words = _("Readings of %(day)s, %(who)s") % told
    if row.instrument:
        words = _("%(words)s, read with %(instrument)s") % {"words": words, "instrument": row.instrument}
    return words[:MOST_SOURCE]


def _values(row: Evidence) -> dict[Cell, Number]:
    return {(cell["row"], cell["column"]): cell["value"] for cell in row.value["cells"]}


def _beside(row: Evidence) -> Iterable[Evidence]:
    """The newest series of the same task that feeds the same calculation: what only a named person may measure."""
    others = Evidence.objects.filter(requirement__task=row.requirement.task, withdrawn_at__isnull=True)
    found: dict[int, Evidence] = {}
    for other in (
        others.exclude(requirement=row.requirement).select_related("requirement__task").order_by("pk")
    ):
        same_terms = other.terms_sha == other.requirement.terms_sha
        if same_terms and calculation_of(other) == calculation_of(row):
            found[other.requirement.pk] = other
    return found.values()
