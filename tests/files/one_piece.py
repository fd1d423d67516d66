"""A HEIC of 64 x 64 pixels in one coded piece of any length."""

import io
import struct

from PIL import Image


def one_piece(length: int) -> bytes:
    """The piece (NAL unit) is ``length`` bytes long.

    It is filled up with zero words behind the slice's end, as ITU-T H.265 §7.3.2.10 lets an encoder do
    (``cabac_zero_words``, each with the byte that keeps it from looking like a start of a piece).
    """
    import pillow_heif

    pillow_heif.register_heif_opener()
    file = io.BytesIO()
    Image.new("RGB", (64, 64), (90, 140, 60)).save(file, "HEIF")
    whole = file.getvalue()
    at = whole.index(b"mdat") + 4
    head, packed = whole[: at - 8], whole[at:]
    lies = struct.pack(">IHII", at, 1, 0, len(packed))
    assert head.count(lies) == 1
    fill = length - len(packed) + 4
    filled = struct.pack(">I", length) + packed[4:] + (b"\0\0\3" * (fill // 3 + 1))[:fill]
    head = head.replace(lies, struct.pack(">IHII", at, 1, 0, len(filled)))
    return head + struct.pack(">I", len(filled) + 8) + b"mdat" + filled
