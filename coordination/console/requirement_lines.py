"""What a task must show, in words: kind, value, where to stand, who accepts, what may be conceded, the source."""

from collections.abc import Iterator

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.console.lines import Line
from coordination.evidence.readings import shown
from coordination.gates.sentences import in_language, party_words
from coordination.handover.reading import status_words
from coordination.projects.trade_words import in_spoken_words
from coordination.siteprep.lengths import UnitSystem
from coordination.siteprep.plan import Requirement, Source


def requirement_lines(requirement: Requirement, system: UnitSystem) -> Iterator[Line]:
    """One requirement: what, then under it how and by whose word."""
    kinds = {
        "photo": _("Photo"),
        "reading": _("Reading"),
        "document": _("Document"),
        "signature": _("Signature of %(who)s") % {"who": party_words(requirement.signer)},
    }
    what = f"{kinds[requirement.kind]}: {in_language(requirement.text)}"
    yield 0, " ".join([what, *(f"[{value}]" for value in [wanted(requirement, system)] if value)])
    if requirement.stand:
        yield 1, _("Stand: %(where)s") % {"where": in_language(requirement.stand)}
    yield 1, "; ".join(_by_whose_word(requirement))
    if requirement.because:
        yield 1, _("Open until known: %(facts)s") % {"facts": ", ".join(requirement.because)}
    yield 1, _("Source: %(source)s") % {"source": source_words(requirement.source)}


def wanted(requirement: Requirement, system: UnitSystem) -> str:
    """What a reading has to be, with its unit: both limits lie within."""
    unit = requirement.unit
    low, high, nominal = (
        "" if value is None else shown(value, unit, system)
        for value in (requirement.low, requirement.high, requirement.nominal)
    )
    parts = []
    if low and high:
        parts.append(_("%(low)s to %(high)s") % {"low": low, "high": high})
    elif high:
        parts.append(_("at most %(high)s") % {"high": high})
    elif low:
        parts.append(_("at least %(low)s") % {"low": low})
    if nominal:
        parts.append(_("nominal %(value)s") % {"value": nominal})
    return " ".join(filter(None, [_series(requirement), ", ".join(parts)]))


def _series(requirement: Requirement) -> str:
    """How many readings a series asks for, and what of them is judged."""
    series = requirement.series
    if series is None:
        return ""
    judged = {
        "each": _("each"),
        "least": _("the lowest"),
        "greatest": _("the highest"),
        "mean": _("the mean"),
        "difference": _("highest to lowest"),
        "out of plumb": _("along one line"),
    }[series.judged]
    if series.by_day:
        return _("day by day, %(judged)s") % {"judged": judged}
    count = len(series.rows) * len(series.columns)
    return _("%(count)s readings, %(judged)s") % {"count": count, "judged": judged}


def source_words(source: Source) -> str:
    """A source in one line: document and clause, status, and with whom to confirm it."""
    named = ", ".join(part for part in (source.document, source.clause) if part)
    parts = [named, status_words(source.status)]
    if source.confirm_with:
        parts.append(_("confirm with %(whom)s") % {"whom": party_words(source.confirm_with)})
    return "; ".join(parts)


def _by_whose_word(requirement: Requirement) -> Iterator[str]:
    if requirement.authorised:
        yield _("asked only of a named authorised person")
    if requirement.lift_critical:
        yield in_spoken_words(_("{lift}-critical"))
    if requirement.accepts:
        hours = requirement.answer_hours
        yield ngettext(
            "accepted by %(who)s, deputy %(deputy)s, within %(hours)d working hour",
            "accepted by %(who)s, deputy %(deputy)s, within %(hours)d working hours",
            hours,
        ) % {
            "who": party_words(requirement.accepts),
            "deputy": party_words(requirement.deputy or ""),
            "hours": hours,
        }
    if requirement.release:
        yield _("released only by the document of the %(authority)s") % {
            "authority": party_words(requirement.release)
        }
    elif requirement.concede:
        roles = _(" and ").join(party_words(role) for role in requirement.concede)
        yield _("concession by %(roles)s") % {"roles": roles}
    else:
        yield _("no concession")
