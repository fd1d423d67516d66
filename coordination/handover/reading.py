"""A frozen snapshot made readable: values with units, times in the project's zone, texts in one language.

The snapshot is what a clearing froze (gates); nothing here looks anything up, so that the same snapshot always
makes the same paper.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.utils import formats
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from coordination.evidence.taken import told_apart
from coordination.gates.cited import document_words
from coordination.gates.clauses import clause_words
from coordination.gates.refusal_words import reason_words
from coordination.gates.sentences import cause_words, no_longer_asked, party_words
from coordination.siteprep.lengths import UnitSystem, format_length
from coordination.siteprep.units import as_read, rounded

Snapshot = Mapping[str, Any]


@dataclass(frozen=True)
class Reader:
    """Who reads: language, unit system and clock of one paper."""

    language: str
    units: str
    zone: ZoneInfo

    def text(self, table: Mapping[str, str] | str | None) -> str:
        """The words of a language table, English where the language lacks it."""
        if not table:
            return ""
        if isinstance(table, str):
            return table
        return table.get(self.language[:2]) or table.get("en") or next(iter(table.values()))

    def moment(self, text: str | None) -> str:
        """An ISO time as day and minute in the project's zone, with the zone's name."""
        if not text:
            return ""
        local = datetime.fromisoformat(text).astimezone(self.zone)
        return f"{self.day(local.date().isoformat())} {local:%H:%M %Z}"

    def day(self, text: str | None) -> str:
        """An ISO date in the order that the language is used to, month in words."""
        if not text:
            return ""
        return formats.date_format(
            date.fromisoformat(text[:10]), "j N Y" if self.language == "es" else "N j, Y"
        )

    def value(self, value: Any, unit: str) -> str:
        """A value with its unit."""
        if value is None or value == "":
            return ""
        system: UnitSystem = "metric" if self.units == "metric" else "us"
        if unit == "length":
            return format_length(int(value), system)
        if isinstance(value, int | float) and not isinstance(value, bool):
            number, unit = as_read(value, unit, system)
            value = rounded(number, unit)
        return f"{formats.localize(value)} {unit_word(unit, value)}".strip()

    def tolerance(self, low: Any, high: Any, unit: str) -> str:
        """What the value has to be between, in words."""
        if low is not None and high is not None:
            return _("%(low)s to %(high)s") % {"low": self.value(low, unit), "high": self.value(high, unit)}
        if high is not None:
            return _("at most %(high)s") % {"high": self.value(high, unit)}
        if low is not None:
            return _("at least %(low)s") % {"low": self.value(low, unit)}
        return ""


def frozen_cause(cause: Mapping[str, Any], snapshot: Snapshot, reader: Reader) -> str:
    """Why an earlier round was superseded, with the words that the snapshot itself has for what moved."""
    told = {
        "subject": reader.text(cause.get("text")) or _subject(str(cause["subject"]), snapshot, reader),
        "reasons": reason_words(cause.get("reasons", ())),
    }
    return cause_words({**cause, **told})


def _subject(key: str, snapshot: Snapshot, reader: Reader) -> str:
    named = {snapshot["gate"]["key"]: snapshot["gate"]["text"]}
    for about in (
        *snapshot.get("inspections", ()),
        *snapshot["concessions"],
        *snapshot.get("concessions_ended", ()),
    ):
        named[about["requirement"]] = about["text"]
    for task in snapshot["tasks"]:
        named[task["key"]] = task["text"]
        named |= {f"{task['key']}#{item['key']}": item["text"] for item in task["requirements"]}
    return reader.text(named.get(key)) or no_longer_asked(key)


def unit_word(unit: str, value: Any) -> str:
    """The unit as it is printed behind a number."""
    symbols = {
        "lux": "lx",
        "ohm": "Ω",
        "volt": "V",
        "degree C": "°C",
        "degree F": "°F",
        "psi": "psi",
        "pound-force": "lbf",
        "second": "s",
        "": "",
        "count": "",
    }
    if unit == "day":
        return ngettext("day", "days", int(value))
    if unit == "calendar day":
        return ngettext("calendar day", "calendar days", int(value))
    return symbols.get(unit, unit)


def when_words(item: Snapshot, reader: Reader) -> str:
    """When a reading was taken, and when it was handed in where that was later; empty where nobody said so."""
    taken, received = item.get("taken_at"), item.get("received_at")
    if not taken or str(item.get("media_type") or "").startswith("image/"):
        return ""
    told = {"taken": reader.moment(taken), "received": reader.moment(received)}
    if received and told_apart(datetime.fromisoformat(taken), datetime.fromisoformat(received)):
        return _("taken %(taken)s, handed in %(received)s") % told
    return _("taken %(taken)s") % told


def status_words(status: str) -> str:
    """How far a source may be trusted, in words."""
    return {
        "code": _("code value"),
        "practice": _("common practice"),
        "drawing": _("this job's drawing"),
        "memory": _("from memory"),
    }.get(status, status)


def source_words(source: Mapping[str, str] | None, reader: Reader) -> str:
    """A source in one line: document, clause, status, and whom to confirm it with."""
    if not source:
        return ""
    document, status = source.get("document", ""), source.get("status", "")
    named = (document_words(document), clause_words(source.get("clause", "")))
    parts = [", ".join(part for part in named if part)]
    if not (status == "practice" and document.startswith("common practice")):
        parts.append(status_words(status))
    if source.get("confirm_with"):
        parts.append(_("confirm with: %(whom)s") % {"whom": party_words(source["confirm_with"])})
    return "; ".join(part for part in parts if part)


def outcome_words(how: str) -> str:
    """How a requirement or a condition was met, in words; the record's word where there is none."""
    return {
        "accepted": _("accepted"),
        "done": _("done"),
        "handed in": _("handed in"),
        "conceded": _("by concession"),
        "varied": _("by an authority’s variance"),
        "released": _("released by the authority's document"),
        "answered": _("answered"),
        "signed": pgettext("how a condition was met", "signed"),
        "cleared": _("cleared"),
        "refused": _("refused"),
        "failed": _("inspected, not passed"),
        "not enough": _("not all of it is there"),
        "out of tolerance": _("out of tolerance"),
        "not reviewed": _("not reviewed"),
        "none": _("missing"),
        "present": _("present"),
    }.get(how, how)


def result_words(result: str) -> str:
    """What an authority's report says an inspection came to."""
    return {
        "passed": _("passed"),
        "passed with corrections": _("passed, with corrections to be made"),
        "failed": _("not passed"),
    }.get(result, result)


def kind_words(kind: str) -> str:
    """What a requirement asks for, in one word."""
    return {
        "photo": _("photo"),
        "reading": _("reading"),
        "document": _("document"),
        "signature": _("signature"),
    }.get(kind, kind)
