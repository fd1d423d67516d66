"""What a picture shows, in 64 bits, and how far two such likenesses may differ.

The likeness holds the signs of 64 cosines: those that change least across the picture, its mean left out. Packing,
resizing and another exposure hardly turn a sign; another scene turns about every second one.
"""

from functools import lru_cache

import numpy as np
from PIL import Image

BITS = 64
# Where a lower limit misses more and a higher one calls other scenes alike: measured, see docs/photo-hints.md.
ALIKE_UP_TO = 7
# Grey levels: below that, the signs are those of rounding, and every blank wall would be like every other.
LEAST_CONTRAST = 2.0
_SIDE = 32


def likeness(upright: Image.Image) -> int | None:
    """The 64 bits of a grey picture, as an unsigned number; the slowest wave is the highest bit.

    None for a picture that shows next to nothing: it is like no other.
    """
    small = np.asarray(upright.resize((_SIDE, _SIDE), Image.Resampling.BOX), dtype=np.float64)
    if small.std() < LEAST_CONTRAST:
        return None
    waves = _cosines() @ small @ _cosines().T
    return int("".join("1" if waves[place] > 0 else "0" for place in _slowest()), 2)


def distance(one: int, other: int) -> int:
    """In how many of 64 bits two likenesses differ; up to ALIKE_UP_TO the pictures may show the same."""
    return (one ^ other).bit_count()


@lru_cache(maxsize=1)
def _cosines() -> np.ndarray:
    """Row k is a cosine of k half waves, sampled at the middle of each of 32 places (the discrete cosine transform)."""
    places = (np.arange(_SIDE) + 0.5) * np.pi / _SIDE
    return np.cos(np.outer(np.arange(_SIDE), places))


@lru_cache(maxsize=1)
def _slowest() -> tuple[tuple[int, int], ...]:
    """The 64 waves nearest to standing still, by their length and then by their place."""
    every = [(down, across) for down in range(16) for across in range(16) if down or across]
    return tuple(sorted(every, key=lambda wave: (wave[0] ** 2 + wave[1] ** 2, wave))[:BITS])
