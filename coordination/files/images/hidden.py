"""Whether the bytes of a picture are also another file: an archive, a page, a PDF or a program.

What cameras put in and behind a picture (notes, a preview, a second picture, a second of film) is left alone: each
mark looked for in more than a few bytes of text is so long that chance does not make it within 50 MB.
"""

import io
import re
import zipfile
import zlib
from collections.abc import Iterator

from coordination.files.images.containers import jpeg_segments, png_chunks
from coordination.files.images.refusals import ImageRefused

# Anywhere in the file: readers of PDF, RAR and 7z look for their start behind other bytes, as browsers do for a page.
PAGE = re.compile(rb"<(?:html[\s>/]|script[\s>/]|\?php|!doctype\s)", re.IGNORECASE)
PDF = re.compile(rb"%PDF-\d\.\d")
SOUGHT_BEHIND_OTHERS = (b"Rar!\x1a\x07", b"7z\xbc\xaf\x27\x1c")
PDF_READERS_LOOK = 1024
# In notes and behind the picture: a drawing with code, the first entry of a zip.
IN_A_NOTE = re.compile(rb"<svg[\s>/]|PK\x03\x04[\x0a-\x3f]\0", re.IGNORECASE)
# Behind the picture: gzip (RFC 1952 §2.3), and whole beginnings of programs and archives.
GZIP = re.compile(rb"\x1f\x8b\x08[\0-\x1f].{4}[\0\2\4][\0-\x0d\xff]", re.DOTALL)
BEHIND = (
    b"\x7fELF\1\1\1", b"\x7fELF\2\1\1", b"be run in DOS mode", b"\xfd7zXZ\0", b"1AY&SY", b"ustar\x0000", b"ustar  \0",
    b"MSCF\0\0\0\0", b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", b"\0asm\1\0\0\0",
)  # fmt: skip
# What begins the bytes behind the picture, after padding.
PADDING = re.compile(rb"[\0\xff \t\r\n]*+")
STARTS = (
    b"MZ", b"\x7fELF", b"#!", b"Rar!", b"7z\xbc\xaf", b"PK\x03\x04", b"%PDF-", b"<svg", b"\x1f\x8b", b"BZh",
    b"\x28\xb5\x2f\xfd", b"\xca\xfe\xba\xbe", b"\xcf\xfa\xed\xfe", b"*/",
)  # fmt: skip
# A JPEG whose first length reads "/*" hides its head from whoever runs it as a script.
SCRIPT_HEAD, SCRIPT_BODY = re.compile(rb"\xff\xd8\xff[\xe0-\xef\xfe]/\*"), re.compile(rb"\*/\s*[=;(]")
MOST_TEXT = 1 << 20


def refuse_another_file(kind: str, data: bytes, end: int) -> None:
    """Raise ImageRefused when the picture, which ends at ``end``, is also another file or carries one."""
    if (
        _opens_as_another(data)
        or _hides_behind(data, end)
        or any(PAGE.search(note) or IN_A_NOTE.search(note) for note in _notes(kind, data))
    ):
        raise ImageRefused("another file inside")


def _opens_as_another(data: bytes) -> bool:
    return bool(
        b"%PDF-" in data[:PDF_READERS_LOOK]
        or PDF.search(data)
        or any(start in data for start in SOUGHT_BEHIND_OTHERS)
        or PAGE.search(data)
        or (SCRIPT_HEAD.match(data) and SCRIPT_BODY.search(data))
        or zipfile.is_zipfile(io.BytesIO(data))
    )


def _hides_behind(data: bytes, end: int) -> bool:
    padding = PADDING.match(data, end)
    return bool(
        data.startswith(STARTS, end)
        or (padding and data.startswith(STARTS, padding.end()))
        or any(data.find(start, end) >= 0 for start in BEHIND)
        or GZIP.search(data, end)
        or IN_A_NOTE.search(data, end)
    )


def _notes(kind: str, data: bytes) -> Iterator[bytes]:
    """What is written into the picture beside its pixels; of a compressed text no more than 1 MB."""
    if kind == "JPEG":
        for marker, start, end in jpeg_segments(data):
            if marker == 0xFE or marker in range(0xE0, 0xF0):
                yield data[start:end]
    elif kind == "PNG":
        for name, start, end in png_chunks(data):
            if name in {b"tEXt", b"zTXt", b"iTXt"}:
                yield data[start:end]
                yield _unpacked(name, data[start:end])


def _unpacked(name: bytes, text: bytes) -> bytes:
    """The compressed part of a text chunk (PNG specification §11.3.3); empty where there is none or it is broken."""
    rest = text.partition(b"\0")[2]
    packed = rest[1:] if name == b"zTXt" else b""
    if name == b"iTXt" and rest[:1] == b"\1":
        packed = rest[2:].split(b"\0", 2)[-1]  # behind the language and the translated keyword
    try:
        return zlib.decompressobj().decompress(packed, MOST_TEXT)
    except zlib.error:
        return b""
