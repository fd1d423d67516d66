"""Twenty photos to their small copies: in the worker itself, in the kept child, and in a child for each photo."""

# ruff: noqa: T201

import os
from datetime import UTC, datetime
from pathlib import Path

import pytest

from coordination.background.running import run_until_idle
from coordination.background.work import Work
from coordination.console.demo.site_photos import VIEWS, draw_photo
from coordination.files.images.renditions import make_renditions
from tests.benchmarks.side_by_side import medians

PHOTOS = 20


def folder() -> Path:
    return Path(os.environ["PHOTOS"])


def without_copies(_: datetime) -> list[str]:
    return sorted(
        path.name for path in folder().glob("*.jpg") if not (folder() / f"{path.name}.1600").exists()
    )


def make_copies(key: str) -> None:
    for size, copy in make_renditions(folder() / key).items():
        (folder() / f"{key}.{size}").write_bytes(copy)


@pytest.fixture
def photos(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("PHOTOS", str(tmp_path))
    monkeypatch.setenv("SILL_VAR", str(tmp_path / "var"))
    for number in range(PHOTOS):
        photo = draw_photo(VIEWS[number % len(VIEWS)], seed=number, taken_at=datetime(2026, 3, 2, tzinfo=UTC))
        (tmp_path / f"{number:02}.jpg").write_bytes(photo)
    return tmp_path


@pytest.mark.parametrize("real_database", ["sqlite"], indirect=True)
def test_twenty_photos(real_database: str, photos: Path) -> None:
    work = Work("copies", without_copies, make_copies)

    def begin_again() -> None:
        for path in photos.glob("*.jpg.*"):
            path.unlink()

    def done(*, children: bool) -> None:
        begin_again()
        assert len(run_until_idle([work], datetime.now(UTC), children=children)) == PHOTOS

    def one_by_one() -> None:
        begin_again()
        for key in without_copies(datetime.now(UTC)):
            one = Work("copies", lambda _, key=key: [key] if key in without_copies(_) else [], make_copies)
            assert len(run_until_idle([one], datetime.now(UTC))) == 1

    here, kept, each = medians(
        lambda: done(children=False), lambda: done(children=True), one_by_one, rounds=2
    )
    print(
        f"\n{PHOTOS} photos of 12 megapixels: in the worker 1, in the kept child {kept / here:.2f}, "
        f"in a child for each {each / here:.2f} ({here / PHOTOS:.3f} s a photo in the worker)"
    )
