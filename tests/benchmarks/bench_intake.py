"""A 12-megapixel JPEG from its arrival to two stored copies, against the bare minimum, and the memory it takes.

The bare minimum is what cannot be left out: read it, hash it, decode it at a reduced scale, resize twice, encode twice.
It writes nothing, forces nothing to the disk, looks at nothing, refuses nothing and measures nothing. Peaks are those
of a process of its own that does one photo and nothing else; what the program takes before its first photo is told too.
"""

# ruff: noqa: T201

import hashlib
import io
import os
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path
from time import perf_counter, process_time

import pytest
from PIL import Image

from coordination.console.demo.site_photos import draw_photo
from coordination.files.images.renditions import QUALITY, SIZES
from tests.benchmarks.side_by_side import medians
from tests.benchmarks.taking_in import taken_in

WANTED, MOST_MEGABYTES = 1.3, 150


def bare_minimum(photo: Path) -> None:
    data = photo.read_bytes()
    hashlib.sha256(data).hexdigest()
    with Image.open(io.BytesIO(data)) as picture:
        picture.draft("RGB", (SIZES[0], SIZES[0] * 3 // 4))  # both sides must fit, else nothing is reduced
        for size in SIZES:
            picture.thumbnail((size, size), Image.Resampling.LANCZOS, reducing_gap=2.0)
            out = io.BytesIO()
            picture.save(out, "JPEG", quality=QUALITY)
            hashlib.sha256(out.getvalue()).hexdigest()


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    path = tmp_path / "photo.jpg"
    path.write_bytes(draw_photo("framing", seed=4, taken_at=datetime(2026, 3, 2, tzinfo=UTC)))
    return path


@pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
def test_time(real_database: str, photo: Path, settings, tmp_path: Path) -> None:
    settings.FILES_ROOT = tmp_path / "files"
    size = photo.stat().st_size / 1e6
    for name, clock in (("by the clock", perf_counter), ("of the processor", process_time)):
        bare, stored, told = medians(
            lambda: bare_minimum(photo),
            lambda: taken_in(photo, hints=False),
            lambda: taken_in(photo),
            rounds=9,
            clock=clock,
        )
        print(
            f"\n12 megapixels, {size:.1f} MB: the bare minimum takes {bare * 1000:.0f} ms {name}; to two stored copies "
            f"{stored / bare:.2f} times that (wanted {WANTED}), with what its sender is told at once {told / bare:.2f}"
        )


@pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
def test_memory(real_database: str, photo: Path, tmp_path: Path) -> None:
    environment = {
        **os.environ,
        "SILL_DATABASE": real_database,
        "SILL_VAR": str(tmp_path / "var"),
        "DJANGO_SETTINGS_MODULE": "coordination.settings",
        "PYTHONPATH": os.pathsep.join(path for path in sys.path if path),
    }
    answer = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.taking_in", str(photo)],
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    )
    before, peak = answer.stdout.split()
    print(
        f"\npeak {peak} MB (wanted {MOST_MEGABYTES}), of which {before} MB are there before the photo comes"
    )
    assert int(peak) <= MOST_MEGABYTES
