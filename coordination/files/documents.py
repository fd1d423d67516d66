"""Documents handed in as evidence (a delivery ticket, a card, a drawing): a PDF, or a picture of the paper."""

import io
import zipfile
from dataclasses import dataclass
from pathlib import Path

from coordination.files.images import ImageFacts, ImageRefused, inspect_image
from coordination.files.images.opening import MOST_BYTES, UNREADABLE, bytes_of

REASONS = ("not a document", "truncated", "damaged", "locked", "no pages", "another file inside")
START, END = b"%PDF-", b"%%EOF"


class DocumentRefused(Exception):
    """A document cannot be taken. ``reason`` is one of REASONS; pictures are refused with ImageRefused."""

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason


@dataclass(frozen=True)
class DocumentFacts:
    """``pages`` is 1 for a picture; ``image`` is None for a PDF."""

    media_type: str
    pages: int
    image: ImageFacts | None


def inspect_document(source: Path | bytes, *, limit: int = MOST_BYTES) -> DocumentFacts:
    """Look at a PDF or a picture, whatever its name says. Raises DocumentRefused or ImageRefused."""
    data = bytes_of(source, limit)
    if data.startswith(START):
        return DocumentFacts("application/pdf", _pages(data), None)
    try:
        image = inspect_image(data, limit=limit)
    except ImageRefused as refusal:
        if refusal.reason == "not a picture":
            raise DocumentRefused("not a document") from refusal
        raise
    return DocumentFacts(image.media_type, 1, image)


def _pages(data: bytes) -> int:
    """How many pages a PDF has. Raises DocumentRefused unless an independent reader opens it without a password."""
    from pypdf import PdfReader
    from pypdf.errors import PyPdfError

    if END not in data[-2048:]:
        raise DocumentRefused("truncated")
    if zipfile.is_zipfile(io.BytesIO(data)):
        raise DocumentRefused("another file inside")
    try:
        reader = PdfReader(io.BytesIO(data), strict=False)
        if reader.is_encrypted:
            raise DocumentRefused("locked")
        pages = len(reader.pages)
        if pages:
            reader.pages[0].mediabox  # noqa: B018  the page tree must lead somewhere
    except (PyPdfError, RecursionError, *UNREADABLE) as error:
        raise DocumentRefused("damaged") from error
    if not pages:
        raise DocumentRefused("no pages")
    return pages
