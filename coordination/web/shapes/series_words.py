"""A series of readings in words: what is judged of it, each cell, what is missing, what cannot be read."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext, pgettext

from coordination.evidence import readings
from coordination.evidence.refusals import NotAReading
from coordination.evidence.series import CellFault, ReadSeries
from coordination.siteprep.lengths import UnitSystem
from coordination.siteprep.series import Cell, Series
from coordination.web.refused import in_words
from coordination.web.texts import said

JUDGED: Mapping[str, str | Promise] = {
    "each": gettext_lazy("each %(limits)s"),
    "least": gettext_lazy("the lowest reading %(limits)s"),
    "greatest": gettext_lazy("the highest reading %(limits)s"),
    "mean": gettext_lazy("the mean %(limits)s"),
    "difference": gettext_lazy("from the highest to the lowest %(limits)s"),
    "out of plumb": gettext_lazy("along one line, from one level to another, %(limits)s"),
}
FIGURES: Mapping[str, str | Promise] = {
    "least": gettext_lazy("The lowest reading is %(value)s"),
    "greatest": gettext_lazy("The highest reading is %(value)s"),
    "mean": gettext_lazy("The mean is %(value)s"),
    "difference": gettext_lazy("From the highest to the lowest it is %(value)s"),
    "out of plumb": gettext_lazy("Out of plumb by %(value)s"),
}
MOST_NAMED = 6


def judged_words(terms: Mapping[str, Any], limits: str) -> str:
    """The limits of a requirement, with what of a series has to keep them; as they are for a single reading."""
    series = terms.get("series")
    if not series or not limits:
        return limits
    judged = series.judged if isinstance(series, Series) else series["judged"]  # of a plan, or as it is kept
    return str(JUDGED[judged]) % {"limits": limits}


def figure_words(value: Mapping[str, Any], system: UnitSystem) -> str:
    """What a series that was handed in says in one line: its figure, how many readings, how many are missing."""
    unit = value["unit"]
    shown = readings.shown(value, unit, system)
    told = str(FIGURES[value["series"]]) % {"value": shown} if value["series"] in FIGURES else shown
    count = len(value["cells"])
    words = ngettext("%(told)s; %(count)s reading", "%(told)s; %(count)s readings", count) % {
        "told": told,
        "count": count,
    }
    if not value["missing"]:
        return words
    return _("%(words)s, %(missing)s not read") % {"words": words, "missing": len(value["missing"])}


def row_words(series: Series, key: str) -> str:
    """A row's own words; of a series by day its day and hour. What is no row is told as it was typed."""
    if not series.by_day:
        return next((said(mark.text) for mark in series.rows if mark.key == key), key)
    try:
        moment = datetime.fromisoformat(key)
    except ValueError:
        return key
    return date_format(moment, pgettext("date format", "j M, H:i"), use_l10n=False)


def column_words(series: Series, key: str) -> str:
    return next((said(mark.text) for mark in series.columns if mark.key == key), key)


def cell_words(series: Series, cell: Cell) -> str:
    """Where a cell stands: its row and, where there are several, its column."""
    row, column = cell
    parts = [row_words(series, row), column_words(series, column) if len(series.columns) > 1 else ""]
    return ", ".join(part for part in parts if part)


def fault_words(series: Series, fault: CellFault) -> str:
    """A cell that cannot be read: where it stands, and why not."""
    why = " ".join(in_words(NotAReading(fault.reason)))
    where = cell_words(series, (fault.row, fault.column)) if fault.column else row_words(series, fault.row)
    if not where or where == fault.typed:
        return why
    return _("%(where)s: %(why)s") % {"where": where, "why": why}


def missing_words(found: ReadSeries) -> str:
    """The cells in which nothing stands, by name; the first few where there are many."""
    named = [cell_words(found.series, cell) for cell in found.missing]
    if not named:
        return ""
    told = {"count": len(named), "cells": "; ".join(named[:MOST_NAMED])}
    if len(named) > MOST_NAMED:
        return _("Not read yet, %(count)s in all: %(cells)s; and others.") % told
    return _("Not read yet: %(cells)s.") % told


def outside_words(found: ReadSeries, system: UnitSystem) -> Iterable[str]:
    """Each reading that lies outside, by name and value."""
    unit = found.terms.get("unit") or "count"
    for cell in found.cells:
        if cell.inside is False:
            where = cell_words(found.series, (cell.row, cell.column))
            yield _("%(where)s: %(value)s") % {
                "where": where,
                "value": readings.shown(cell.value, unit, system),
            }
