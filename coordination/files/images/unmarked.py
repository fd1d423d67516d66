"""Pictures without what cameras and programs wrote beside the pixels; nothing is decoded or encoded again.

They are meant for a PDF, which says itself how their colours are meant (ISO 32000-1, 7.4.8): a colour profile, which
names scanner, camera or screen, goes as well.
"""

from coordination.files.images.containers import jpeg_segments
from coordination.files.images.refusals import ImageRefused

# JFIF's head and Adobe's word on the colours say how to read the pixels; JFIF's extension is a smaller picture.
NEEDED = {(0xE0, b"JFIF\0"), (0xEE, b"Adobe")}
APPLICATION, COMMENT, SCAN = range(0xE0, 0xF0), 0xFE, 0xDA
# Boxes of JPEG 2000 that say how to read the pixels (ISO/IEC 15444-1, Annex I); others hold notes.
BOXES = {b"jP  ", b"ftyp", b"jp2h", b"jp2c"}
CODESTREAM, PROFILE_INSIDE = b"\xff\x4f\xff\x51", b"acsp"


def unmarked_jpeg(data: bytes) -> bytes:
    """``data`` without EXIF, XMP, IPTC, profile, comments, further pictures and whatever stands behind the picture.

    One that is cut off in its last scan stays cut off there. Raises ImageRefused where the frame makes no sense.
    """
    kept, from_here, in_scan, end = [], 0, False, 0
    try:
        for marker, start, end in jpeg_segments(data):
            beginning = (marker, data[start : start + 5])
            if marker == COMMENT or (marker in APPLICATION and beginning not in NEEDED):
                kept.append(data[from_here : start - 4])
                from_here = end
            in_scan = in_scan or marker == SCAN
    except ImageRefused as refused:
        if refused.reason != "truncated" or not in_scan:
            raise
        end = len(data)
    return b"".join([*kept, data[from_here:end]])


def unmarked_jp2(data: bytes) -> bytes:
    """A JPEG 2000 file without boxes of notes. Raises ImageRefused where it is none, or holds a profile."""
    if data.startswith(CODESTREAM):
        return data
    kept, begin = [], 0
    while begin < len(data):
        size, kind = int.from_bytes(data[begin : begin + 4]), data[begin + 4 : begin + 8]
        if size == 1:
            size = int.from_bytes(data[begin + 8 : begin + 16])
        end = begin + size if size else len(data)
        if end < begin + 8 or end > len(data) or (kind == b"jp2h" and PROFILE_INSIDE in data[begin:end]):
            raise ImageRefused("damaged")
        if kind in BOXES:
            kept.append(data[begin:end])
        begin = end
    return b"".join(kept)
