"""How good a picture looks, in numbers, and whether it looks like another: hints for a person, never a refusal."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image

from coordination.files.images.opening import bytes_of, decode, open_picture, orientation_of
from coordination.files.images.renditions import UPRIGHT

MEASURED_AT = 1024
TILE = 128
BLURRED_UNDER = 60.0
DARK_UNDER = 40.0
SHORT_SIDE_UNDER = 720
ALIKE_UP_TO = 8


@dataclass(frozen=True)
class Measures:
    """``sharpness``: 90th percentile, over tiles of 128 px, of the variance of the 4-neighbour Laplacian on a grey copy
    of 1024 px; ``brightness``: mean grey, 0 to 255; ``short_side``: of the original, pixels; ``likeness``: 64-bit
    difference hash, as an unsigned number.
    """

    sharpness: float
    brightness: float
    short_side: int
    likeness: int


def measure(source: Path | bytes) -> Measures:
    """Measure a picture, an original or its rendition. Raises ImageRefused."""
    with open_picture(bytes_of(source)) as picture:
        short_side, orientation = min(picture.size), orientation_of(picture)
        grey = _grey(picture)
    values = np.asarray(grey, dtype=np.int16)
    upright = grey.transpose(UPRIGHT[orientation]) if orientation in UPRIGHT else grey
    return Measures(_sharpness(values), float(values.mean()), short_side, _likeness(upright))


def concerns(measures: Measures) -> tuple[str, ...]:
    """Which of ``"blurred"``, ``"dark"``, ``"small"`` a person should be told of."""
    found = {
        "blurred": measures.sharpness < BLURRED_UNDER,
        "dark": measures.brightness < DARK_UNDER,
        "small": measures.short_side < SHORT_SIDE_UNDER,
    }
    return tuple(word for word, applies in found.items() if applies)


def distance(one: int, other: int) -> int:
    """In how many of 64 bits two likenesses differ; up to ALIKE_UP_TO the pictures may show the same."""
    return (one ^ other).bit_count()


def _grey(picture: Image.Image) -> Image.Image:
    if picture.format == "JPEG":
        scale = min(1.0, MEASURED_AT / max(picture.size))
        picture.draft("L", (max(1, round(picture.width * scale)), max(1, round(picture.height * scale))))
    decode(picture)
    grey = picture.convert("L")
    grey.thumbnail((MEASURED_AT, MEASURED_AT), Image.Resampling.LANCZOS, reducing_gap=2.0)
    return grey


def _sharpness(values: np.ndarray) -> float:
    if min(values.shape) < 3:
        return 0.0
    laplacian = (
        4 * values[1:-1, 1:-1] - values[:-2, 1:-1] - values[2:, 1:-1] - values[1:-1, :-2] - values[1:-1, 2:]
    )
    rows, columns = laplacian.shape
    tiles = [
        float(laplacian[top : top + TILE, left : left + TILE].var())
        for top in range(0, rows, TILE)
        for left in range(0, columns, TILE)
    ]
    return float(np.percentile(tiles, 90))


def _likeness(grey: Image.Image) -> int:
    """One bit for each of 8 x 8 places: is the right-hand neighbour brighter?"""
    small = np.asarray(grey.resize((9, 8), Image.Resampling.BOX), dtype=np.int16)
    bits = (small[:, 1:] > small[:, :-1]).flatten()
    return int("".join("1" if bit else "0" for bit in bits), 2)
