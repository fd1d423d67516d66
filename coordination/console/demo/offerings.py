"""What the demo's people hand in: photos drawn by code, papers, readings as people type them, signatures."""

import io
import uuid
import zlib
from collections.abc import Mapping
from datetime import date, datetime, timedelta
from typing import Any

from coordination.access.models import Project
from coordination.access.visitors import Visitor
from coordination.console.demo.site_photos import Format, draw_photo, view_for
from coordination.evidence.arrivals import take_in
from coordination.evidence.items import HandIn
from coordination.evidence.readings import SEVERAL_UNITS, unit_sign
from coordination.evidence.series import series_of
from coordination.files.models import Blob
from coordination.projects.models import Requirement
from coordination.siteprep.lengths import exact_length
from coordination.siteprep.series import Series

SIXTEENTH = 1_587_500
PIT = 14 * 16 * SIXTEENTH
# From line to wall, wall by wall, and between the two lines at last.
DISTANCES = tuple(inches * 16 * SIXTEENTH for inches in (10, 34, 34, 34, 34, 10, 48))
DAYS = 7
SMALL = (1280, 960)  # as a phone sends a photo in a message; drawing and packing cost by the pixel
INSTRUMENTS = {
    "length": "tape and laser level",
    "lux": "light meter",
    "volt": "multimeter",
    "ohm": "insulation tester",
}


def something_for(
    project: Project,
    requirement: Requirement,
    visitor: Visitor,
    at: datetime,
    *,
    spoiled: bool = False,
    typed: str = "",
) -> HandIn:
    """A plausible item for one requirement, the same for the same requirement and time."""
    key = uuid.uuid5(project.uid, f"{requirement} {at.isoformat()}")
    if requirement.kind == "signature":
        return HandIn(sender_key=key, typed=visitor.name, sent_at=at)
    if requirement.kind == "reading":
        return HandIn(
            sender_key=key,
            typed=typed or typed_reading(requirement.terms, at.date()),
            sent_at=at,
            taken_by=visitor.name,
            instrument=INSTRUMENTS.get(requirement.terms.get("unit", ""), ""),
        )
    return _file(project, requirement, key, at, by=visitor.name, spoiled=spoiled)


def _file(
    project: Project, requirement: Requirement, key: uuid.UUID, at: datetime, *, by: str, spoiled: bool
) -> HandIn:
    seed = zlib.crc32(str(requirement).encode())
    taken = at - timedelta(minutes=11 + seed % 17)
    view = (
        "document"
        if requirement.kind == "document"
        else view_for(f"{requirement.task.key} {requirement.key}")
    )
    fmt, ending = _format(seed, requirement)
    of_its_own = zlib.crc32(f"{project.name} {requirement}".encode()) % 10_000
    picture = draw_photo(
        view, seed=of_its_own, taken_at=taken, size=SMALL, orientation=(1, 1, 6, 1, 3)[seed % 5],
        fmt=fmt, spoiled=spoiled,
    )  # fmt: skip
    name = f"{requirement.key}.{ending}"
    arrived = take_in(project, io.BytesIO(picture), kind=requirement.kind, file_name=name)
    return HandIn(
        sender_key=key,
        blob=arrived.blob,
        file_name=name,
        image=arrived.image,
        taken_at=arrived.taken_at,
        taken_by=by,
        sent_at=at,
        number=f"{(requirement.release or 'doc')[:2].upper()}-{seed % 9000 + 1000}"
        if requirement.release
        else "",
        result="passed" if requirement.terms.get("inspection") else "",
        dated=at.date() if requirement.release or requirement.kind == "document" else None,
    )


def scan_of(project: Project, number: str, at: datetime) -> Blob:
    """An authority's letter under its number, photographed flat on a board."""
    seed = zlib.crc32(f"{project.name} {number}".encode()) % 10_000
    picture = draw_photo("document", seed=seed, taken_at=at, size=SMALL, fmt="PNG")
    return take_in(project, io.BytesIO(picture), kind="document", file_name=f"{number}.png").blob


def _format(seed: int, requirement: Requirement) -> tuple[Format, str]:
    """Mostly JPEG, now and then what other phones and scanners send."""
    if requirement.kind == "document":
        return "PNG", "png"
    return {0: ("HEIC", "heic"), 7: ("WEBP", "webp")}.get(seed % 14, ("JPEG", "jpg"))  # type: ignore[return-value]


def typed_reading(terms: Mapping[str, Any], day: date) -> str:
    """A reading inside the tolerance, as somebody would type it; a series as lines of a spreadsheet."""
    if series := series_of(terms):
        return typed_series(series, terms, day)
    unit, low, high = terms.get("unit", ""), terms.get("low"), terms.get("high")
    if unit == "date":
        return (day + timedelta(days=200)).isoformat()
    value = _inside(low, high, terms.get("nominal"))
    if unit == "length":
        return exact_length(_on_a_sixteenth(int(value), low, high))
    written = f"{round(value)}" if unit in {"count", "day"} else f"{value:.10g}"
    return f"{written} {unit_sign(unit, None)}" if unit in SEVERAL_UNITS else written


def typed_series(series: Series, terms: Mapping[str, Any], day: date) -> str:
    """Readings of a whole grid, with its names in the first line and column; every one inside."""
    rows = [mark.text["en"] for mark in series.rows]
    if series.by_day:
        rows = [f"{(day - timedelta(days=back)).isoformat()} 07:00" for back in range(DAYS, 0, -1)]
    columns = [mark.text["en"] for mark in series.columns]
    lines = [["", *columns]]
    for number, row in enumerate(rows):
        lines.append([row, *(_cell(series, terms, number, at) for at in range(len(columns)))])
    return "\n".join("\t".join(line) for line in lines)


def _cell(series: Series, terms: Mapping[str, Any], row: int, column: int) -> str:
    """One reading. Along a plumb line it moves by sixteenths, a third of what is allowed at the most."""
    if series.judged in {"out of plumb", "difference"}:
        about = PIT if series.judged == "difference" else DISTANCES[column % len(DISTANCES)]
        steps = int(terms["high"]) // (3 * SIXTEENTH)
        return exact_length(about + (row + column) % (steps + 1) * SIXTEENTH)
    more = 1.2 + (3 * row + 5 * column) % 7 / 20
    between = terms["high"] / (2 + row) if terms.get("high") is not None else terms["low"] * more
    unit = terms.get("unit", "")
    written = f"{between:.2g}" if between < 10 else f"{round(between, -1 if between >= 100 else 0):.0f}"
    return f"{written} {unit_sign(unit, None)}" if unit in SEVERAL_UNITS else written


def _inside(low: Any, high: Any, nominal: Any) -> float:
    if nominal is not None and (low is None or nominal >= low) and (high is None or nominal <= high):
        return float(nominal)
    if low is not None and high is not None:
        return float(low + (high - low) / 2) if isinstance(low, float) else float((low + high) // 2)
    if high is not None:
        return float(high // 2 if isinstance(high, int) else high / 2)
    return float(low if low is not None else 1)


def _on_a_sixteenth(value: int, low: Any, high: Any) -> int:
    """The nearest sixteenth of an inch that still lies inside."""
    down = value - value % SIXTEENTH
    for candidate in (down, down + SIXTEENTH):
        if (low is None or candidate >= low) and (high is None or candidate <= high):
            return candidate
    return value
