"""Elevations of the rail brackets: lengths in nanometres above the pit floor unless said otherwise."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from coordination.siteprep.calculations.inputs import Inputs, Problem, declare
from coordination.siteprep.calculations.spans import Intervals, clear_of, nearest, reach_down, reach_up
from coordination.siteprep.calculations.values import Finding, Source, Value, feet, inches

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
CLEAR_ZONES = Source(
    "common practice, no source", "brackets off floor bands, sills and headers", "practice", "lift crew"
)

MOST_SPACING = {"limited use": feet(6), "private residence": feet(5)}
FIRST_OFFSET = feet(1)
LAST_OFFSET = feet(1)


@dataclass(frozen=True, kw_only=True)
class Zone(Inputs):
    """A stretch of wall where no bracket may sit, in elevation above the bottom landing's floor."""

    name: str = declare("text", 'what is there, such as "floor 2 band"')
    bottom: int = declare(
        "length", "its lower end above the bottom landing's finished floor (negative below)"
    )
    top: int = declare("length", "its upper end above the bottom landing's finished floor")

    def cross_check(self) -> Iterator[Problem]:
        if self.top <= self.bottom:
            yield Problem("top", "is not above bottom", "give the upper end of the zone")


@dataclass(frozen=True, kw_only=True)
class LandingZones(Inputs):
    """What must stay clear at one landing; depths left out or zero make no zone."""

    name: str = declare("text", "name of the landing")
    elevation: int = declare("length", "finished floor above the bottom landing's finished floor", low=0)
    floor_depth: int = declare("length", "floor band below the finished floor", default=0, low=0)
    sill_depth: int = declare("length", "sill zone below the finished floor", default=0, low=0)
    door_height: int = declare("length", "opening height, lower end of the header zone", default=0, low=0)
    header_depth: int = declare("length", "header zone above the opening", default=0, low=0)


@dataclass(frozen=True, kw_only=True)
class BracketInputs(Inputs):
    """Hoistway heights, spacing rule, zones to keep clear, and the approved drawing when there is one."""

    pit_depth: int = declare("length", "bottom landing's finished floor to pit floor", low=0, high=feet(20))
    travel: int = declare("length", "bottom to top landing's finished floor", low=0, high=feet(100))
    overhead: int = declare(
        "length", "top landing's finished floor to the lowest obstruction above", low=0, high=feet(40)
    )
    lift_class: str = declare(
        "choice", "class of lift, for the usual spacing", default="limited use", choices=tuple(MOST_SPACING)
    )
    max_spacing: int | None = declare(
        "length",
        "greatest spacing; without it the usual spacing of the class",
        unknown=True,
        low=inches(6),
        high=feet(16),
    )
    first_offset: int | None = declare(
        "length", "first bracket above the pit floor (1 ft if not given)", unknown=True, low=0
    )
    last_offset: int | None = declare(
        "length", "last bracket below the overhead obstruction (1 ft if not given)", unknown=True, low=0
    )
    bracket_height: int = declare(
        "length", "height of a bracket, kept clear of zones as a whole", default=0, low=0, high=feet(3)
    )
    keep_clear: tuple[Zone, ...] = declare(
        "record", "zones where no bracket may sit", default=(), many=True, of=Zone
    )
    landings: tuple[LandingZones, ...] = declare(
        "record", "landings with floor, sill and header zones", default=(), many=True, of=LandingZones
    )
    drawing_elevations: tuple[int, ...] = declare(
        "length",
        "bracket elevations above the pit floor on the approved drawing; they override",
        default=(),
        many=True,
        low=0,
    )
    drawing_revision: str | None = declare("text", "revision of that drawing", unknown=True)

    def cross_check(self) -> Iterator[Problem]:
        first, last = _ends(self)
        if last < first:
            yield Problem(
                "last_offset",
                "puts the last bracket below the first",
                "give offsets that fit into pit + travel + overhead",
            )
        if self.drawing_elevations and not self.drawing_revision:
            yield Problem("drawing_revision", "is missing", "name the revision of the approved drawing")
        if self.drawing_revision and not self.drawing_elevations:
            yield Problem("drawing_elevations", "is missing", "give the elevations printed on that revision")
        height = self.pit_depth + self.travel + self.overhead
        if any(elevation > height for elevation in self.drawing_elevations):
            yield Problem(
                "drawing_elevations",
                "lie above the hoistway",
                "give elevations above the pit floor, not above a landing",
            )
        if len(set(self.drawing_elevations)) < len(self.drawing_elevations):
            yield Problem("drawing_elevations", "name one elevation twice", "give each bracket once")


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
    return _result(inputs, placed, most, most.source, findings)


