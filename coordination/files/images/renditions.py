"""Smaller copies of a picture that may be shown to anybody: upright, in sRGB, with nothing but pixels in them."""

import io
from collections.abc import Iterable
from pathlib import Path

from PIL import Image, ImageCms

from coordination.files.images.bands import heic_shrunk, shrunk
from coordination.files.images.opening import (
    UNREADABLE,
    bytes_of,
    decode,
    open_picture,
    orientation_of,
)

SIZES = (1600, 320)
QUALITY = 85
UPRIGHT = {
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_270,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_90,
}
SIXTEEN_BITS = {"I", "I;16", "I;16B", "I;16L"}


def make_renditions(source: Path | bytes, sizes: Iterable[int] = SIZES) -> dict[int, bytes]:
    """JPEG copies whose longer side is at most each of ``sizes`` pixels; none is larger than the original.

    No EXIF, position, comment or thumbnail is carried over; colours are converted to sRGB, because what reads no
    profile (a PDF's DeviceRGB among others) would show them wrong; transparent parts become white.
    Raises ImageRefused. One decoding serves all sizes.
    """
    largest_first = sorted(set(sizes), reverse=True)
    copies = {}
    copy, profile, orientation = _largest(bytes_of(source), largest_first[0])
    copy = _upright(_plain(_in_srgb(copy, profile)), orientation)
    for size in largest_first:
        copy = shrunk(copy, _fitting(copy.size, size))
        copies[size] = _jpeg(copy)
    return copies


def _largest(data: bytes, longest: int) -> tuple[Image.Image, bytes | None, int]:
    """The largest copy as it lies in the file, its colour profile, and the orientation still to be applied."""
    with open_picture(data) as picture:
        orientation, profile, size = orientation_of(picture), picture.info.get("icc_profile"), picture.size
        if in_bands := picture.format == "HEIF" and picture.mode == "RGB":
            del picture  # it holds the file's bytes a second time
        else:
            whole = _decoded(picture, longest)
            copy = shrunk(whole, _fitting(whole.size, longest))
    return heic_shrunk(data, _fitting(size, longest)) if in_bands else copy, profile, orientation


def _decoded(picture: Image.Image, size: int) -> Image.Image:
    """The pixels, of a JPEG already reduced by 2, 4 or 8 where that leaves enough of them."""
    if picture.format == "JPEG":
        picture.draft(None, _fitting(picture.size, size))
    decode(picture)
    if picture.mode in SIXTEEN_BITS:
        return picture.point(lambda value: value * (1 / 256)).convert("L")
    if picture.mode in {"P", "PA", "1"} or "transparency" in picture.info:
        return picture.convert("RGBA")
    return picture


def _fitting(size: tuple[int, int], longest: int) -> tuple[int, int]:
    scale = min(1.0, longest / max(size))
    return max(1, round(size[0] * scale)), max(1, round(size[1] * scale))


def _in_srgb(picture: Image.Image, profile: bytes | None) -> Image.Image:
    """``picture`` in sRGB where its profile can be read; a broken profile counts as none."""
    if not profile or picture.mode not in {"RGB", "RGBA", "CMYK", "L"}:
        return picture
    wanted = "RGBA" if picture.mode == "RGBA" else "RGB"
    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        return ImageCms.profileToProfile(
            picture, source, ImageCms.createProfile("sRGB"), ImageCms.Intent.RELATIVE_COLORIMETRIC, wanted
        )
    except (ImageCms.PyCMSError, *UNREADABLE):
        return picture


def _plain(picture: Image.Image) -> Image.Image:
    """Three colours, nothing transparent, and none of the notes that Pillow would write out again."""
    if picture.mode in {"RGBA", "LA", "RGBa", "La"}:
        picture = picture.convert("RGBA")
        ground = Image.new("RGB", picture.size, "white")
        ground.paste(picture, mask=picture.getchannel("A"))
        return ground
    copy = picture.convert("RGB") if picture.mode != "RGB" else picture.copy()
    copy.info = {}
    return copy


def _upright(picture: Image.Image, orientation: int) -> Image.Image:
    return picture.transpose(UPRIGHT[orientation]) if orientation in UPRIGHT else picture


def _jpeg(picture: Image.Image) -> bytes:
    file = io.BytesIO()
    picture.save(file, "JPEG", quality=QUALITY, comment=b"")
    return file.getvalue()
