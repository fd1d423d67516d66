"""Photographs of a building site that no camera took: drawn by code for the demo and the tests.

They look like photographs (perspective, lamps, soft shadows, grain), carry the EXIF of a phone that does not exist, and
are the same bytes for the same arguments.
"""

import io
from collections.abc import Callable
from datetime import datetime
from functools import lru_cache
from typing import Final, Literal

import numpy as np
from PIL import Image, ImageDraw, ImageFilter
from PIL.TiffImagePlugin import IFDRational

from coordination.console.demo import photo_closeups as near
from coordination.console.demo import photo_scenes as far
from coordination.console.demo.photo_camera import developed

Format = Literal["JPEG", "PNG", "WEBP", "HEIC"]

SCENES: Final[dict[str, Callable[[np.random.Generator, tuple[int, int]], Image.Image]]] = {
    "framing": far.framing,
    "pit": far.pit,
    "machine room": far.machine_room,
    "receptacle": near.receptacle,
    "board": far.board,
    "door frame": far.door_frame,
    "smoke detector": near.smoke_detector,
    "rail": near.rail,
    "guard": far.guard,
    "document": near.document,
}
VIEWS: Final = tuple(SCENES)
MAKE: Final = "Invented Optics"
MODEL: Final = "Demo Box 12 (drawn by code)"
TWELVE_MEGAPIXELS: Final = (4032, 3024)
_WORKING: Final = 1600  # long edge at which scenes are painted; grain is added at full size

_TURNS: Final[dict[int, Image.Transpose | None]] = {
    1: None,
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_90,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_270,
}
_WORDS: Final = (
    ("smoke detector", ("smoke", "heat", "detector", "alarm", "recall", "sprinkler")),
    ("receptacle", ("receptacle", "gfci", "outlet", "light")),
    (
        "machine room",
        ("machine", "disconnect", "controller", "extinguisher", "electrical", "power", "conduit", "room"),
    ),
    ("guard", ("guard", "barrier", "opening-guard", "toe")),
    ("door frame", ("door", "sill", "lintel", "benchmark")),
    ("rail", ("plumb", "bracket-installed", "rails")),
    (
        "framing",
        ("framing", "backing", "block", "bracket", "stud", "survey", "hoistway", "wall-open", "rail"),
    ),
    ("board", ("board", "drywall", "close", "seal", "firestop", "rated")),
    ("door frame", ("landing", "floor", "opening", "frame")),
    ("pit", ("pit", "sump", "plate", "pour", "concrete", "excavat", "rebar", "ladder")),
    ("document", ("ticket", "card", "report", "permit", "letter", "document", "drawing", "result")),
)


def view_for(words: str) -> str:
    """The scene that suits a requirement's key or text; the framed rail wall where no word is known."""
    low = words.lower()
    return next((view for view, known in _WORDS if any(word in low for word in known)), "framing")


def draw_photo(
    view: str,
    *,
    seed: int,
    taken_at: datetime,
    size: tuple[int, int] = TWELVE_MEGAPIXELS,
    orientation: int = 1,
    fmt: Format = "JPEG",
    spoiled: bool = False,
    gps: tuple[float, float] | None = None,
) -> bytes:
    """A photograph of ``view`` as the bytes of a file.

    ``size`` is the stored width and height in pixels; ``orientation`` the EXIF value (1 to 8) by which a viewer turns
    it upright. ``taken_at`` needs a zone: local time and offset are written. ``spoiled`` is shaken and far too dark.
    ``gps`` is (latitude, longitude) in degrees. Raises ValueError naming the argument and what would be right.
    """
    _check(view, taken_at, fmt, gps)
    _check_shape(size, orientation)
    turned = orientation >= 5
    upright = (size[1], size[0]) if turned else size
    strength = 7.5 if spoiled else 1.8 if fmt == "HEIC" else 3.4  # grain costs the HEIC encoder seconds
    scene = _scene(view, seed, upright, spoiled).resize(upright, Image.Resampling.BICUBIC)
    picture = _grain(scene, seed, strength)
    turn = _TURNS[orientation]
    return _file(picture if turn is None else picture.transpose(turn), fmt, _exif(taken_at, orientation, gps))


def _check(view: str, taken_at: datetime, fmt: str, gps: tuple[float, float] | None) -> None:
    if view not in SCENES:
        raise ValueError(f"view: {view!r} is not known; one of {', '.join(VIEWS)}")
    if taken_at.utcoffset() is None:
        raise ValueError("taken_at: needs a time zone")
    if fmt not in ("JPEG", "PNG", "WEBP", "HEIC"):
        raise ValueError(f"fmt: {fmt!r} is not known; one of JPEG, PNG, WEBP, HEIC")
    if gps and not (-90 <= gps[0] <= 90 and -180 <= gps[1] <= 180):
        raise ValueError("gps: latitude -90 to 90, longitude -180 to 180")


def _check_shape(size: tuple[int, int], orientation: int) -> None:
    if min(size) < 16 or max(size) > 12_000:
        raise ValueError("size: each side must be 16 to 12000 pixels")
    if orientation not in _TURNS:
        raise ValueError("orientation: must be 1 to 8")


