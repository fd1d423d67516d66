"""Concessions and deviation permits on paper, each with what does not conform: that stays on record, whatever comes."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.gates.reasons import KINDS
from coordination.gates.refusal_words import reason_words
from coordination.gates.sentences import authority_words, party_words
from coordination.handover.places_read import work_words
from coordination.handover.reading import Reader, Snapshot, outcome_words

Frozen = Mapping[str, Any]


@dataclass(frozen=True)
class LetGo:
    """One of them. ``found`` is empty before the work; ``number`` leads to the original, 0 where there is none.

    ``variance`` names the authority's document and ``scan`` is the SHA-256 of its scan, both empty for all others.

    ``evidence`` is the name under which the record keeps what does not conform.
    """

    kind: str
    what: str
    work: str
    reason: str
    scope: str
    limit: str
    found: str
    told: str
    evidence: str
    number: int
    voices: tuple[str, ...]
    ended: str
    variance: str = ""
    scan: str = ""

    @property
    def by(self) -> str:
        return "; ".join(self.voices)


def let_go(snapshot: Snapshot, reader: Reader, numbers: Mapping[str, int]) -> list[LetGo]:
    """Every one that stands on the site, then those that have ended, oldest first."""
    standing, ended = snapshot["concessions"], snapshot.get("concessions_ended", ())
    return [
        *(_row(item, snapshot, reader, numbers, ended="") for item in standing),
        *(_row(item, snapshot, reader, numbers, ended=_ended(item, reader)) for item in ended),
    ]


def standing_words(snapshot: Snapshot) -> str:
    """That some stand, for the first page; empty where none does."""
    standing = len(snapshot["concessions"])
    words = ngettext(
        "%(n)d concession or deviation permit stands on this site.",
        "%(n)d concessions or deviation permits stand on this site.",
        standing,
    )
    return words % {"n": standing} if standing else ""


def _ended(item: Frozen, reader: Reader) -> str:
    """When it was taken back; one that ran out, or whose terms moved on, has no such time."""
    if item.get("ended_at"):
        return _("ended %(at)s") % {"at": reader.moment(item["ended_at"])}
    return _("no longer counts")


def _row(
    item: Frozen, snapshot: Snapshot, reader: Reader, numbers: Mapping[str, int], *, ended: str
) -> LetGo:
    wrong = item.get("nonconformity")
    until = reader.day(item.get("expires_on"))
    limits = (_("until %(day)s") % {"day": until} if until else "", item.get("quantity") or "")
    return LetGo(
        kind=capfirst(str(KINDS[item["kind"]])),
        variance=variance_words(item.get("variance"), reader),
        what=reader.text(item.get("text")) or item["requirement"],
        work=work_words(snapshot, item["requirement"], reader),
        reason=item["reason"],
        scope=item["scope"],
        limit=", ".join(filter(None, limits)) or _("no day and no quantity set"),
        found=found_words(wrong, reader) if wrong else "",
        told=f"{wrong['by']}, {reader.moment(wrong['at'])}" if wrong else "",
        evidence=wrong["evidence"] if wrong else "",
        number=numbers.get(_original(wrong, snapshot), 0) if wrong else 0,
        voices=tuple(
            f"{voice['name']} ({party_words(voice['role'])}), {reader.moment(voice['at'])}"
            for voice in item["voices"]
        ),
        ended=ended,
        scan=(item.get("variance") or {}).get("sha256", ""),
    )


def variance_words(paper: Frozen | None, reader: Reader) -> str:
    """Authority, number and date of an authority's document; empty where there is none."""
    if not paper:
        return ""
    who = authority_words(paper["authority"]["kind"], paper["authority"]["name"])
    told = {"who": who, "number": paper["number"], "day": reader.day(paper["dated"])}
    return _("%(who)s, No. %(number)s, dated %(day)s") % told


def found_words(wrong: Frozen, reader: Reader) -> str:
    """What was shown and does not conform: its value, how it stood, and the reasons where it was refused."""
    plain = wrong.get("value") is not None and not isinstance(wrong["value"], dict | list)
    value = reader.value(wrong["value"], wrong.get("unit") or "") if plain else wrong.get("typed") or ""
    words = outcome_words(wrong["outcome"])
    reasons = "; ".join(reason.rstrip(".") for reason in reason_words(wrong.get("reasons") or ()))
    return ", ".join(filter(None, (value, f"{words}: {reasons}" if reasons else words)))


def _original(wrong: Frozen, snapshot: Snapshot) -> str:
    """The SHA-256 of the file that does not conform, where it is one of the snapshot's."""
    return next(
        (
            item["sha256"] or ""
            for task in snapshot["tasks"]
            for need in task["requirements"]
            for item in (*need["evidence"], *need.get("earlier", ()))
            if item.get("uid") == wrong["evidence"]
        ),
        "",
    )
