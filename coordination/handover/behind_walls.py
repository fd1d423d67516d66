"""What is behind each wall: the photos of work that other work hides, by wall and elevation."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from coordination.handover.reading import Reader, Snapshot
from coordination.handover.whole import Whole
from coordination.projects.trade_words import in_spoken_words
from coordination.siteprep.lengths import UnitSystem, format_length

PIT_FLOOR = -1


@dataclass(frozen=True)
class Hidden:
    """One photo of hidden work: ``item``. ``copy`` is the SHA-256 of its copy, empty where none could be made."""

    what: str
    work: str
    hidden_by: str
    taken: str
    sha256: str
    copy: str
    item: Snapshot


@dataclass(frozen=True)
class Wall:
    """One wall at one elevation with what lies behind it. ``order`` is nanometres above the lowest finished floor."""

    place: str
    name: str
    elevation: str
    order: int
    photos: tuple[Hidden, ...]


def walls(whole: Whole, reader: Reader) -> tuple[Wall, ...]:
    """From the pit upwards; only places where something photographed is hidden."""
    found = []
    for place in whole["places"]:
        photos = tuple(_hidden_at(place["key"], whole, reader))
        if photos:
            elevation, order = elevation_of(place, whole, reader)
            name = _wall(place, whole, reader)
            found.append(Wall(place["key"], name, elevation, order, photos))
    return tuple(sorted(found, key=lambda wall: (wall.order, wall.place)))


def _hidden_at(place: str, whole: Whole, reader: Reader) -> Iterator[Hidden]:
    texts = {task["key"]: reader.text(task["text"]) for task in whole["tasks"]}
    covered: dict[str, list[str]] = {}
    for link in whole["links"]:
        if link["covers"]:
            covered.setdefault(link["before"], []).append(texts.get(link["after"], link["after"]))
    for task in whole["tasks"]:
        if task["place"] != place or task["key"] not in covered:
            continue
        for need in task["requirements"]:
            for item in need["evidence"]:
                if need["kind"] == "photo" and not _refused(item):
                    yield Hidden(
                        what=reader.text(need["text"]),
                        work=texts[task["key"]],
                        hidden_by="; ".join(dict.fromkeys(covered[task["key"]])),
                        taken=reader.moment(item["taken_at"] or item["received_at"]),
                        sha256=item["sha256"] or "",
                        copy=item["rendition"]["sha256"] if item["rendition"] else "",
                        item=item,
                    )


def _refused(item: Snapshot) -> bool:
    return bool(item["review"]) and item["review"]["outcome"] == "refused"


def _wall(place: Snapshot, whole: Whole, reader: Reader) -> str:
    """The name of the place; of the rail wall with its side where that is known."""
    name = capfirst(reader.text(place["text"]))
    side = (whole["drawing"] or {}).get("rail_wall", "") if place["kind"] == "rail wall" else ""
    return f"{name} ({_side_words(side)})" if side and side != "unknown" else name


def _side_words(side: str) -> str:
    return {"front": _("front"), "rear": _("rear"), "left": _("left"), "right": _("right")}.get(side, side)


def elevation_of(place: Snapshot, whole: Whole, reader: Reader) -> tuple[str, int]:
    """Where it is up the building, in words, and by which height it is put in order."""
    drawing = whole["drawing"]
    if not drawing:
        return "", 0
    if place["kind"] == "pit":
        below = _length(-drawing["pit_floor"], reader)
        return _("pit floor, %(below)s below the lowest finished floor") % {"below": below}, drawing[
            "pit_floor"
        ]
    for landing in drawing["landings"]:
        if landing["key"] == place["landing"]:
            return _landing(landing, reader), landing["elevation"]
    if place["kind"] in {"machine room", "route", "site"}:
        return "", drawing["top"] + 1
    return _full_height(place, drawing, reader), PIT_FLOOR


def _landing(landing: Snapshot, reader: Reader) -> str:
    if not landing["elevation"]:
        return _("lowest finished floor")
    above = _length(landing["elevation"], reader)
    return _("%(above)s above the lowest finished floor") % {"above": above}


def _full_height(place: Snapshot, drawing: Snapshot, reader: Reader) -> str:
    words = in_spoken_words(_("from the pit floor to the top of the {hoistway}"))
    brackets = [_length(each - drawing["pit_floor"], reader) for each in drawing["brackets"]]
    if place["kind"] != "rail wall" or not brackets:
        return words
    listed = ", ".join(brackets)
    return _("%(from_to)s; rail brackets above the pit floor: %(listed)s") % {
        "from_to": words,
        "listed": listed,
    }


def _length(nanometres: int, reader: Reader) -> str:
    system: UnitSystem = "metric" if reader.units == "metric" else "us"
    return format_length(nanometres, system)
