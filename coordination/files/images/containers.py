"""Which kind of picture the bytes are, whatever their name says, and where the picture ends in them.

Only the frame is read, nothing is decoded: fast, and in constant memory beside the bytes themselves. JPEG markers
follow ITU-T T.81 Annex B, PNG chunks the W3C PNG specification §5, WebP RFC 9649 §2, HEIC ISO/IEC 14496-12 §4.2.
"""

import re
import struct
import zlib
from collections.abc import Iterator

from coordination.files.images.refusals import ImageRefused

HEIC_BRANDS = {b"heic", b"heix", b"heim", b"heis", b"mif1"}
MOVING_BRANDS = {b"hevc", b"hevx", b"hevm", b"hevs", b"msf1"}
HEIC_BOXES = {b"ftyp", b"meta", b"mdat", b"moov", b"free", b"skip", b"uuid", b"mpvd", b"wide", b"idat"}
OTHER_KINDS = {
    b"BM": "BMP",
    b"II*\0": "TIFF",
    b"MM\0*": "TIFF",
    b"8BPS": "PSD",
    b"\xff\x0a": "JPEG XL",
    b"\0\0\0\x0cJXL ": "JPEG XL",
    b"%!PS": "EPS",
}
STANDALONE = {0x01, *range(0xD0, 0xD8)}
NEXT_MARKER = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]")
SVG = re.compile(rb"<svg[\s>:]", re.IGNORECASE)
# A drawing whose first element this is, behind declarations and comments of any length; nothing is tried twice.
SVG_FIRST = re.compile(
    rb"(?>\s+|\xef\xbb\xbf|<\?.*?\?>|<!--.*?-->|<!doctype[^\[>]*+(?:\[.*?\]\s*)?>)*+<(?:\w++:)?svg[\s>:/]",
    re.IGNORECASE | re.DOTALL,
)
MOST_UNPACKED = 1 << 20


def kind_of(data: bytes) -> str:
    """``"JPEG"``, ``"PNG"``, ``"WEBP"`` or ``"HEIC"``. Raises ImageRefused for everything else."""
    if not data:
        raise ImageRefused("empty")
    if data.startswith(b"\xff\xd8\xff"):
        return "JPEG"
    if data.startswith(b"\x89PNG\r\n\x1a\n"):
        return "PNG"
    if data.startswith(b"RIFF") and data[8:12] == b"WEBP":
        return "WEBP"
    if data[4:8] == b"ftyp":
        return _kind_of_brand(data[8:12])
    raise _refusal_of(data)


def picture_end(kind: str, data: bytes) -> int:
    """Offset of the first byte behind the picture.

    Raises ImageRefused: ``truncated`` when the end is not there, ``damaged`` when the frame makes no sense,
    ``animated`` when there is more than one picture to be played.
    """
    return {"JPEG": _jpeg_end, "PNG": _png_end, "WEBP": _webp_end, "HEIC": _heic_end}[kind](data)


def _kind_of_brand(brand: bytes) -> str:
    if brand in HEIC_BRANDS:
        return "HEIC"
    if brand in MOVING_BRANDS:
        raise ImageRefused("animated")
    if brand in {b"avif", b"avis"}:
        raise ImageRefused("kind not accepted", kind="AVIF")
    raise ImageRefused("not a picture")


def _refusal_of(data: bytes) -> ImageRefused:
    if data.startswith(b"GIF8"):
        return ImageRefused("gif")
    for start, kind in OTHER_KINDS.items():
        if data.startswith(start):
            return ImageRefused("kind not accepted", kind=kind)
    return ImageRefused("svg" if _is_svg(data) else "not a picture")


def _is_svg(data: bytes) -> bool:
    """A drawing as text, also packed (.svgz) or in two bytes a letter (its letters are those of ASCII)."""
    if data.startswith(b"\x1f\x8b"):
        try:
            data = zlib.decompressobj(wbits=31).decompress(data, MOST_UNPACKED)
        except zlib.error:
            return False
    if data.startswith((b"\xff\xfe", b"\xfe\xff", b"<\0", b"\0<")):
        data = data.lstrip(b"\xff\xfe").replace(b"\0", b"")
    return bool(SVG.search(data[:4096]) or SVG_FIRST.match(data))


