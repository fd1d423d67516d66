"""A HEIC made smaller band by band, so that its pixels are never twice whole in memory."""

import io

from PIL import Image

from coordination.files.images.opening import readable

ROWS = 64
GAP = 2.0


def shrunk(picture: Image.Image, size: tuple[int, int]) -> Image.Image:
    return (
        picture if size == picture.size else picture.resize(size, Image.Resampling.LANCZOS, reducing_gap=GAP)
    )


def heic_shrunk(data: bytes, size: tuple[int, int]) -> Image.Image:
    """The pixels of a HEIC of three colours at ``size``: the same ones as ``shrunk`` makes of the whole picture.

    Raises ImageRefused.
    """
    reduced, box = _reduced(data, size)
    return reduced.resize(size, Image.Resampling.LANCZOS, box=box)


def _reduced(data: bytes, size: tuple[int, int]) -> tuple[Image.Image, tuple[float, float, float, float]]:
    """The pixels at a whole fraction that leaves twice ``size``, and what of them the picture covers."""
    from pillow_heif import open_heif  # loads a large library: not before a picture comes

    with readable():
        heif = open_heif(io.BytesIO(data), remove_stride=False)
        pixels, whole, stride = memoryview(heif.data), heif.size, heif.stride
    across, down = (max(1, int(long / short / GAP)) for long, short in zip(whole, size, strict=True))
    reduced = Image.new("RGB", (-(-whole[0] // across), -(-whole[1] // down)))
    for top in range(0, whole[1], ROWS * down):
        rows = min(ROWS * down, whole[1] - top)
        part = pixels[top * stride : (top + rows) * stride]
        band = Image.frombuffer("RGB", (whole[0], rows), part, "raw", "RGB", stride, 1)
        reduced.paste(band.reduce((across, down)), (0, top // down))
    return reduced, (0, 0, whole[0] / across, whole[1] / down)
