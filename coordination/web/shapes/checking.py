"""A reading that is still being typed, judged in words before anything is kept."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from coordination.evidence import readings
from coordination.evidence.refusals import NotAReading
from coordination.evidence.series import ReadSeries
from coordination.projects.models import Requirement
from coordination.siteprep.lengths import UnitSystem
from coordination.web.forms.series import SeriesForm
from coordination.web.refused import in_words
from coordination.web.shapes.grids import Grid
from coordination.web.shapes.needs import tolerance_words
from coordination.web.shapes.series_words import fault_words, figure_words, missing_words, outside_words


@dataclass(frozen=True)
class Checked:
    """``inside`` is None where nothing is asked but the value, or where the text cannot be read."""

    words: str
    inside: bool | None = None
    read: bool = True


def checked(requirement: Requirement, typed: str, system: UnitSystem) -> Checked:
    """What the server would read, and whether that lies within what is asked for."""
    if not typed.strip():
        return Checked("", None, read=False)
    terms = requirement.terms
    try:
        reading = readings.read(terms, typed, system)
    except NotAReading as refusal:
        return Checked(" ".join(in_words(refusal)), None, read=False)
    unit = terms.get("unit") or "count"
    told = {
        "value": readings.shown(reading.value, unit, system),
        "limits": tolerance_words(terms, system),
    }
    if reading.in_tolerance is None:
        return Checked(_("Read as %(value)s.") % told)
    if reading.in_tolerance:
        return Checked(_("%(value)s is inside the tolerance (%(limits)s).") % told, inside=True)
    return Checked(
        _("%(value)s is outside the tolerance (%(limits)s). %(then)s") % {**told, "then": _then(requirement)},
        inside=False,
    )


@dataclass(frozen=True)
class CheckedSeries:
    """A series that is still being typed. ``grid`` carries the word for each cell; the rest is said under it."""

    words: str
    inside: bool | None
    outside: tuple[str, ...]
    missing: str
    faults: tuple[str, ...]
    grid: Grid


def checked_series(requirement: Requirement, form: SeriesForm, system: UnitSystem) -> CheckedSeries:
    """What the server would read of every cell, and what lies outside."""
    found = form.read
    return CheckedSeries(
        words=_series_words(requirement, found, system) if found.cells else "",
        inside=found.inside,
        outside=tuple(outside_words(found, system)),
        missing=missing_words(found) if found.cells else "",
        faults=tuple(fault_words(form.series, fault) for fault in form.faults),
        grid=form.grid,
    )


def _series_words(requirement: Requirement, found: ReadSeries, system: UnitSystem) -> str:
    told = {
        "figure": figure_words({**found.as_value(), "missing": []}, system),
        "limits": tolerance_words(requirement.terms, system),
    }
    if found.inside is None:
        return _("Read: %(figure)s.") % told
    if found.inside:
        return _("%(figure)s: inside the tolerance (%(limits)s).") % told
    words = _("%(figure)s: outside the tolerance (%(limits)s). %(then)s")
    return words % {**told, "then": _then(requirement)}


def _then(requirement: Requirement) -> str:
    if requirement.concede:
        return _("Put it right and measure again. If it has to stay so, only a concession lets it pass.")
    return _("Put it right and measure again; there is no concession for this one.")
