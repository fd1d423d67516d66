"""The one-page summary of a gate report: what is present, missing and open, and by place; with its size in lines."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.handover.inspected import open_results
from coordination.handover.reading import Reader, Snapshot, outcome_words
from coordination.pictures.typeface import wrap

PRESENT = frozenset({"accepted", "done", "released"})
LET_GO = frozenset({"conceded", "varied"})
SIZE = 8.5  # points: the letters of the two lists


@dataclass(frozen=True)
class Sum:
    """One number of the summary with its word: what it counts."""

    number: int
    word: str
    mark: str  # "present" "conceded" "varied" "missing" "open"


@dataclass(frozen=True)
class Listed:
    """The first lines of a list, and how many more there are further on."""

    lines: tuple[str, ...]
    more: str  # the number of their page follows
    height: int  # lines of print


def standing_of(requirement: Mapping[str, Any]) -> str:
    """``present``, ``conceded``, ``varied``, ``missing``; ``open`` where something came that does not count yet."""
    how = requirement.get("how") or requirement["outcome"]
    if how in PRESENT:
        return "present"
    return how if how in LET_GO else {"none": "missing"}.get(how, "open")


def sums(snapshot: Snapshot, reader: Reader) -> list[Sum]:
    """What was asked for at this gate, counted by how it stands; open are also unsettled facts and what failed."""
    standing = [standing_of(item) for _task, item in asked(snapshot)]
    varied = standing.count("varied")
    by_variance = [Sum(varied, _("by an authority’s variance"), "varied")] if varied else []
    return [
        Sum(standing.count("present"), _("present"), "present"),
        Sum(standing.count("conceded"), _("by concession"), "conceded"),
        *by_variance,
        Sum(standing.count("missing"), _("missing"), "missing"),
        Sum(len(open_lines(snapshot, reader)), _("open"), "open"),
    ]


def counts(snapshot: Snapshot) -> str:
    """What the numbers are of, in one line."""
    total, tasks = sum(1 for _each in asked(snapshot)), len(snapshot["tasks"])
    return " ".join(
        (
            ngettext("%(n)d task belongs to this gate.", "%(n)d tasks belong to this gate.", tasks)
            % {"n": tasks},
            ngettext("%(n)d thing was asked for.", "%(n)d things were asked for.", total) % {"n": total},
        )
    )


def at_places(snapshot: Snapshot, places: frozenset[str]) -> str:
    """How many of the things asked for at a place of the drawing are there, for its entry beside it."""
    standing = [standing_of(item) for _task, item in asked_at(snapshot, places)]
    if not standing:
        return ""
    words = _("%(n)d of %(total)d present") % {"n": standing.count("present"), "total": len(standing)}
    if conceded := standing.count("conceded"):
        words += ", " + _("%(n)d by concession") % {"n": conceded}
    if varied := standing.count("varied"):
        words += ", " + _("%(n)d by an authority’s variance") % {"n": varied}
    return words


def asked(snapshot: Snapshot) -> Iterator[tuple[Mapping[str, Any], Mapping[str, Any]]]:
    for task in snapshot["tasks"]:
        for requirement in task["requirements"]:
            yield task, requirement


def asked_at(
    snapshot: Snapshot, places: frozenset[str]
) -> Iterator[tuple[Mapping[str, Any], Mapping[str, Any]]]:
    return ((task, item) for task, item in asked(snapshot) if task["place"] in places)


def unsettled(snapshot: Snapshot) -> Iterator[Mapping[str, Any]]:
    return (fact for fact in snapshot["facts"] if fact["state"] in {"assumed", "unknown"})


def missing_lines(snapshot: Snapshot, reader: Reader) -> list[str]:
    """What was asked for and not handed in, with the work it belongs to; and what was let go, and how."""
    return [
        _line(task, item, reader, "")
        if standing_of(item) == "missing"
        else _line(task, item, reader, outcome_words(standing_of(item)))
        for task, item in asked(snapshot)
        if standing_of(item) in {"missing", *LET_GO}
    ]


def open_lines(snapshot: Snapshot, reader: Reader) -> list[str]:
    """What does not count yet, what inspections left open, and facts that were assumed or not known at the clearing."""
    waiting = [
        _line(task, item, reader, outcome_words(item.get("how") or item["outcome"]))
        for task, item in asked(snapshot)
        if standing_of(item) == "open"
    ]
    facts = (_fact_line(fact, reader) for fact in unsettled(snapshot))
    return [*waiting, *open_results(snapshot, reader), *facts]


def _line(task: Mapping[str, Any], item: Mapping[str, Any], reader: Reader, how: str) -> str:
    words = f"{reader.text(task['text'])}: {reader.text(item['text'])}"
    return f"{words} ({how})" if how else words


def _fact_line(fact: Mapping[str, Any], reader: Reader) -> str:
    state = {"assumed": _("assumed"), "unknown": _("not known")}[fact["state"]]
    words = f"{reader.text(fact.get('text')) or fact['key']}: {state}"
    return f"{words}, {fact['typed']}" if fact.get("typed") else words


def listed(lines: Iterable[str], column: float, most: int) -> Listed:
    """As many lines as fit ``most`` lines of print, ``column`` points wide; the rest is counted."""
    every = tuple(lines)
    kept, height = [], 0
    for line in every:
        tall = len(wrap(line, column, SIZE))
        if height + tall > most - (len(kept) + 1 < len(every)):
            break
        kept.append(line)
        height += tall
    left = len(every) - len(kept)
    more = ngettext("and %(n)d more, page", "and %(n)d more, page", left) % {"n": left}
    return Listed(tuple(kept), more if left else "", max(1, height + bool(left)))
