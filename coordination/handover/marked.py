"""Marks over the photos of a paper: drawn from the snapshot alone over the pinned copies, and listed in words."""

from collections.abc import Iterable, Mapping
from typing import Any

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from coordination.evidence.mark_words import drawn, line_of
from coordination.pictures.marks import marked_photo, overlay
from coordination.pictures.pen import PRINT

INKS = {**PRINT, "ink": "#1d2129", "accent": "#9c4a1a"}
Values = Mapping[str, Any]
# How large a photo of a gate report is printed: millimetres of width and of height.
REPORT_BOX = (66.0, 66.0)


def picture_name(item: Values) -> str:
    """The name under which a paper asks for a photo: with its marks where it has any. Empty without a copy."""
    rendition = item.get("rendition")
    if not rendition:
        return ""
    return f"marked/{item['uid']}.svg" if item.get("marks") else f"photo/{rendition['sha256']}.jpg"


def marked_photos(items: Iterable[Values], box: tuple[float, float] = REPORT_BOX) -> dict[str, bytes]:
    """By that name, each copy with the marks over it. They ask for the copies as ``photo/SHA-256.jpg``.

    ``box`` is the room that each has on paper, in millimetres of width and height.
    """
    return {
        picture_name(item): _drawing(item, box)
        for item in items
        if item.get("rendition") and item.get("marks")
    }


def marks_over(item: Values, prefix: str) -> SafeString:
    """The marks as a drawing to lie over a copy on a page; empty where there are none.

    ``prefix`` is the page's own for this photo: every id of the drawing begins with it.
    """
    marks = [drawn(mark) for mark in item.get("marks") or ()]
    return mark_safe(overlay(marks, prefix=prefix) if marks else "")


def mark_lines(item: Values) -> tuple[str, ...]:
    """The marks of a photo in words, with who put them; what a refusal names says so."""
    return tuple(_line(mark) for mark in item.get("marks") or ())


def with_marks(alt: str, item: Values) -> str:
    """The alternative text of a photo together with its marks."""
    told = "; ".join(line_of(mark) for mark in item.get("marks") or ())
    return _("%(photo)s. Marks: %(marks)s") % {"photo": alt, "marks": told} if told else alt


def _line(mark: Values) -> str:
    told = {"mark": line_of(mark), "name": mark["by"]}
    if mark.get("reason"):
        return _("%(mark)s (%(name)s; why it was refused)") % told
    return _("%(mark)s (%(name)s)") % told


def _drawing(item: Values, box: tuple[float, float]) -> bytes:
    rendition = item["rendition"]
    return marked_photo(
        [drawn(mark) for mark in item["marks"]],
        photo=f"../photo/{rendition['sha256']}.jpg",
        width=rendition["width"],
        height=rendition["height"],
        box=box,
        prefix="mark",
        inks=INKS,
    ).encode()
