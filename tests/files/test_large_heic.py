"""HEICs that are large: in pixels they are taken like any other; packed in one long piece nothing can open them."""

import contextlib
import io
import lzma
import struct
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from coordination.files.images import ImageRefused, inspect_image, make_renditions, renditions
from coordination.files.images.bands import shrunk
from coordination.files.images.pieces import MOST_IN_ONE_PIECE, refuse_large_pieces
from tests.files.one_piece import one_piece
from tests.files.test_image_fuzz import mangled

FAST = {"preset": "ultrafast"}


def encoded(picture: Image.Image, **how: object) -> bytes:
    import pillow_heif

    pillow_heif.register_heif_opener()
    file = io.BytesIO()
    picture.save(file, "HEIF", enc_params=FAST, **how)
    return file.getvalue()


def noise(width: int, height: int) -> Image.Image:
    return Image.fromarray(np.random.default_rng(1).integers(0, 256, (height, width, 3), dtype=np.uint8))


def decodes(data: bytes) -> bool:
    from pillow_heif import HeifImageFile

    try:
        HeifImageFile(io.BytesIO(data)).load()
    except ValueError:
        return False
    return True


def reason_of(data: bytes) -> tuple[str, dict[str, object]]:
    with pytest.raises(ImageRefused) as refusal:
        inspect_image(data)
    return refusal.value.reason, refusal.value.details


@pytest.mark.parametrize("over", [-1, 0, 1, 3_000_000])
def test_the_limit_is_the_decoder_s_own_to_the_byte(over):
    data = one_piece(MOST_IN_ONE_PIECE + over)
    assert decodes(data) == (over <= 0)
    if over <= 0:
        assert inspect_image(data).width == 64
    else:
        assert reason_of(data) == ("one piece", {"limit": 16})


def test_the_same_five_megapixels_open_in_tiles_and_not_in_one_piece():
    busy = noise(2240, 2240)
    whole, tiled = (encoded(busy, quality=100, chroma="444", tile_size=size) for size in (0, 1024))
    assert min(len(whole), len(tiled)) > MOST_IN_ONE_PIECE
    assert reason_of(whole) == ("one piece", {"limit": 16})
    assert not decodes(whole)
    assert Image.open(io.BytesIO(make_renditions(tiled)[1600])).size == (1600, 1600)


@pytest.mark.parametrize("name", ["ninety_six_megapixels", "ninety_six_megapixels_in_tiles"])
def test_ninety_six_megapixels_are_copied_without_a_second_whole_picture(tmp_path, name):
    """12000 x 8000 pixels of one colour, made by pillow-heif 1.8 (x265, ultrafast; tiles of 512), which takes 2 GB."""
    path = tmp_path / "large.heic"
    path.write_bytes(lzma.decompress(Path(__file__).with_name(f"{name}.heic.xz").read_bytes()))
    assert inspect_image(path).width == 12000
    told = subprocess.run(
        [sys.executable, "-c", COPYING, str(path)], capture_output=True, text=True, check=True
    )
    sizes, kilobytes = told.stdout.split(";")
    assert sizes == "[(1600, 1067), (320, 213)]"
    assert int(kilobytes) < 560_000  # 288 MB of them are the pixels; with a second whole picture it took 700


COPYING = """
import io, sys
from pathlib import Path
from PIL import Image
from coordination.files.images import make_renditions
copies = make_renditions(Path(sys.argv[1]))
peak = next(line for line in open("/proc/self/status") if line.startswith("VmHWM:")).split()[1]
print([Image.open(io.BytesIO(copy)).size for copy in copies.values()], peak, sep=";")
"""


@pytest.mark.parametrize("size", [(6601, 401), (401, 9999), (3300, 70)])
def test_bands_give_the_same_bytes_as_the_whole_picture(monkeypatch, size):
    data = encoded(noise(*size), quality=90)
    in_bands = make_renditions(data)

    def of_the_whole(data: bytes, wanted: tuple[int, int]) -> Image.Image:
        from pillow_heif import HeifImageFile

        return shrunk(HeifImageFile(io.BytesIO(data)), wanted)

    monkeypatch.setattr(renditions, "heic_shrunk", of_the_whole)
    assert in_bands == make_renditions(data)


LARGE = one_piece(MOST_IN_ONE_PIECE + 1)
FRAME = LARGE.index(b"mdat") - 4
changes = st.lists(
    st.tuples(st.sampled_from(["flip", "cut", "drop", "double", "ff"]), st.floats(0, 1, exclude_max=True), st.integers(1, 255)),
    max_size=4,
)  # fmt: skip


@settings(max_examples=150, deadline=None, derandomize=True)
@given(how=changes)
def test_a_mangled_frame_is_let_by_or_refused_and_costs_no_time(how):
    data = mangled(LARGE[:FRAME], how) + LARGE[FRAME:]
    begun = time.monotonic()
    with contextlib.suppress(ImageRefused):
        refuse_large_pieces(data)
    assert time.monotonic() - begun < 5


def box(name: bytes, *inside: bytes) -> bytes:
    held = b"".join(inside)
    return struct.pack(">I4s", len(held) + 8, name) + held


def test_a_frame_that_names_the_same_bytes_over_and_over_costs_no_time():
    items = 60_000
    entry = box(b"infe", struct.pack(">IHH4sB", 2 << 24, 1, 0, b"hvc1", 0))
    every = struct.pack(">HHH", 1, 0, 60_000) + struct.pack(">II", 0, 17_000_000) * 30
    meta = box(
        b"meta",
        bytes(4),
        box(b"iinf", struct.pack(">IH", 0, 1), entry),
        box(b"iloc", struct.pack(">IHH", 0, 0x4400, items), every * 10_000),
    )
    data = box(b"ftyp", b"heic", bytes(8)) + meta + box(b"mdat", bytes(17_000_000))
    begun = time.monotonic()
    refuse_large_pieces(data)
    assert time.monotonic() - begun < 1


def test_a_long_file_with_small_pieces_is_taken(drawn, heic):
    path = heic(drawn("a.jpg", "800x600"))
    with Path(path).open("ab") as file:
        file.truncate(MOST_IN_ONE_PIECE + 1000)
    assert inspect_image(path).width == 800