def _scene(view: str, seed: int, upright: tuple[int, int], spoiled: bool) -> Image.Image:
    """The picture at working size, developed, and shaken when spoiled."""
    scale = min(1.0, _WORKING / max(upright))
    small = (max(16, round(upright[0] * scale)), max(16, round(upright[1] * scale)))
    rng = np.random.default_rng([seed, *view.encode()])
    picture = SCENES[view](rng, small)
    exposure = 0.24 if spoiled else 0.92 + 0.2 * rng.random()
    picture = developed(picture, rng, warmth=0.06 * (rng.random() * 2 - 0.7), exposure=exposure)
    return _shaken(picture, rng) if spoiled else picture.filter(ImageFilter.GaussianBlur(0.45))


def _shaken(picture: Image.Image, rng: np.random.Generator) -> Image.Image:
    """Motion during the exposure, out of focus, and a finger at the edge of the lens."""
    width, height = picture.size
    steps, angle = 14, rng.random() * np.pi
    reach = width * 0.03
    total = np.zeros((height, width, 3), np.float32)
    for step in np.linspace(-0.5, 0.5, steps):
        dx, dy = round(float(np.cos(angle)) * reach * step), round(float(np.sin(angle)) * reach * step)
        total += np.asarray(
            picture.transform(
                picture.size, Image.Transform.AFFINE, (1, 0, dx, 0, 1, dy), fillcolor=(8, 8, 9)
            ),
            np.float32,
        )
    blurred = Image.fromarray((total / steps).astype(np.uint8)).filter(ImageFilter.GaussianBlur(width / 260))
    finger = Image.new("L", (width // 4, height // 4), 0)
    ImageDraw.Draw(finger).ellipse(
        (width // 4 * 0.78, -height * 0.08, width // 4 * 1.3, height * 0.09), fill=235
    )
    soft = finger.filter(ImageFilter.GaussianBlur(width / 90)).resize(picture.size, Image.Resampling.BILINEAR)
    blurred.paste((58, 28, 22), (0, 0), soft)
    return blurred


@lru_cache(maxsize=2)
def _noise(seed: int) -> np.ndarray:
    """A tile of sensor noise, brightness and a little colour."""
    rng = np.random.default_rng([seed, 77])
    luma = rng.standard_normal((512, 512, 1), np.float32)
    colour = rng.standard_normal((256, 256, 3), np.float32).repeat(2, 0).repeat(2, 1)
    return luma + 0.5 * colour


def _grain(picture: Image.Image, seed: int, strength: float) -> Image.Image:
    """Sensor noise at full size; ``strength`` is its spread in steps of 255."""
    pixels = np.asarray(picture)
    tile = np.rint(_noise(seed % 16) * strength).astype(np.int16)
    height, width = pixels.shape[:2]
    out = np.empty_like(pixels)
    for top in range(0, height, 512):
        band = pixels[top : top + 512].astype(np.int16)
        shift = (top * 7 + seed * 31) % 512
        noise = np.roll(tile, shift, axis=1)[: band.shape[0]]
        repeats = -(-width // 512)
        band += np.concatenate([noise] * repeats, axis=1)[:, :width]
        out[top : top + 512] = np.clip(band, 0, 255, out=band)
    return Image.fromarray(out)


def _exif(taken_at: datetime, orientation: int, gps: tuple[float, float] | None) -> Image.Exif:
    """Date, time and offset as a phone writes them (Exif 2.32, tags 0x9003 and 0x9011); the maker is invented."""
    local = taken_at.strftime("%Y:%m:%d %H:%M:%S")
    raw = taken_at.strftime("%z")
    offset = f"{raw[:3]}:{raw[3:5]}"
    exif = Image.Exif()
    exif[0x010F], exif[0x0110], exif[0x0112], exif[0x0132] = MAKE, MODEL, orientation, local
    details = exif.get_ifd(0x8769)
    details[0x9003] = details[0x9004] = local
    details[0x9010] = details[0x9011] = details[0x9012] = offset
    details[0x829A], details[0x829D], details[0x8827], details[0x920A] = (
        IFDRational(1, 60),
        IFDRational(18, 10),
        400,
        IFDRational(42, 10),
    )
    if gps:
        place = exif.get_ifd(0x8825)
        place[1], place[2] = "N" if gps[0] >= 0 else "S", _degrees(gps[0])
        place[3], place[4] = "E" if gps[1] >= 0 else "W", _degrees(gps[1])
    return exif


def _degrees(value: float) -> tuple[IFDRational, IFDRational, IFDRational]:
    hundredths = round(abs(value) * 360_000)
    minutes, seconds = divmod(hundredths, 6000)
    return IFDRational(minutes // 60), IFDRational(minutes % 60), IFDRational(seconds, 100)


def _file(picture: Image.Image, fmt: Format, exif: Image.Exif) -> bytes:
    target = io.BytesIO()
    match fmt:
        case "JPEG":
            picture.save(target, "JPEG", quality=88, exif=exif)
        case "PNG":
            picture.save(target, "PNG", compress_level=1, exif=exif)
        case "WEBP":
            picture.save(target, "WEBP", quality=80, method=0, exif=exif)
        case "HEIC":
            from pillow_heif import from_pillow

            from_pillow(picture).save(
                target, quality=50, exif=exif.tobytes(), enc_params={"preset": "ultrafast"}
            )
    return target.getvalue()
