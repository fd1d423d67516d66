"""What a gate report says, built from a frozen snapshot alone: ready words for the template."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from coordination.gates.refusal_words import reason_words
from coordination.gates.sentences import trade_words
from coordination.handover.numbered import numbers_of
from coordination.handover.pictured import Picture, pictures_of, pictures_of_refusal
from coordination.handover.reading import (
    Reader,
    Snapshot,
    kind_words,
    outcome_words,
    result_words,
    source_words,
    when_words,
)
from coordination.handover.series_read import series_lines

UNNUMBERED: Mapping[str, int] = MappingProxyType({})


@dataclass(frozen=True)
class Found:
    """What one piece of evidence says: the measured value by itself, and the rest in words."""

    value: str
    words: str
    number: int = 0  # in the list of originals; 0 where there is no file
    first: bool = False  # the list of originals leads here


@dataclass(frozen=True)
class Line:
    """One requirement: what was asked, what was found, against what, from where, with which result."""

    key: str
    kind: str
    text: str
    found: tuple["Found", ...]
    tolerance: str
    source: str
    result: str
    by: str
    lift_critical: bool
    pictures: tuple[Picture, ...]


@dataclass(frozen=True)
class Work:
    """One task with its lines and the handoffs it went through."""

    key: str
    text: str
    trade: str
    company: str
    days: str
    lines: tuple[Line, ...]
    handoffs: tuple[str, ...]
    refused: tuple[Picture, ...]


@dataclass(frozen=True)
class Plate:
    """A photo as it stands after the work of its place: its number among the originals, and whose it is."""

    number: int
    work: str
    picture: Picture
    first: bool = False  # the list of originals leads here


@dataclass(frozen=True)
class PlaceChapter:
    """A place, its dimensions, its work, and the photos of it."""

    key: str
    name: str
    dimensions: tuple[tuple[str, str, str], ...]
    works: tuple[Work, ...]
    plates: tuple[Plate, ...] = ()


def chapters(snapshot: Snapshot, reader: Reader) -> tuple[PlaceChapter, ...]:
    """Every place that has work or dimensions in the snapshot, in the snapshot's order."""
    found, numbers = [], numbers_of(snapshot)
    for place in snapshot["places"]:
        works = tuple(
            work_of(task, reader, numbers) for task in snapshot["tasks"] if task["place"] == place["key"]
        )
        dimensions = tuple(dimension_lines(snapshot, place["key"], reader))
        if works or dimensions:
            plates = tuple(_each_once(_plates(works, numbers)))
            found.append(PlaceChapter(place["key"], reader.text(place["text"]), dimensions, works, plates))
    return tuple(_leading_here(found))


def _each_once(plates: Iterable[Plate]) -> Iterator[Plate]:
    """One plate for a photo that shows several things asked for, with all of them under it."""
    alike: dict[tuple[int, str, str], list[Plate]] = {}
    for plate in plates:
        alike.setdefault((plate.number, plate.picture.name, plate.picture.missing), []).append(plate)
    for first, *others in alike.values():
        yield replace(
            first,
            work=_joined([first.work, *(other.work for other in others)]),
            picture=replace(
                first.picture,
                caption=_joined([first.picture.caption, *(other.picture.caption for other in others)]),
                alt=_joined([first.picture.alt, *(other.picture.alt for other in others)]),
            ),
        )


def _joined(words: Iterable[str]) -> str:
    return "; ".join(dict.fromkeys(words))


def _leading_here(places: Iterable[PlaceChapter]) -> Iterator[PlaceChapter]:
    """The same with the first appearance of each original marked, in the order in which they are printed."""
    seen = {0}

    def is_first(number: int) -> bool:
        new = number not in seen
        seen.add(number)
        return new

    for place in places:
        works = tuple(
            replace(work, lines=tuple(_marked(line, is_first) for line in work.lines)) for work in place.works
        )
        plates = tuple(replace(plate, first=is_first(plate.number)) for plate in place.plates)
        yield replace(place, works=works, plates=plates)


def _marked(line: Line, is_first: Callable[[int], bool]) -> Line:
    if line.pictures:
        return line
    return replace(line, found=tuple(replace(each, first=is_first(each.number)) for each in line.found))


def dimension_lines(snapshot: Snapshot, place: str, reader: Reader) -> Iterator[tuple[str, str, str]]:
    """What, value and source of each figure that the plan derived for a place."""
    for item in snapshot["quantities"]:
        if item["place"] == place and item["value"] is not None:
            value = reader.value(item["value"], item["unit"])
            yield reader.text(item["text"]), value, source_words(item["source"], reader)


def _plates(works: tuple[Work, ...], numbers: Mapping[str, int]) -> Iterator[Plate]:
    for work in works:
        shown = [picture for line in work.lines for picture in line.pictures]
        for picture in (*shown, *work.refused):
            yield Plate(numbers.get(picture.sha256, 0), work.text, picture)


