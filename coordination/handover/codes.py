"""The short code of a paper, the address it leads to, and the same address as a picture for a phone's camera."""

import base64
import hashlib
import io

import segno

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ234567"
HALF = 5
# What a hand or a bad copy makes of letters that the code has: it holds no 0, 1 or 8.
MISREAD = str.maketrans("018", "OIB")


def code_from(*parts: str) -> str:
    """Ten characters (50 bits) of the SHA-256 of ``parts``, in two groups of five: ``ABCDE-FGH23`` (RFC 4648, 6)."""
    digest = hashlib.sha256("\n".join(parts).encode()).digest()
    letters = base64.b32encode(digest).decode()[: 2 * HALF]
    return f"{letters[:HALF]}-{letters[HALF:]}"


def as_code(typed: str) -> str:
    """A typed code in its printed form, whatever its case, hyphens and spaces; empty where it cannot be one."""
    letters = "".join(letter for letter in typed.upper() if letter.isalnum()).translate(MISREAD)
    right = len(letters) == 2 * HALF and set(letters) <= set(LETTERS)
    return f"{letters[:HALF]}-{letters[HALF:]}" if right else ""


def check_address(code: str, site: str) -> str:
    """Where a paper is checked. ``site`` is the address of the installation without a slash at its end."""
    return f"{site}/check/{code}"


def qr_drawing(address: str) -> bytes:
    """A QR code (ISO/IEC 18004, level M) as SVG, with its quiet zone of four modules."""
    drawn = io.BytesIO()
    segno.make(address, error="m", micro=False).save(
        drawn, kind="svg", xmldecl=False, omitsize=True, border=4, svgclass=None, lineclass=None
    )
    return drawn.getvalue()
