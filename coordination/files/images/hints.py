"""How good a picture looks, in numbers, and what it is like: hints for a person, never a refusal.

The limits and how often they err stand in docs/photo-hints.md; ``tests/files/photo_series.py`` measures them.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image

from coordination.files.images.likeness import likeness
from coordination.files.images.opening import bytes_of, decode, open_picture, orientation_of
from coordination.files.images.renditions import UPRIGHT

MEASURED_AT = 1024
TILE = 128
LEAST_TILE = 16
BLURRED_UNDER = 8.0
# Second differences of grain of one grey level have that variance: more is taken for something that is there.
GRAIN_UP_TO = 6.0
FLAT_UNDER = 1 / 4
DARK_UNDER = 40.0
SHORT_SIDE_UNDER = 720
LIGHT_PIXELS = 25_000_000
# Variance of the grey, of its second differences across and down.
Contrasts = tuple[float, float, float]


@dataclass(frozen=True)
class Measures:
    """``sharpness``: how much of the light's change happens from one pixel to the next, per mille, measured on a grey
    copy of 1024 px in the quarter of its tiles (128 px) with most contrast: variance of the second differences, what
    the flattest tile has of it left out as grain, over variance of the grey, in whichever of the two directions it is
    less, because a hand that shakes blurs along one; ``brightness``: mean grey, 0 to 255; ``short_side``: of what was
    measured, pixels; ``likeness``: what it shows, in 64 bits, as an unsigned number; None where it shows next to
    nothing.

    Over the variance of the grey, because differences alone call every dim picture blurred.
    """

    sharpness: float
    brightness: float
    short_side: int
    likeness: int | None


def measure(source: Path | bytes) -> Measures:
    """Measure a picture, an original or its rendition. Raises ImageRefused."""
    with open_picture(bytes_of(source)) as picture:
        short_side, orientation = min(picture.size), orientation_of(picture)
        grey = _grey(picture)
    values = np.asarray(grey, dtype=np.int16)
    upright = grey.transpose(UPRIGHT[orientation]) if orientation in UPRIGHT else grey
    return Measures(_sharpness(values), float(values.mean()), short_side, likeness(upright))


def concerns(measures: Measures) -> tuple[str, ...]:
    """Which of ``"blurred"``, ``"dark"``, ``"small"`` a person should be told of."""
    found = {
        "blurred": measures.sharpness < BLURRED_UNDER,
        "dark": measures.brightness < DARK_UNDER,
        "small": measures.short_side < SHORT_SIDE_UNDER,
    }
    return tuple(word for word, applies in found.items() if applies)


def measured_lightly(source: Path | bytes) -> bool:
    """Whether measuring takes little memory: at most 25 megapixels, or a JPEG that is decoded to a smaller size.

    A progressive JPEG is decoded whole, whatever size is asked for. Raises ImageRefused.
    """
    with open_picture(bytes_of(source)) as picture:
        small = picture.width * picture.height <= LIGHT_PIXELS
        return small or (picture.format == "JPEG" and "progressive" not in picture.info)


def _grey(picture: Image.Image) -> Image.Image:
    if picture.format == "JPEG":
        scale = min(1.0, MEASURED_AT / max(picture.size))
        picture.draft("L", (max(1, round(picture.width * scale)), max(1, round(picture.height * scale))))
    decode(picture)
    grey = picture.convert("L")
    grey.thumbnail((MEASURED_AT, MEASURED_AT), Image.Resampling.LANCZOS, reducing_gap=2.0)
    return grey


def _sharpness(values: np.ndarray) -> float:
    tiles = sorted((_contrasts(tile) for tile in _tiles(values)), reverse=True)
    best = tiles[: max(1, len(tiles) // 4)]
    grey = sum(tile[0] for tile in best)
    if not grey:
        return 0.0
    flat = [tile for tile in tiles if tile[0] < FLAT_UNDER * grey / len(best)]
    return 1000 * min(_changes(best, flat, direction) for direction in (1, 2)) / grey


def _changes(best: Sequence[Contrasts], flat: Sequence[Contrasts], direction: int) -> float:
    """The second differences of ``best`` in one direction, without the grain that ``flat`` tiles show."""
    grain = min([GRAIN_UP_TO, *(tile[direction] for tile in flat)]) if flat else 0.0
    return sum(max(0.0, tile[direction] - grain) for tile in best)


def _tiles(values: np.ndarray) -> Iterator[np.ndarray]:
    rows, columns = values.shape
    for top in range(0, rows, TILE):
        for left in range(0, columns, TILE):
            tile = values[top : top + TILE, left : left + TILE]
            if min(tile.shape) >= LEAST_TILE:
                yield tile


def _contrasts(tile: np.ndarray) -> Contrasts:
    across = 2 * tile[:, 1:-1] - tile[:, :-2] - tile[:, 2:]
    down = 2 * tile[1:-1] - tile[:-2] - tile[2:]
    return float(tile.var()), float(across.var()), float(down.var())
