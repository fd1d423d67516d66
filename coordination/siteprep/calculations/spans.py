"""Sets of whole-number positions as sorted closed intervals; used to keep brackets and joints clear."""

from collections.abc import Iterable, Sequence

Intervals = Sequence[tuple[int, int]]


def clear_of(whole: tuple[int, int], zones: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """Closed intervals of ``whole`` outside every open interval of ``zones`` (a zone's ends are clear)."""
    start, end = whole
    free = []
    for low, high in sorted(zones):
        if high <= low:
            continue
        if low >= start:
            free.append((start, min(low, end)))
        start = max(start, high)
        if start > end:
            break
    if start <= end:
        free.append((start, end))
    return [(a, b) for a, b in free if a <= b]


def nearest(wanted: int, intervals: Intervals) -> int | None:
    """The position of ``intervals`` nearest to ``wanted`` (the lower of two), None when there is none."""
    spots = [min(max(wanted, a), b) for a, b in intervals if a <= b]
    return min(spots, key=lambda spot: (abs(spot - wanted), spot), default=None)


def merged(intervals: Iterable[tuple[int, int]]) -> list[tuple[int, int]]:
    """The same positions as disjoint sorted intervals."""
    result: list[tuple[int, int]] = []
    for a, b in sorted(pair for pair in intervals if pair[0] <= pair[1]):
        if result and a <= result[-1][1] + 1:
            result[-1] = (result[-1][0], max(b, result[-1][1]))
        else:
            result.append((a, b))
    return result


def reach_up(start: int, most: int, steps: int, free: Intervals) -> list[list[tuple[int, int]]]:
    """For 0..``steps``: positions of ``free`` reached upward from ``start`` in so many steps, none over ``most``."""
    reached = [[(start, start)]]
    for _ in range(steps):
        ahead = [(a + 1, b + most) for a, b in reached[-1]]
        reached.append(_shared(ahead, free))
    return reached


def reach_down(end: int, most: int, steps: int, free: Intervals) -> list[list[tuple[int, int]]]:
    """For 0..``steps``: the positions of ``free`` from which ``end`` is reached in that many steps."""
    reached = [[(end, end)]]
    for _ in range(steps):
        behind = [(a - most, b - 1) for a, b in reached[-1]]
        reached.append(_shared(behind, free))
    return reached


def _shared(one: Intervals, other: Intervals) -> list[tuple[int, int]]:
    return merged((max(a, c), min(b, d)) for a, b in one for c, d in other)
