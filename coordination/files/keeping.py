"""Originals on disk: ``FILES_ROOT/<supplier>/<first two digits>/<SHA-256>``, written once and read back.

A file arrives under a temporary name, is hashed while it streams in, forced to the disk, read back, and only then
takes its place by one rename. Whatever stops this half-way (a refusal, a full disk, the power) leaves either the
whole original or nothing under its name; a temporary file of a writer that died is removed by ``sweep``.
"""

import contextlib
import errno
import fcntl
import hashlib
import os
import tempfile
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import BinaryIO, Protocol
from uuid import UUID

from django.conf import settings

from coordination.files.models import Blob

PIECE = 1 << 20
LIMIT = 50_000_000
NO_ROOM = {errno.ENOSPC, errno.EDQUOT, errno.EFBIG}


class Chunked(Protocol):
    """An upload as Django hands it over."""

    def chunks(self) -> Iterable[bytes]: ...


Content = bytes | BinaryIO | Chunked | Iterable[bytes]


class NotKept(Exception):
    """A file could not be stored; nothing of it stayed."""


class TooLarge(NotKept):
    """More bytes came than ``limit`` allows."""

    def __init__(self, limit: int) -> None:
        super().__init__(f"The file is larger than {limit} bytes.")
        self.limit = limit


class NoRoom(NotKept):
    """The disk, or the space allotted on it, is full."""


class NotReadBack(NotKept):
    """The disk gave back other bytes than were written."""


class OriginalLost(Exception):
    """A stored original is ``missing`` or ``altered``."""

    def __init__(self, blob: Blob, how: str) -> None:
        super().__init__(f"Original {blob.sha256} is {how}.")
        self.blob = blob
        self.how = how


@dataclass(frozen=True)
class Arrival:
    """A file that is wholly on the disk under a temporary name: look at ``path``, then ``keep`` it or let it go."""

    supplier: UUID
    path: Path
    sha256: str
    size: int

    def keep(self, media_type: str) -> Blob:
        """Give the file its place and its row. The same bytes twice are stored once; a damaged one is healed.

        The file's own time is when its bytes last came: whoever lets go what nobody claimed leaves young ones alone.
        """
        place = place_of(self.supplier, self.sha256)
        make_folder(place.parent)
        with _locked(fcntl.LOCK_SH):
            if not place.exists() or digest(place) != self.sha256:
                os.replace(self.path, place)
            os.utime(place)
            # Also where nothing was renamed: who did it a moment ago may not have come to this line yet.
            for folder in place.parents[:3]:
                sync_folder(folder)
            blob, _ = Blob.objects.get_or_create(
                supplier=self.supplier,
                sha256=self.sha256,
                defaults={"size": self.size, "media_type": media_type},
            )
        return blob


def keep(supplier: UUID, content: Content, *, media_type: str, limit: int = LIMIT) -> Blob:
    """Store an original of at most ``limit`` bytes and return its row, the standing one if the bytes are known.

    Call it outside the deciding transaction: it waits for the disk. Raises TooLarge, NoRoom or NotReadBack, and
    whatever reading ``content`` raises; nothing half-written stays.
    """
    with arriving(supplier, content, limit=limit) as arrival:
        return arrival.keep(media_type)


@contextlib.contextmanager
def arriving(supplier: UUID, content: Content, *, limit: int = LIMIT) -> Iterator[Arrival]:
    """Take ``content`` in under a temporary name, on disk and read back; what is not kept by the end is removed.

    Raises as ``keep`` does.
    """
    with _full_disk_named(), _temporary_file() as (handle, path):
        sha256, size = _write(handle, pieces(content), limit)
        _read_back(path, sha256)
        yield Arrival(supplier, path, sha256, size)


def open_blob(blob: Blob) -> BinaryIO:
    """The original, for reading. Raises OriginalLost when the file is gone."""
    try:
        return path_of(blob).open("rb")
    except FileNotFoundError as error:
        raise OriginalLost(blob, "missing") from error


def path_of(blob: Blob) -> Path:
    """Where the original lies. Only to be read from."""
    return place_of(blob.supplier, blob.sha256)


def place_of(supplier: UUID, sha256: str) -> Path:
    return Path(settings.FILES_ROOT) / str(supplier) / sha256[:2] / sha256


