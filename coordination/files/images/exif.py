"""Time, place and device from EXIF (CIPA DC-008). What is missing or makes no sense is simply not there."""

import re
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from PIL import Image

from coordination.files.images.opening import UNREADABLE, unwarned

MAKE, MODEL = 0x010F, 0x0110
CAMERA, POSITION = 0x8769, 0x8825
# Original first, digitised second; 0x0132 is the time of the last change and says nothing of the taking.
TAKEN = ((0x9003, 0x9011), (0x9004, 0x9012))
OFFSET = re.compile(r"([+-])(\d\d):(\d\d)")


@dataclass(frozen=True)
class Said:
    taken_at: datetime | None
    offset: timedelta | None
    has_gps: bool
    gps: tuple[float, float] | None
    device: str


def read(picture: Image.Image) -> Said:
    """What the camera wrote into ``picture``."""
    with unwarned():
        camera, position, device = (
            _directory(picture, CAMERA),
            _directory(picture, POSITION),
            _device(picture),
        )
    taken_at, offset = _taken(camera)
    return Said(taken_at, offset, bool(position), _degrees(position), device)


def _directory(picture: Image.Image, tag: int) -> dict[int, Any]:
    try:
        return dict(picture.getexif().get_ifd(tag))
    except UNREADABLE:
        return {}


def _taken(camera: dict[int, Any]) -> tuple[datetime | None, timedelta | None]:
    for time_tag, offset_tag in TAKEN:
        try:
            # The camera's wall clock: EXIF has no zone here.
            at = datetime.strptime(_text(camera.get(time_tag)), "%Y:%m:%d %H:%M:%S")  # noqa: DTZ007
        except ValueError:
            continue
        return at, _offset(_text(camera.get(offset_tag)))
    return None, None


def _offset(text: str) -> timedelta | None:
    if not (found := OFFSET.fullmatch(text)):
        return None
    sign, hours, minutes = found.groups()
    distance = timedelta(hours=int(hours), minutes=int(minutes))
    if distance > timedelta(hours=14):
        return None
    return -distance if sign == "-" else distance


def _degrees(position: dict[int, Any]) -> tuple[float, float] | None:
    try:
        latitude = _angle(position[2]) * {"N": 1, "S": -1}[_text(position[1])]
        longitude = _angle(position[4]) * {"E": 1, "W": -1}[_text(position[3])]
    except UNREADABLE:
        return None
    # Also refuses "not a number", which compares false.
    return (latitude, longitude) if abs(latitude) <= 90 and abs(longitude) <= 180 else None


def _angle(parts: Any) -> float:
    degrees, minutes, seconds = (float(part) for part in parts)
    return round(degrees + minutes / 60 + seconds / 3600, 7)


def _device(picture: Image.Image) -> str:
    try:
        exif = picture.getexif()
        make, model = _text(exif.get(MAKE)), _text(exif.get(MODEL))
    except UNREADABLE:
        return ""
    return (model if model.casefold().startswith(make.casefold()) else f"{make} {model}".strip())[:100]


def _text(value: Any) -> str:
    """Printable text, whatever the tag held."""
    text = value.decode("ascii", "replace") if isinstance(value, bytes) else value
    if not isinstance(text, str):
        return ""
    return "".join(letter for letter in text if letter.isprintable()).strip()
