"""A reading that is still being typed, judged in words before anything is kept."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from coordination.evidence import readings
from coordination.evidence.refusals import NotAReading
from coordination.projects.models import Requirement
from coordination.siteprep.lengths import UnitSystem
from coordination.web.refused import in_words
from coordination.web.shapes.needs import tolerance_words


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


def _then(requirement: Requirement) -> str:
    if requirement.concede:
        return _("Put it right and measure again. If it has to stay so, only a concession lets it pass.")
    return _("Put it right and measure again; there is no concession for this one.")
