"""Mangled pictures: either facts and renditions, or a refusal with a reason; never another exception."""

import contextlib
import warnings

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from coordination.files.documents import DocumentRefused, inspect_document
from coordination.files.images import ImageRefused, inspect_image, make_renditions, measure
from tests.files.conftest import CAMERA

KINDS = ["a.jpg", "progressive.jpg", "a.png", "a.webp", "a.heic"]
changes = st.lists(
    st.tuples(st.sampled_from(["flip", "cut", "drop", "double", "ff"]), st.floats(0, 1, exclude_max=True), st.integers(1, 255)),
    min_size=1,
    max_size=6,
)  # fmt: skip


def mangled(data: bytes, how: list[tuple[str, float, int]]) -> bytes:
    for what, share, amount in how:
        at = int(share**2 * len(data))  # more often in the head, where the structure is
        if what == "flip":
            data = data[:at] + bytes([data[at] ^ amount]) + data[at + 1 :] if data else data
        elif what == "cut":
            data = data[: at + 1]
        elif what == "drop":
            data = data[:at] + data[at + amount :]
        elif what == "double":
            data = data[: at + amount] + data[at:]
        else:
            data = data[:at] + b"\xff" * amount + data[at + amount :]
    return data


@pytest.fixture
def originals(drawn, tagged, heic):
    noise = ["-attenuate", "1", "+noise", "Gaussian"]
    made = {name: drawn(name, "96x64", *noise) for name in ("a.jpg", "a.png", "a.webp")}
    made["progressive.jpg"] = drawn("progressive.jpg", "96x64", *noise, "-interlace", "JPEG")
    made["a.heic"] = heic(made["a.jpg"], "a.heic")
    return {name: tagged(path, **CAMERA).read_bytes() for name, path in made.items()}


@settings(
    max_examples=150,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(name=st.sampled_from(KINDS), how=changes)
def test_mangled_pictures(originals, name, how):
    data = mangled(originals[name], how)
    with contextlib.suppress(ImageRefused):
        inspect_image(data)
    with contextlib.suppress(ImageRefused):
        make_renditions(data)
        measure(data)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    data=st.binary(max_size=200),
    start=st.sampled_from([b"", b"%PDF-1.7\n", b"\xff\xd8\xff\xe0", b"RIFF....WEBP", b"\0\0\0\x18ftypheic"]),
)
def test_rubbish_behind_a_good_beginning(data, start):
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        with pytest.raises((ImageRefused, DocumentRefused)):
            inspect_document(start + data + (b"\n%%EOF" if start.startswith(b"%") else b""))
