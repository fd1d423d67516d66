"""Elevations of the rail brackets: lengths in nanometres above the pit floor unless said otherwise."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from coordination.siteprep.calculations.brackets.inputs import (
    MOST_SPACING,
    BracketInputs,
    LandingZones,
    Zone,
    ends,
)
from coordination.siteprep.calculations.brackets.placing import CLEAR_ZONES, between
from coordination.siteprep.calculations.spans import Intervals, clear_of, nearest
from coordination.siteprep.calculations.values import Finding, Source, Value

__all__ = ["SOURCES", "Bracket", "BracketInputs", "BracketResult", "LandingZones", "Zone", "calculate"]

SPACING_LIMITED_USE = Source(
    "common practice, no source", "5 to 6 ft between brackets", "practice", "lift crew"
)
SPACING_RESIDENCE = Source(
    "common practice, no source", "4 to 5 ft between brackets", "practice", "lift crew"
)
OFFSETS = Source(
    "common practice, no source", "placeholder until the drawing is approved", "practice", "lift crew"
)
GIVEN = Source("this job's input", "", "drawing", "lift crew")


@dataclass(frozen=True, slots=True)
class Bracket:
    """One bracket pair: height above pit floor and above the bottom landing's floor; spacing from the one below."""

    number: int
    above_pit_floor: Value
    above_bottom_landing: Value
    spacing_below: Value


@dataclass(frozen=True, slots=True)
class BracketResult:
    """Brackets from the bottom up, the spacing rule used, and what could not be kept."""

    brackets: tuple[Bracket, ...]
    count: Value
    greatest_spacing: Value
    max_spacing: Value
    drawing_revision: str | None
    findings: tuple[Finding, ...]


def calculate(inputs: BracketInputs) -> BracketResult:
    """Place the fewest brackets that keep the spacing, equally spaced where the zones allow it.

    Elevations of the approved drawing override; then spacing and zones are only checked against
    them. A first or last bracket that falls into a zone moves outward, where spacing grows no
    other bracket; one that cannot be placed is a finding that is not met.

    Source: spacing is common practice unless given; ASME A17.1 2.23.4 leaves it to the rail section.
    """
    zones = _zones(inputs)
    most = _max_spacing(inputs)
    if inputs.drawing_elevations:
        placed = sorted(inputs.drawing_elevations)
        source = Source(f"approved drawing, revision {inputs.drawing_revision}", "", "drawing")
        return _result(inputs, placed, most, source, list(_drawing_findings(placed, most, zones)))
    findings: list[Finding] = []
    placed = _placed(inputs, int(most.amount or 0), zones, findings)
    usual_ends = inputs.first_offset is None or inputs.last_offset is None
    return _result(inputs, placed, most, OFFSETS if usual_ends else most.source, findings)


def _max_spacing(inputs: BracketInputs) -> Value:
    if inputs.max_spacing is not None:
        return Value(inputs.max_spacing, "length", GIVEN)
    source = SPACING_LIMITED_USE if inputs.lift_class == "limited use" else SPACING_RESIDENCE
    return Value(MOST_SPACING[inputs.lift_class], "length", source)


def _zones(inputs: BracketInputs) -> dict[str, tuple[int, int]]:
    """Open intervals of bracket centres above the pit floor that would touch a zone."""
    raw = [(zone.name, zone.bottom, zone.top) for zone in inputs.keep_clear]
    for landing in inputs.landings:
        floor, head = landing.elevation, landing.elevation + landing.door_height
        raw.append((f"{landing.name}: floor band", floor - landing.floor_depth, floor))
        raw.append((f"{landing.name}: sill zone", floor - landing.sill_depth, floor))
        raw.append((f"{landing.name}: header zone", head, head + landing.header_depth))
    half = Fraction(inputs.bracket_height, 2)
    lift = inputs.pit_depth
    return {
        name: (int(bottom + lift - half), int(top + lift + half + Fraction(1, 2)))
        for name, bottom, top in raw
        if top > bottom
    }


def _placed(
    inputs: BracketInputs, most: int, zones: dict[str, tuple[int, int]], findings: list[Finding]
) -> list[int]:
    first, last = ends(inputs)
    height = inputs.pit_depth + inputs.travel + inputs.overhead
    free = clear_of((0, height), zones.values())
    start = _moved("first bracket", first, [(a, b) for a, b in free if a <= first], zones, findings)
    end = _moved("last bracket", last, [(a, b) for a, b in free if b >= last], zones, findings)
    if start is None or end is None:
        return []
    return between((start, end), most, free, zones, findings)


def _moved(
    subject: str,
    wanted: int,
    allowed: Intervals,
    zones: dict[str, tuple[int, int]],
    findings: list[Finding],
) -> int | None:
    inward = [(a, min(b, wanted)) if subject == "first bracket" else (max(a, wanted), b) for a, b in allowed]
    placed = nearest(wanted, inward)
    if placed == wanted:
        return placed
    outcome = "not met" if placed is None else "warning"
    hit = {name: True for name, (low, high) in zones.items() if low < wanted < high}
    findings.append(
        Finding("bracket end in zone", outcome, CLEAR_ZONES, subject, placed, wanted, "length", (), hit)  # type: ignore[arg-type]
    )
    return placed


def _drawing_findings(placed: list[int], most: Value, zones: dict[str, tuple[int, int]]) -> Iterator[Finding]:
    for number, elevation in enumerate(placed, 1):
        for name, (low, high) in zones.items():
            if low < elevation < high:
                yield Finding(
                    "bracket in zone",
                    "warning",
                    CLEAR_ZONES,
                    name,
                    elevation,
                    None,
                    "length",
                    (),
                    {"number": number},
                )
    for number, (below, above) in enumerate(pairwise(placed), 2):
        if above - below > int(most.amount or 0):
            yield Finding(
                "spacing over the maximum",
                "warning",
                most.source,
                "",
                above - below,
                most.amount,
                "length",
                (),
                {"number": number},
            )


def _result(
    inputs: BracketInputs, placed: list[int], most: Value, source: Source, findings: list[Finding]
) -> BracketResult:
    gaps = [None, *(above - below for below, above in pairwise(placed))]
    brackets = tuple(
        Bracket(
            number,
            Value(elevation, "length", source),
            Value(elevation - inputs.pit_depth, "length", source),
            Value(gap, "length", source),
        )
        for number, (elevation, gap) in enumerate(zip(placed, gaps, strict=False), 1)
    )
    greatest = max((gap for gap in gaps if gap is not None), default=None)
    return BracketResult(
        brackets,
        Value(len(brackets), "count", source),
        Value(greatest, "length", source),
        most,
        inputs.drawing_revision,
        tuple(findings),
    )


SOURCES = (SPACING_LIMITED_USE, SPACING_RESIDENCE, OFFSETS, CLEAR_ZONES, GIVEN)
EXAMPLE = {
    "pit_depth": "14 in",
    "travel": "10 ft",
    "overhead": "11' 3\"",
    "max_spacing": "6 ft",
    "first_offset": "12 in",
    "last_offset": "17 in",
    "keep_clear": [{"name": "floor 2 band", "bottom": "9 ft", "top": "10 ft"}],
}
