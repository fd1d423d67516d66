"""Real picture files, made by programs that share no code with the reader under test."""

import functools
import io
import shutil
import subprocess
import uuid
from collections.abc import Callable
from pathlib import Path

import pytest

CAMERA = {
    "Make": "Plainview",
    "Model": "Handy 3",
    "DateTimeOriginal": "2026:03:09 14:05:06",
    "OffsetTimeOriginal": "-05:00",
    "GPSLatitude": "41.5",
    "GPSLatitudeRef": "N",
    "GPSLongitude": "81.25",
    "GPSLongitudeRef": "W",
}


def run(*command: str | Path) -> str:
    return subprocess.run([str(word) for word in command], capture_output=True, text=True, check=True).stdout


@functools.cache
def drawing(folder: Path, kind: str, size: str, *more: str) -> Path:
    """Draw once for the whole run: starting the program is what takes the time."""
    width, height = (int(part) for part in size.split("x"))
    half = f"{width // 2}x{height // 2}!"
    path = folder / f"{uuid.uuid4().hex}.{kind}"
    quarters = ["(", "xc:red", "xc:lime", "-resize", half, "+append", ")"]
    quarters += ["(", "xc:white", "xc:blue", "-resize", half, "+append", ")"]
    run("convert", *quarters, "-append", *more, path)
    return path


@pytest.fixture
def drawn(tmp_path: Path, tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Path]:
    """Draw a picture with ImageMagick whose four corners have four colours: red, green, blue, white, clockwise."""

    def draw(name: str, size: str = "400x300", *more: str) -> Path:
        made = drawing(tmp_path_factory.getbasetemp(), name.rsplit(".", 1)[1], size, *more)
        return Path(shutil.copy(made, tmp_path / name))

    return draw


@functools.cache
def tagging(folder: Path, kind: str, data: bytes, tags: frozenset[tuple[str, str | int]]) -> bytes:
    path = folder / f"{uuid.uuid4().hex}.{kind}"
    path.write_bytes(data)
    run("exiftool", "-q", "-n", "-overwrite_original", *(f"-{key}={value}" for key, value in tags), path)
    return path.read_bytes()


@pytest.fixture
def tagged(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., Path]:
    """Write tags into a picture with exiftool."""

    def tag(path: Path, **tags: str | int) -> Path:
        folder, kind = tmp_path_factory.getbasetemp(), path.suffix[1:]
        path.write_bytes(tagging(folder, kind, path.read_bytes(), frozenset(tags.items())))
        return path

    return tag


@functools.cache
def encoding(data: bytes) -> bytes:
    import pillow_heif
    from PIL import Image

    pillow_heif.register_heif_opener()
    file = io.BytesIO()
    with Image.open(io.BytesIO(data)) as picture:
        picture.save(file, "HEIF", quality=90, exif=picture.getexif().tobytes())
    return file.getvalue()


@pytest.fixture
def heic(tmp_path: Path) -> Callable[..., Path]:
    """Encode a picture as HEIC with libheif, its EXIF orientation turned into the container's rotation as phones do."""

    def encode(source: Path, name: str = "phone.heic") -> Path:
        (tmp_path / name).write_bytes(encoding(source.read_bytes()))
        return tmp_path / name

    return encode


@pytest.fixture
def corner_colours() -> Callable[[bytes], list[str]]:
    """Names of the colours in the corners, clockwise from the top left."""

    def read(data: bytes) -> list[str]:
        from PIL import Image

        names = {"red": (255, 0, 0), "green": (0, 255, 0), "blue": (0, 0, 255), "white": (255, 255, 255)}
        with Image.open(io.BytesIO(data)) as picture:
            width, height = picture.size
            x, y = width // 8, height // 8
            places = [(x, y), (width - 1 - x, y), (width - 1 - x, height - 1 - y), (x, height - 1 - y)]
            found = [picture.convert("RGB").getpixel(place) for place in places]
        return [
            min(names, key=lambda name: sum((a - b) ** 2 for a, b in zip(names[name], colour, strict=True)))
            for colour in found
        ]

    return read