def verify(blob: Blob) -> None:
    """Read the whole original; raise OriginalLost when it is missing or its bytes are not those that came."""
    try:
        found = digest(path_of(blob))
    except FileNotFoundError as error:
        raise OriginalLost(blob, "missing") from error
    if found != blob.sha256:
        raise OriginalLost(blob, "altered")


def sweep() -> int:
    """Remove temporary files whose writer is dead; return how many. A living writer holds a lock on its own."""
    return sum(_remove_if_abandoned(path) for path in _incoming().glob("*.part"))


def pieces(content: Content) -> Iterator[bytes]:
    """``content`` as a stream of byte strings, whatever form it came in."""
    if isinstance(content, bytes):
        yield content
    elif hasattr(content, "chunks"):
        yield from content.chunks()
    elif hasattr(content, "read"):
        yield from iter(lambda: content.read(PIECE), b"")
    else:
        yield from content


def digest(path: Path) -> str:
    """SHA-256 of a file, as 64 lower-case hexadecimal digits."""
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()


def make_folder(folder: Path) -> None:
    """Make ``folder`` and those above it, each on the disk before the next is made."""
    if folder.is_dir():
        return
    make_folder(folder.parent)
    folder.mkdir(exist_ok=True)
    sync_folder(folder.parent)


def sync_folder(folder: Path) -> None:
    """Force a folder's list of names to the disk: without it a rename may be forgotten in a power cut."""
    handle = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def alone() -> contextlib.AbstractContextManager[None]:
    """Nobody gives a file its place and its row within the block: for whoever takes both away."""
    return _locked(fcntl.LOCK_EX)


@contextlib.contextmanager
def _locked(kind: int) -> Iterator[None]:
    """Many may keep at once, one alone may let go. The lock falls with its process."""
    make_folder(_incoming())
    handle = os.open(_incoming(), os.O_RDONLY | os.O_DIRECTORY)
    try:
        fcntl.flock(handle, kind)
        yield
    finally:
        os.close(handle)


def _incoming() -> Path:
    # Beside the originals, because a rename is only one step within one file system.
    return Path(settings.FILES_ROOT) / "incoming"


@contextlib.contextmanager
def _full_disk_named() -> Iterator[None]:
    try:
        yield
    except OSError as error:
        if error.errno in NO_ROOM:
            raise NoRoom(str(error)) from error
        raise


@contextlib.contextmanager
def _temporary_file() -> Iterator[tuple[int, Path]]:
    """An open, locked, empty file, readable by its owner alone; gone afterwards unless it was renamed."""
    make_folder(_incoming())
    handle, path = _locked_file()
    try:
        yield handle, path
    finally:
        path.unlink(missing_ok=True)
        os.close(handle)


def _locked_file() -> tuple[int, Path]:
    while True:
        handle, name = tempfile.mkstemp(dir=_incoming(), suffix=".part")
        fcntl.flock(handle, fcntl.LOCK_EX)
        if os.fstat(handle).st_nlink:
            return handle, Path(name)
        os.close(handle)  # swept between making and locking


def _write(handle: int, content: Iterator[bytes], limit: int) -> tuple[str, int]:
    """Write everything and force it to the disk; return SHA-256 and size."""
    sha256, size = hashlib.sha256(), 0
    for piece in content:
        size += len(piece)
        if size > limit:
            raise TooLarge(limit)
        sha256.update(piece)
        _write_all(handle, piece)
    os.fchmod(handle, 0o440)
    os.fsync(handle)
    return sha256.hexdigest(), size


def _write_all(handle: int, piece: bytes) -> None:
    rest = memoryview(piece)
    while rest:
        rest = rest[os.write(handle, rest) :]


def _read_back(path: Path, sha256: str) -> None:
    with path.open("rb") as file:
        # Forget the memory copy, so that what is compared comes from the disk.
        os.posix_fadvise(file.fileno(), 0, 0, os.POSIX_FADV_DONTNEED)
        if hashlib.file_digest(file, "sha256").hexdigest() != sha256:
            raise NotReadBack(f"{path.name} was not read back as written.")


def _remove_if_abandoned(path: Path) -> bool:
    try:
        handle = os.open(path, os.O_RDONLY)
    except FileNotFoundError:
        return False
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    else:
        path.unlink(missing_ok=True)
        return True
    finally:
        os.close(handle)