def work_of(task: Mapping[str, Any], reader: Reader, numbers: Mapping[str, int] = UNNUMBERED) -> Work:
    days = " – ".join(reader.day(day) for day in (task.get("begun_on"), task.get("finished_on")) if day)
    return Work(
        key=task["key"],
        text=reader.text(task["text"]),
        trade=capfirst(trade_words(task["trade"])),
        company=task.get("company") or "",
        days=days,
        lines=tuple(line_of(requirement, reader, numbers) for requirement in task["requirements"]),
        handoffs=(
            *(refusal_words(refusal, reader) for refusal in task.get("refusals", ())),
            *(handoff_words(handoff, reader) for handoff in task.get("handoffs", ())),
        ),
        refused=tuple(
            picture
            for refusal in task.get("refusals", ())
            for picture in pictures_of_refusal(refusal, reader)
        ),
    )


def line_of(requirement: Mapping[str, Any], reader: Reader, numbers: Mapping[str, int] = UNNUMBERED) -> Line:
    unit = requirement.get("unit") or ""
    evidence = requirement["evidence"]
    return Line(
        key=requirement["key"],
        kind=kind_words(requirement["kind"]),
        text=reader.text(requirement["text"]),
        found=tuple(
            with_readings(found_words(item, unit, reader, numbers), series_lines(requirement, item, reader))
            for item in evidence
        ),
        tolerance=reader.tolerance(requirement.get("low"), requirement.get("high"), unit),
        source=source_words(requirement.get("source"), reader),
        result=outcome_words(requirement.get("how") or requirement["outcome"]),
        by="; ".join(dict.fromkeys(filter(None, (reviewer_words(item, reader) for item in evidence)))),
        lift_critical=bool(requirement.get("lift_critical")),
        pictures=tuple(pictures_of(requirement, reader)),
    )


def with_readings(found: Found, lines: Sequence[str]) -> Found:
    """The same with every reading of a series behind it."""
    return replace(found, words="; ".join(filter(None, [found.words, *lines])))


def found_words(
    item: Mapping[str, Any], unit: str, reader: Reader, numbers: Mapping[str, int] = UNNUMBERED
) -> Found:
    """What one piece of evidence says, with who entered it."""
    value, parts = "", []
    if item.get("value") is not None and item["value"] != "":
        plain = not isinstance(item["value"], (dict, list))
        value = reader.value(item["value"], unit) if plain else item["typed"]
        if item.get("in_tolerance") is not None:
            parts.append(_("inside") if item["in_tolerance"] else _("outside"))
    if item.get("number"):
        dated = reader.day(item.get("dated"))
        parts.append(_("No. %(number)s of %(day)s") % {"number": item["number"], "day": dated})
    if item.get("result"):
        parts.append(result_words(item["result"]))
    if item.get("instrument"):
        parts.append(item["instrument"])
    if when := when_words(item, reader):
        parts.append(when)
    number = numbers.get(item.get("sha256") or "", 0)
    if item.get("sha256") and not number and not parts and not value:
        parts.append(item.get("file_name") or item["media_type"])
    if item.get("taken_by") and item["taken_by"] != item["sender"]:
        parts.append(_("taken by %(who)s") % {"who": item["taken_by"]})
    sender = sender_words(item)
    return Found(value, ", ".join(parts if sender == value else [*parts, sender]), number)


def sender_words(item: Mapping[str, Any]) -> str:
    """Who handed it in; an entry for somebody else says so."""
    if item.get("entered_for"):
        return _("entered by %(who)s for %(whom)s (%(source)s)") % {
            "who": item["sender"],
            "whom": item["entered_for"],
            "source": item["entry_source"],
        }
    return item["sender"]


def reviewer_words(item: Mapping[str, Any], reader: Reader) -> str:
    review = item.get("review")
    if not review:
        return ""
    return f"{review['reviewer']}, {reader.moment(review['at'])}"


def refusal_words(refusal: Mapping[str, Any], reader: Reader) -> str:
    return _("Round %(round)s: %(receiver)s refused it: %(by)s, %(at)s. %(reasons)s") % {
        "round": refusal["round"],
        "receiver": trade_words(refusal["receiver"]),
        "by": sender_words({"sender": refusal["by"], **refusal}),
        "at": reader.moment(refusal["at"]),
        "reasons": " ".join(reason_words(refusal["reasons"])),
    }


def handoff_words(handoff: Mapping[str, Any], reader: Reader) -> str:
    """Whose word it was: the receiver's own, by beginning to build on it, or another's in a silent receiver's place."""
    told = {
        "receiver": trade_words(handoff["receiver"]),  # a trade whose company is not named yet
        "by": sender_words({"sender": handoff["by"], **handoff}),
        "at": reader.moment(handoff["at"]),
        "due": reader.moment(handoff.get("answer_by")),
        "reasons": " ".join(reason_words(handoff.get("reasons") or ())),
    }
    if handoff.get("way") == "for the silent":
        return (
            _("Accepted by %(by)s, %(at)s, for %(receiver)s, who had not answered by %(due)s: %(reasons)s")
            % told
        )
    if handoff.get("way") == "by beginning":
        return _("%(receiver)s took it over on beginning to build on it: %(by)s, %(at)s") % told
    return _("%(receiver)s %(outcome)s it: %(by)s, %(at)s") % {
        **told,
        "outcome": outcome_words(handoff["outcome"]),
    }
