"""Keeps labels apart along one axis."""

from collections.abc import Sequence


def spread(
    wanted: Sequence[float], heights: Sequence[float], *, gap: float, low: float, high: float
) -> tuple[float, ...]:
    """Tops of blocks that want their centres at ``wanted`` (rising), moved as little as possible (least squares).

    No two blocks come nearer than ``gap`` and none leaves ``low``..``high`` unless together they are longer than
    that; then they begin at ``low`` and run past ``high``. The order is kept.

    Source: pool adjacent violators, M. Ayer et al. 1955, Annals of Mathematical Statistics 26(4), from memory.
    """
    offsets = []
    used = 0.0
    for height in heights:
        offsets.append(used)
        used += height + gap
    tops = [
        centre - height / 2 - offset for centre, height, offset in zip(wanted, heights, offsets, strict=True)
    ]
    ceiling = max(low, high - (used - gap))
    return tuple(
        min(max(base, low), ceiling) + offset for base, offset in zip(_isotonic(tops), offsets, strict=True)
    )


def _isotonic(values: Sequence[float]) -> list[float]:
    """The nearest non-decreasing sequence in the sense of least squares."""
    pools: list[tuple[float, int]] = []
    for value in values:
        mean, count = value, 1
        while pools and pools[-1][0] > mean:
            other, size = pools.pop()
            mean, count = (mean * count + other * size) / (count + size), count + size
        pools.append((mean, count))
    return [mean for mean, count in pools for _ in range(count)]


def clear_spot(
    wanted: float, half: float, taken: Sequence[tuple[float, float]], *, low: float, high: float
) -> float:
    """The centre nearest to ``wanted`` at which a block of half-height ``half`` touches no ``taken`` interval.

    Searches ``low``..``high`` (limits of the centre); where nothing is free, ``wanted`` itself, held inside.
    """
    inside = min(max(wanted, low), high)
    candidates = [inside, low, high]
    candidates += [end + half for _, end in taken] + [start - half for start, _ in taken]
    free = [
        centre
        for centre in candidates
        if low <= centre <= high
        and all(centre + half <= start or centre - half >= end for start, end in taken)
    ]
    return min(free, key=lambda centre: (abs(centre - wanted), centre), default=inside)
