"""A PDF for strangers: without who wrote it, with which program, and where or with what its pictures were taken.

Pages, words and pixels stay as they are; what is written on a page or printed in a picture stays, too. What goes is
listed in ``pdf_notes``, and in pictures held as JPEG or JPEG 2000 whatever is no picture. Pure functions over bytes.
"""

import io
import re
from dataclasses import dataclass

from pypdf import PdfReader, PdfWriter
from pypdf.errors import LimitReachedError, PyPdfError
from pypdf.generic import DictionaryObject, StreamObject

from coordination.files.images.opening import UNREADABLE
from coordination.files.images.refusals import ImageRefused
from coordination.files.images.unmarked import unmarked_jp2, unmarked_jpeg
from coordination.files.pdf_notes import forget_notes, says_who
from coordination.files.pdf_parts import JPEG, JPEG_2000, at, parts_of, repack, unpacked

REASONS = ("locked", "unreadable", "traces left", "too much")
# Where and with what a picture was taken, as cameras and programs write it (CIPA DC-008 4.7.2, XMP part 3).
TRACES = re.compile(
    rb"Exif\0\0|http://ns\.adobe\.com/xap/1\.0/\0|GPSLatitude|GPSLongitude|tiff:Make|<\?xpacket"
)
# A picture inside the drawing itself (ISO 32000-1, 8.9.7) that is packed so that nobody can tell.
HIDDEN = re.compile(
    rb"/(?:A85|AHx|Fl|LZW|RL|ASCII85Decode|ASCIIHexDecode|FlateDecode|LZWDecode|RunLengthDecode)\s*/DCT"
)
FILLING = b"\r\n\0 "
BROKEN = (PyPdfError, RecursionError, NotImplementedError, ImageRefused, *UNREADABLE)


@dataclass(frozen=True)
class Copy:
    """``unsigned``: the original is signed, and the copy cannot be: its signature was taken out, too."""

    content: bytes
    unsigned: bool


class NotCopied(Exception):
    """No copy can be given to strangers. ``reason`` is one of REASONS."""

    def __init__(self, reason: str) -> None:
        if reason not in REASONS:
            raise ValueError(f"{reason!r} is not a reason for giving no copy.")
        super().__init__(reason)
        self.reason = reason


def for_strangers(data: bytes) -> Copy | None:
    """The copy; None for a signed PDF that tells nothing: a copy would lose the signature, so it goes as it is.

    The same bytes give the same copy. Raises NotCopied.
    """
    try:
        return _copy_of(data)
    except (LimitReachedError, MemoryError) as error:
        raise NotCopied("too much") from error
    except BROKEN as error:
        raise NotCopied("unreadable") from error


def tells(data: bytes) -> bool:
    """Whether there is, or may be, anything in a PDF that a copy for strangers would not have."""
    try:
        return _told(PdfReader(io.BytesIO(data), strict=False)) or TRACES.search(data) is not None
    except (NotCopied, *BROKEN):
        return True


def _copy_of(data: bytes) -> Copy | None:
    reader = PdfReader(io.BytesIO(data), strict=False)
    if reader.is_encrypted:
        raise NotCopied("locked")
    signed = _is_signed(reader)
    if not _told(reader) and signed and not TRACES.search(data):
        return None
    if signed:
        _forget_signatures(reader)
    copy = _written(reader)
    if TRACES.search(copy):  # behind the end of what is packed in a stream, where nobody unpacks
        raise NotCopied("traces left")
    return Copy(copy, unsigned=signed)


def _is_signed(reader: PdfReader) -> bool:
    """Whether a signature's dictionary is in it (12.8.1). One that only lets a program do more is none (12.8.4)."""
    reader.root_object.pop("/Perms", None)
    return any(_is_signature(part) for part in parts_of(reader))


def _is_signature(part: object) -> bool:
    return isinstance(part, DictionaryObject) and "/ByteRange" in part and "/Contents" in part


def _forget_signatures(reader: PdfReader) -> None:
    """What a copy would only break: a signature (12.8.1), what proves it (12.8.4.3), and a form's flags (12.7.2)."""
    reader.root_object.pop("/DSS", None)
    for part in parts_of(reader):
        if isinstance(part, DictionaryObject):
            part.pop("/SigFlags", None)
            if _is_signature(at(part, "/V")):
                part.pop("/V")


def _told(reader: PdfReader) -> bool:
    """Take out of what was read whatever strangers do not get; whether there was anything. Raises NotCopied."""
    info = reader.trailer.pop("/Info", None)
    found = [says_who(info.get_object() if info is not None else None)]
    found += [forget_notes(part) for part in parts_of(reader)]
    found += [_cleaned(part) for part in parts_of(reader) if isinstance(part, StreamObject)]
    found += [_signed_somewhere(part) for part in parts_of(reader)]
    return any(found)


def _signed_somewhere(part: object) -> bool:
    """A signature may say at which place, or on which machine, it was given (12.8.1, table 252)."""
    return isinstance(part, DictionaryObject) and "/ByteRange" in part and bool(at(part, "/Location"))


def _cleaned(part: StreamObject) -> bool:
    """Take out of a picture what is no picture; whether there was any."""
    data, filters = unpacked(part)
    plain = data
    if JPEG.intersection(filters):
        plain = unmarked_jpeg(data)
    elif JPEG_2000.intersection(filters):
        plain = unmarked_jp2(data)
    if TRACES.search(plain) or (not filters and HIDDEN.search(plain)):
        raise NotCopied("traces left")
    if plain.rstrip(FILLING) == data.rstrip(FILLING):
        return False
    repack(part, plain)
    return True


def _written(reader: PdfReader) -> bytes:
    writer, file = PdfWriter(clone_from=reader), io.BytesIO()
    writer.pdf_header = reader.pdf_header
    writer.metadata = None
    writer.write(file)
    return file.getvalue()
