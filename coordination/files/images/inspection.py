"""What a picture file says of itself, before it is stored."""

from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from PIL import Image

from coordination.files.images import exif
from coordination.files.images.containers import kind_of, picture_end
from coordination.files.images.hidden import refuse_another_file
from coordination.files.images.opening import MOST_BYTES, bytes_of, open_picture, orientation_of

MEDIA_TYPES = {"JPEG": "image/jpeg", "PNG": "image/png", "WEBP": "image/webp", "HEIC": "image/heic"}
TURNED = {5, 6, 7, 8}


@dataclass(frozen=True)
class ImageFacts:
    """Facts of a picture file, as the camera wrote them: claims, not proof.

    ``width`` and ``height`` are those of the upright picture in pixels; ``orientation`` is the EXIF value still to
    be applied to the stored pixels; ``taken_at`` is the camera's own clock without a zone, ``offset`` its distance
    from UTC where the camera noted it; ``gps`` is latitude and longitude in degrees, north and east positive;
    ``tail`` counts bytes behind the picture.
    """

    format: str
    media_type: str
    width: int
    height: int
    orientation: int
    taken_at: datetime | None
    offset: timedelta | None
    has_gps: bool
    gps: tuple[float, float] | None
    device: str
    tail: int


def inspect_image(source: Path | bytes, *, limit: int = MOST_BYTES) -> ImageFacts:
    """Look at a picture without decoding it, whatever its name says.

    Raises ImageRefused when it is none, is cut off, moves, is too large, or is also another file. Damage inside the
    picture data of a JPEG, WebP or HEIC shows only when its renditions are made.
    """
    data = bytes_of(source, limit)
    kind = kind_of(data)
    end = picture_end(kind, data)
    refuse_another_file(kind, data, end)
    with open_picture(data) as picture:
        return _facts(kind, picture, len(data) - end)


def _facts(kind: str, picture: Image.Image, tail: int) -> ImageFacts:
    orientation = orientation_of(picture)
    said = exif.read(picture)
    width, height = picture.size
    return ImageFacts(
        format=kind,
        media_type=MEDIA_TYPES[kind],
        width=height if orientation in TURNED else width,
        height=width if orientation in TURNED else height,
        orientation=orientation,
        taken_at=said.taken_at,
        offset=said.offset,
        has_gps=said.has_gps,
        gps=said.gps,
        device=said.device,
        tail=tail,
    )
