"""In plain words: what a code or a file that somebody checked turned out to be."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from django.utils.translation import get_language, ngettext
from django.utils.translation import gettext as _

from coordination.handover.checking import Checked, Standing
from coordination.handover.reading import Reader

GENUINE = frozenset({"genuine", "unsigned"})


@dataclass(frozen=True)
class Told:
    """An answer: one line, how it is marked ("cleared", "reopened" or "refused"), and what follows from it."""

    line: str
    mark: str
    more: tuple[str, ...] = ()


def of_code(standing: Standing | None) -> Told:
    """What the code on a paper says; whether the file is the one, only the file itself can say."""
    if standing is None:
        line = _("Unknown: no report with this code was given out here.")
        return Told(line, "refused", (_("Look at the code at the foot of the page again."),))
    line = (
        _("A report with this code was given out, and it still stands.")
        if standing.current
        else superseded(standing)
    )
    return Told(line, "cleared" if standing.current else "reopened")


def of_file(checked: Checked) -> Told:
    """What a file turned out to be."""
    line, standing = _finding(checked), checked.standing
    if checked.finding not in GENUINE or standing is None:
        return Told(line, "refused", _advice(checked))
    if standing.current:
        return Told(line, "cleared", (_("It still stands."),))
    return Told(line, "reopened", (superseded(standing),))


def _finding(checked: Checked) -> str:
    signed = bool(checked.standing and checked.standing.signed)
    told = {"code": checked.standing.code if checked.standing else "", "n": checked.differs}
    words = {
        "genuine": _("Genuine: this is report %(code)s as it was given out and signed, byte for byte.")
        if signed
        else _("Genuine: this is report %(code)s as it was given out, byte for byte."),
        "unsigned": _("Genuine: this is report %(code)s before it was signed, byte for byte."),
        "added": _(
            "Something was added: it begins with report %(code)s, byte for byte, and goes on after it."
        ),
        "altered": ngettext(
            "Altered: %(n)d byte is not as in report %(code)s.",
            "Altered: %(n)d bytes are not as in report %(code)s.",
            checked.differs,
        ),
        "another file": _("Not the file that was given out: it names report %(code)s, but is another file."),
        "foreign": _("Unknown: this PDF is no report that was given out here, and it names none."),
        "no PDF": _("This is no PDF."),
    }
    return words[checked.finding] % told


def _advice(checked: Checked) -> tuple[str, ...]:
    """What follows for whoever holds a file that is not the one that was given out."""
    ask = _("Ask whoever gave it to you for the file as it was downloaded.")
    why = {
        "added": _("It was signed, noted in or changed afterwards; what was added is not vouched for."),
        "altered": _("Do not rely on it."),
        "another file": _("A program saved it again, or somebody made it; what it shows is not vouched for."),
    }.get(checked.finding)
    return (why, ask) if why else ()


def superseded(standing: Standing) -> str:
    """By what and since when a report no longer stands."""
    after = standing.successor
    if after is None:
        day = day_of(standing.reopened_at, standing.zone)
        return _("It is superseded: its gate reopened on %(day)s and has not been cleared again.") % {
            "day": day
        }
    told = {"n": after.round, "day": day_of(after.cleared_at, standing.zone), "code": after.code}
    if not after.code:
        return _("It is superseded by revision %(n)d of %(day)s.") % told
    return _("It is superseded by revision %(n)d of %(day)s, report %(code)s.") % told


def title_of(standing: Standing) -> str:
    """The title that is printed on the paper, in the reader's language."""
    texts = standing.gate_text
    gate = texts.get((get_language() or "en")[:2]) or texts.get("en") or next(iter(texts.values()), "")
    return _("Gate report: %(gate)s") % {"gate": gate}


def day_of(at: datetime | None, zone: str) -> str:
    """The day in the project's zone, as its papers print it."""
    place = ZoneInfo(zone)
    read = Reader((get_language() or "en")[:2], "us", place)
    return read.day(at.astimezone(place).date().isoformat()) if at else ""