def jpeg_segments(data: bytes) -> Iterator[tuple[int, int, int]]:
    """Each segment's marker, and where what it holds begins and ends; the last is the mark of the picture's end.

    A scan's picture data are passed over. Raises ImageRefused as ``picture_end`` does.
    """
    at = 2
    while True:
        if at + 2 > len(data):
            raise ImageRefused("truncated")
        if data[at] != 0xFF:
            raise ImageRefused("damaged")
        marker = data[at + 1]
        if marker == 0xD9:
            yield marker, at + 2, at + 2
            return
        if marker == 0xFF:
            at += 1
        elif marker in STANDALONE:
            at += 2
        else:
            start, at = at, _jpeg_segment_end(data, at)
            yield marker, start + 4, start + 2 + int.from_bytes(data[start + 2 : start + 4])


def _jpeg_end(data: bytes) -> int:
    return max(end for _, _, end in jpeg_segments(data))


def _jpeg_segment_end(data: bytes, at: int) -> int:
    """Behind the segment at ``at``; a scan's picture data belong to it."""
    end = at + 2 + int.from_bytes(data[at + 2 : at + 4])
    if end > len(data):
        raise ImageRefused("truncated")
    if data[at + 1] != 0xDA:
        return end
    if following := NEXT_MARKER.search(data, end):
        return following.start()
    raise ImageRefused("truncated")


def png_chunks(data: bytes) -> Iterator[tuple[bytes, int, int]]:
    """Each chunk's name, and where what it holds begins and ends. Raises ImageRefused when the last is not there."""
    at, name = 8, b""
    while name != b"IEND":
        if at + 12 > len(data):
            raise ImageRefused("truncated")
        length, name = struct.unpack_from(">I4s", data, at)
        start, at = at + 8, at + 12 + length
        if at > len(data):
            raise ImageRefused("truncated")
        yield name, start, start + length


def _png_end(data: bytes) -> int:
    for name, start, end in png_chunks(data):
        if zlib.crc32(data[start - 4 : end]) != int.from_bytes(data[end : end + 4]):
            raise ImageRefused("damaged")
        if name == b"acTL":
            raise ImageRefused("animated")
    return end + 4


def _webp_end(data: bytes) -> int:
    end = 8 + int.from_bytes(data[4:8], "little")
    if end > len(data):
        raise ImageRefused("truncated")
    for name in _webp_chunks(data, end):
        if name in {b"ANIM", b"ANMF"}:
            raise ImageRefused("animated")
    return end + (end % 2 if end < len(data) else 0)


def _webp_chunks(data: bytes, end: int) -> Iterator[bytes]:
    at = 12
    while at + 8 <= end:
        name, length = struct.unpack_from("<4sI", data, at)
        at += 8 + length + length % 2
        if at > end + 1:
            raise ImageRefused("damaged")
        yield name


def _heic_end(data: bytes) -> int:
    at, seen = 0, set()
    for name, _start, end in boxes(data):
        if name not in HEIC_BOXES:
            break
        if end > len(data):
            raise ImageRefused("truncated")
        seen.add(name)
        at = end
    if b"moov" in seen:
        raise ImageRefused("animated")
    if b"meta" not in seen:
        raise ImageRefused("truncated")
    return at


def boxes(data: bytes, at: int = 0, until: int | None = None) -> Iterator[tuple[bytes, int, int]]:
    """Each box's name, and where what it holds begins and ends, until what follows is none."""
    until = len(data) if until is None else min(until, len(data))
    while at + 8 <= until:
        size, name = struct.unpack_from(">I4s", data, at)
        start = at + 8
        if size == 1 and at + 16 <= until:
            size, start = int.from_bytes(data[at + 8 : at + 16]), at + 16
        elif size == 0:
            size = until - at
        if size < start - at:
            return
        yield name, start, at + size
        at += size
