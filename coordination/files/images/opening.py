"""Open a picture with exactly the decoder its bytes call for, within the limits."""

import contextlib
import io
import struct
import threading
import warnings
from collections.abc import Iterator
from pathlib import Path

from PIL import Image, ImageFile, JpegImagePlugin, PngImagePlugin, WebPImagePlugin

from coordination.files.images.containers import kind_of, picture_end
from coordination.files.images.pieces import refuse_large_pieces
from coordination.files.images.refusals import ImageRefused

MOST_BYTES = 50_000_000
MOST_PIXELS = 100_000_000
# What the decoders were seen to raise on mangled files.
UNREADABLE = (
    OSError, SyntaxError, ValueError, TypeError, LookupError, EOFError, RuntimeError, ArithmeticError,
    AttributeError, struct.error, MemoryError,
)  # fmt: skip
_FILTERS = threading.RLock()


@contextlib.contextmanager
def unwarned() -> Iterator[None]:
    """Without Pillow's warnings on broken tags, which are no news: such a tag is simply not there.

    The lock is needed because filters belong to the whole process and threads take pictures in at once.
    """
    with _FILTERS, warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


def bytes_of(source: Path | bytes, limit: int = MOST_BYTES) -> bytes:
    """The whole file. Raises ImageRefused before reading more than ``limit`` bytes."""
    size = len(source) if isinstance(source, bytes) else source.stat().st_size
    if size > limit:
        raise ImageRefused("too many bytes", limit=limit)
    return source if isinstance(source, bytes) else source.read_bytes()


def open_picture(data: bytes) -> ImageFile.ImageFile:
    """The picture with its header read and nothing decoded.

    The decoder's class is called directly: no other of Pillow's many decoders ever sees these bytes.
    Raises ImageRefused, also for a picture that is cut off, and for one packed so that its decoder would give up.
    """
    kind = kind_of(data)
    picture_end(kind, data)
    if kind == "HEIC":
        refuse_large_pieces(data)
    opener = _openers()[kind]
    try:
        with unwarned():
            picture = opener(io.BytesIO(data))
    except Image.DecompressionBombError as error:  # a decoder that looks at the size before we can
        raise ImageRefused("too many pixels", limit=MOST_PIXELS) from error
    except UNREADABLE as error:
        raise ImageRefused("damaged") from error
    if picture.width * picture.height > MOST_PIXELS:
        raise ImageRefused("too many pixels", limit=MOST_PIXELS)
    return picture


def decode(picture: Image.Image) -> None:
    """Read the pixels. Raises ImageRefused."""
    # A library that makes PDFs sets this for the whole process when it is loaded; half a photo is no photo.
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    with readable():
        picture.load()


@contextlib.contextmanager
def readable() -> Iterator[None]:
    """What a decoder raises on broken pixels, as ImageRefused."""
    try:
        yield
    except UNREADABLE as error:
        raise ImageRefused("truncated" if "truncated" in str(error) else "damaged") from error


def orientation_of(picture: Image.Image) -> int:
    """EXIF orientation still to be applied to the pixels, 1 to 8 (1: none).

    A HEIC picture is turned by its decoder from the container's own rotation, which its standard puts above EXIF
    (ISO/IEC 23008-12); turning it again would lay it on its side.
    """
    if picture.format == "HEIF":
        return 1
    try:
        with unwarned():
            found = picture.getexif().get(0x0112)
    except UNREADABLE:
        return 1
    return found if found in range(1, 9) else 1


def _openers() -> dict[str, type[ImageFile.ImageFile]]:
    from pillow_heif import HeifImageFile  # loads a large library: not before a picture comes

    return {
        "JPEG": JpegImagePlugin.JpegImageFile,
        "PNG": PngImagePlugin.PngImageFile,
        "WEBP": WebPImagePlugin.WebPImageFile,
        "HEIC": HeifImageFile,
    }
