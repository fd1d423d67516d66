"""Concessions, deviation permits and variances on paper, each with what does not conform: that stays on record.

The one place for their words: every paper, and the screens that show the same, take them from here.
"""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.gates.reasons import KINDS
from coordination.gates.refusal_words import reason_words
from coordination.gates.sentences import authority_words, no_longer_asked, party_words
from coordination.handover.numbered import files_of_places
from coordination.handover.places_read import place_of, work_words
from coordination.handover.reading import Reader, Snapshot, outcome_words

Frozen = Mapping[str, Any]
About = Callable[[str], bool]
UNNUMBERED: Mapping[str, int] = MappingProxyType({})


@dataclass(frozen=True)
class LetGo:
    """One of them. ``found`` is empty before the work; ``number`` leads to the original, 0 where there is none.

    ``variance`` names the authority's document, ``scan`` is the SHA-256 of its scan, ``scan_number`` leads there; all
    empty for others. ``scan_first``: the list of originals leads here. ``evidence`` is the name under which the
    record keeps what does not conform.
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
    scan_number: int = 0
    scan_first: bool = False

    @property
    def by(self) -> str:
        return "; ".join(self.voices)


def let_go(
    snapshot: Snapshot,
    reader: Reader,
    numbers: Mapping[str, int] = UNNUMBERED,
    *,
    about: About = lambda key: True,
    named: bool = True,
) -> list[LetGo]:
    """Every one that stands on the site, then those that have ended, oldest first.

    ``about`` picks by key of the requirement; not ``named``, no person stands in it, nor why people granted it.
    """
    write = _Writing(snapshot, reader, numbers, named)
    standing, ended = snapshot["concessions"], snapshot.get("concessions_ended", ())
    return [
        *(write.row(item, "") for item in standing if about(item["requirement"])),
        *(write.row(item, _ended(item, reader)) for item in ended if about(item["requirement"])),
    ]


def leading_here(rows: Iterable[LetGo], snapshot: Snapshot) -> list[LetGo]:
    """The same with each scan marked where it first comes up, unless it came up at a place."""
    seen, found = {"", *(item["sha256"] for item in files_of_places(snapshot))}, []
    for row in rows:
        found.append(replace(row, scan_first=row.scan not in seen))
        seen.add(row.scan)
    return found


def at_place(snapshot: Snapshot, place: str) -> About:
    return lambda key: place_of(snapshot, key) == place


def of_tasks(keys: Collection[str]) -> About:
    return lambda key: key.partition("#")[0] in keys


def standing_words(snapshot: Snapshot) -> str:
    """How many of each kind stand, for the first page; empty where none does."""
    kinds = [item["kind"] for item in snapshot["concessions"]]
    counted = {
        "concession": ngettext("%(n)d concession", "%(n)d concessions", kinds.count("concession")),
        "deviation permit": ngettext(
            "%(n)d deviation permit", "%(n)d deviation permits", kinds.count("deviation permit")
        ),
        "variance": ngettext(
            "%(n)d authority’s variance", "%(n)d authority’s variances", kinds.count("variance")
        ),
    }
    each = [words % {"n": kinds.count(kind)} for kind, words in counted.items() if kind in kinds]
    return _("Let go on this site and standing: %(each)s.") % {"each": ", ".join(each)} if each else ""


def ends_words(item: Frozen, reader: Reader) -> str:
    """That its last day comes, for the days to keep."""
    words = {
        "concession": _("Concession ends: %(what)s"),
        "deviation permit": _("Deviation permit ends: %(what)s"),
        "variance": _("Authority’s variance ends: %(what)s"),
    }[item["kind"]]
    return words % {"what": what_words(item, reader)}


def what_words(item: Frozen, reader: Reader) -> str:
    return reader.text(item.get("text")) or no_longer_asked(item["requirement"])


def _ended(item: Frozen, reader: Reader) -> str:
    """When it was taken back; one that ran out, or whose terms moved on, has no such time."""
    if item.get("ended_at"):
        return _("ended %(at)s") % {"at": reader.moment(item["ended_at"])}
    if item.get("left_the_plan"):
        return _("no longer counts: the plan does not ask for it any more")
    return _("no longer counts")


@dataclass(frozen=True)
class _Writing:
    """One paper's rows while they are written."""

    snapshot: Snapshot
    reader: Reader
    numbers: Mapping[str, int]
    named: bool

    def row(self, item: Frozen, ended: str) -> LetGo:
        reader, wrong, paper = self.reader, item.get("nonconformity"), item.get("variance")
        scan = paper["sha256"] if paper else ""
        return LetGo(
            kind=capfirst(str(KINDS[item["kind"]])),
            what=what_words(item, reader),
            work=self._work(item),
            reason=item["reason"] if self.named or paper else "",
            scope=item["scope"],
            limit=self._limit(item),
            found=found_words(wrong, reader) if wrong else "",
            told=self._told(wrong) if wrong else "",
            evidence=wrong["evidence"] if wrong else "",
            number=self.numbers.get(_original(wrong, self.snapshot), 0) if wrong else 0,
            voices=tuple(self._voice(voice) for voice in item["voices"]),
            ended=ended,
            variance=variance_words(paper, reader),
            scan=scan,
            scan_number=self.numbers.get(scan, 0),
        )

    def _work(self, item: Frozen) -> str:
        return work_words(self.snapshot, item["requirement"], self.reader, self.reader.text(item.get("work")))

    def _limit(self, item: Frozen) -> str:
        until = self.reader.day(item.get("expires_on"))
        limits = (_("until %(day)s") % {"day": until} if until else "", item.get("quantity") or "")
        return ", ".join(filter(None, limits)) or _("no day and no quantity set")

    def _told(self, wrong: Frozen) -> str:
        at = self.reader.moment(wrong["at"])
        return f"{wrong['by']}, {at}" if self.named else at

    def _voice(self, voice: Frozen) -> str:
        role, at = party_words(voice["role"]), self.reader.moment(voice["at"])
        return f"{voice['name']} ({role}), {at}" if self.named else f"{role}, {at}"


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
