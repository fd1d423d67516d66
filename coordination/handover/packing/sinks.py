"""Where a packed folder is written: a folder on disk, or one ZIP. What is written is hashed on the way.

Nothing is held whole: content goes through in pieces.
"""

import hashlib
import zipfile
from collections.abc import Iterable
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Protocol, Self

MANIFEST = "SHA256SUMS"
PACKED_SMALLER = (".html", ".css", ".txt", ".csv", ".json", ".svg", MANIFEST)
FIRST_YEAR = 1980
FOUR_GIGABYTES = 1 << 32
PIECE = 1 << 20


class Sink(Protocol):
    """Takes files by their name below the folder, in any order, each name once."""

    sums: dict[str, str]

    def put(self, name: str, content: Iterable[bytes], size: int) -> None: ...


def manifest(sums: dict[str, str]) -> str:
    """The lines that ``sha256sum -c`` reads (GNU coreutils: hash, two spaces, name)."""
    return "".join(f"{sums[name]}  {name}\n" for name in sorted(sums))


def put_text(sink: Sink, name: str, text: str) -> None:
    content = text.encode()
    sink.put(name, [content], len(content))


def put_file(sink: Sink, name: str, path: Path) -> None:
    """A file from disk, piece by piece."""
    with path.open("rb") as file:
        sink.put(name, iter(lambda: file.read(PIECE), b""), path.stat().st_size)


class FolderSink:
    """Writes into a folder that exists and is empty."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.sums = folder, dict[str, str]()

    def put(self, name: str, content: Iterable[bytes], size: int) -> None:
        path, sha = self.folder / name, hashlib.sha256()
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("xb") as file:
            for piece in content:
                sha.update(piece)
                file.write(piece)
        self.sums[name] = sha.hexdigest()


class ZipSink:
    """Writes one ZIP whose only folder is ``root``; the same content gives the same bytes.

    ``at`` is the time that every entry carries.
    """

    def __init__(self, path: Path, root: str, at: datetime) -> None:
        self.sums, self._root = dict[str, str](), root
        self._at = (max(at.year, FIRST_YEAR), at.month, at.day, at.hour, at.minute, at.second)
        self._zip = zipfile.ZipFile(path, "w", zipfile.ZIP_STORED)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._zip.close()

    def put(self, name: str, content: Iterable[bytes], size: int) -> None:
        sha = hashlib.sha256()
        with self._zip.open(self._entry(name, size), "w", force_zip64=size >= FOUR_GIGABYTES) as file:
            for piece in content:
                sha.update(piece)
                file.write(piece)
        self.sums[name] = sha.hexdigest()

    def _entry(self, name: str, size: int) -> zipfile.ZipInfo:
        found = zipfile.ZipInfo(f"{self._root}/{name}", self._at)
        found.compress_type = zipfile.ZIP_DEFLATED if name.endswith(PACKED_SMALLER) else zipfile.ZIP_STORED
        found.external_attr = 0o100644 << 16
        found.create_system = 3  # so that the rights above are read as those of Unix, wherever it was written
        found.file_size = size
        return found
