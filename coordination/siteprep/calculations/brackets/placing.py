"""Where brackets go between two fixed ones: fewest, then equal, always clear of the zones. Nanometres."""

from fractions import Fraction

from coordination.siteprep.calculations.spans import Intervals, nearest, reach_down, reach_up
from coordination.siteprep.calculations.values import Finding, Source

CLEAR_ZONES = Source(
    "common practice, no source", "brackets off floor bands, sills and headers", "practice", "lift crew"
)


def between(
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
        placed += equal(placed[-1], reach, most, free)[1:]
        placed.append(beyond)
        reach = beyond
    return placed + equal(placed[-1], end, most, free)[1:]


def equal(start: int, end: int, most: int, free: Intervals) -> list[int]:
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