def _ends(inputs: BracketInputs) -> tuple[int, int]:
    first = FIRST_OFFSET if inputs.first_offset is None else inputs.first_offset
    last = LAST_OFFSET if inputs.last_offset is None else inputs.last_offset
    return first, inputs.pit_depth + inputs.travel + inputs.overhead - last


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
    first, last = _ends(inputs)
    height = inputs.pit_depth + inputs.travel + inputs.overhead
    free = clear_of((0, height), zones.values())
    start = _moved("first bracket", first, [(a, b) for a, b in free if a <= first], zones, findings)
    end = _moved("last bracket", last, [(a, b) for a, b in free if b >= last], zones, findings)
    if start is None or end is None:
        return []
    return _between((start, end), most, free, zones, findings)


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


def _between(
    ends: tuple[int, int],
    most: int,
    free: Intervals,
    zones: dict[str, tuple[int, int]],
    findings: list[Finding],
) -> list[int]:
    """Brackets between ``ends``; a stretch that cannot be spanned is a finding and is split there."""
    start, end = ends
    placed = [start]
    reach = start
    while reach < end:
        ahead = [b if b <= reach + most else reach + most for a, b in free if a <= reach + most and b > reach]
        if ahead:
            reach = min(max(ahead), end)
            continue
        beyond = min(a for a, b in free if a > reach)
        hit = {name: True for name, (low, high) in zones.items() if low < reach + most < high}
        findings.append(
            Finding(
                "bracket cannot be placed",
                "not met",
                CLEAR_ZONES,
                "",
                beyond - reach,
                most,
                "length",
                (),
                hit,
            )
        )
        placed += _equal(placed[-1], reach, most, free)[1:]
        placed.append(beyond)
        reach = beyond
    return placed + _equal(placed[-1], end, most, free)[1:]


def _equal(start: int, end: int, most: int, free: Intervals) -> list[int]:
    """Fewest brackets between two placed ones, then least greatest gap, then nearest to equal spaces."""
    if end <= start:
        return [start]
    gaps = _fewest_gaps(start, end, most, free)
    low, high = -(-(end - start) // gaps), most
    while low < high:
        middle = (low + high) // 2
        if _fewest_gaps(start, end, middle, free, limit=gaps) <= gaps:
            high = middle
        else:
            low = middle + 1
    up = reach_up(start, low, gaps, free)
    down = reach_down(end, low, gaps, free)
    placed = [start]
    for number in range(1, gaps):
        wanted = start + round(Fraction((end - start) * number, gaps))
        both = [
            (max(a, c, placed[-1] + 1), min(b, d, placed[-1] + low))
            for a, b in up[number]
            for c, d in down[gaps - number]
        ]
        spot = nearest(wanted, [(a, b) for a, b in both if a <= b])
        if spot is None:
            raise AssertionError("a reachable bracket has no place")
        placed.append(spot)
    return [*placed, end]


def _fewest_gaps(start: int, end: int, most: int, free: Intervals, limit: int = 10_000) -> int:
    gaps, reach = 0, start
    while reach < end:
        ahead = [min(b, reach + most) for a, b in free if a <= reach + most and b > reach]
        if not ahead or gaps >= limit:
            return limit + 1
        reach = max(ahead)
        gaps += 1
    return gaps


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
