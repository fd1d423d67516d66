"""Names of files inside a packed folder: safe on every system, and readable by whoever opens it years later."""

import re
import unicodedata

MOST = 40
ENDINGS = {
    "image/jpeg": "jpg",
    "image/png": "png",
    "image/webp": "webp",
    "image/heic": "heic",
    "image/heif": "heic",
    "application/pdf": "pdf",
}
# Names of devices that Windows keeps for itself, with or without an ending.
KEPT_BY_WINDOWS = frozenset(
    {"con", "prn", "aux", "nul", *(f"{each}{n}" for each in ("com", "lpt") for n in range(1, 10))}
)


def safe(text: str, most: int = MOST) -> str:
    """Small letters, digits and hyphens; never empty, never a name that some system keeps for itself."""
    plain = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode().lower()
    words = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")
    short = words if len(words) <= most else (words[:most].rpartition("-")[0] or words[:most])
    return f"{short}-" if short in KEPT_BY_WINDOWS else short.strip("-") or "x"


def ending_of(media_type: str) -> str:
    return ENDINGS.get(media_type, "bin")


def piece_name(place: str, number: int, *parts: str, ending: str) -> str:
    """``pit/01-form-pit-2026-11-03-plate-steel.jpg``"""
    words = "-".join(safe(part) for part in parts if part)
    return f"{safe(place)}/{number:02}-{words}.{ending}"
