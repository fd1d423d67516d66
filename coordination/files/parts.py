"""Files that come in parts over a line that breaks: ``FILE_UPLOAD_TEMP_DIR/parts/<holder>/<key>``.

Whatever ends a part, the bytes that came before stay, and the next part goes on behind them. Nothing here is an
original yet: who sends says what the whole must hash to, and only then is it handed on (see ``keeping``).
"""

import contextlib
import fcntl
import os
from collections.abc import Iterable, Iterator
from datetime import datetime
from pathlib import Path
from uuid import UUID

from django.conf import settings

from coordination.files.keeping import NO_ROOM, NoRoom, NotKept, TooLarge, digest

MOST_FOR_ONE_HOLDER = 2_000_000_000


class OffsetMoved(NotKept):
    """The part does not begin where the bytes end that are there: ``offset``."""

    def __init__(self, offset: int) -> None:
        super().__init__(f"{offset} bytes are there.")
        self.offset = offset


class NotWhole(NotKept):
    """The bytes that are there are not those that were announced."""


def arrived(holder: str, key: UUID) -> int:
    """How many bytes of a file are there."""
    try:
        return _place(holder, key).stat().st_size
    except FileNotFoundError:
        return 0


def append(holder: str, key: UUID, offset: int, content: Iterable[bytes], *, limit: int) -> int:
    """Put ``content`` behind the first ``offset`` bytes; give how many are there now.

    Each piece is written as it comes, so that a part that breaks off half-way is half there. Two senders of one
    file cannot mix: whoever is behind is told. Raises OffsetMoved, TooLarge, NoRoom, and what reading raises.
    """
    place = _place(holder, key)
    place.parent.mkdir(parents=True, exist_ok=True)
    if offset == 0 and _held_for(place.parent) > MOST_FOR_ONE_HOLDER:
        raise NoRoom("Too much is waiting for its other half.")
    for piece in content:
        offset = _append_piece(place, offset, piece, limit)
    return offset


@contextlib.contextmanager
def whole(holder: str, key: UUID, sha256: str) -> Iterator[Path]:
    """The file, once all of it is there. Raises NotWhole; wrong bytes are removed, so that sending begins anew."""
    place = _place(holder, key)
    if not place.exists():
        raise NotWhole("Nothing is there.")
    if digest(place) != sha256:
        place.unlink(missing_ok=True)
        raise NotWhole("Other bytes came than were announced.")
    yield place


def drop(holder: str, key: UUID) -> None:
    """Forget a file that has found its place, or that nobody wants."""
    _place(holder, key).unlink(missing_ok=True)


def abandoned(before: datetime) -> list[Path]:
    """The files that nobody has gone on with since ``before``."""
    return [path for path in _parts().glob("*/*") if path.stat().st_mtime < before.timestamp()]


def sweep_parts(before: datetime) -> int:
    """Remove what nobody has gone on with since ``before``; return how many files."""
    old = abandoned(before)
    for path in old:
        path.unlink(missing_ok=True)
    for folder in _parts().glob("*"):
        with contextlib.suppress(OSError):
            folder.rmdir()
    return len(old)


def _parts() -> Path:
    return Path(settings.FILE_UPLOAD_TEMP_DIR) / "parts"


def _place(holder: str, key: UUID) -> Path:
    return _parts() / holder / str(key)


def _held_for(folder: Path) -> int:
    return sum(path.stat().st_size for path in folder.glob("*"))


def _append_piece(place: Path, offset: int, piece: bytes, limit: int) -> int:
    if offset + len(piece) > limit:
        raise TooLarge(limit)
    with _locked(place) as handle:
        there = os.fstat(handle).st_size
        if there != offset:
            raise OffsetMoved(there)
        try:
            return _written(handle, offset, piece)
        except OSError as error:
            if error.errno in NO_ROOM:
                raise NoRoom(str(error)) from error
            raise


def _written(handle: int, offset: int, piece: bytes) -> int:
    rest = memoryview(piece)
    while rest:
        number = os.pwrite(handle, rest, offset)
        rest, offset = rest[number:], offset + number
    return offset


@contextlib.contextmanager
def _locked(place: Path) -> Iterator[int]:
    handle = os.open(place, os.O_RDWR | os.O_CREAT, 0o600)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield handle
    finally:
        os.close(handle)
