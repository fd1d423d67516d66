"""The hoistway section as SVG, in the appearance that a page or a paper asks for."""

import re
from dataclasses import dataclass
from typing import Literal

from coordination.pictures.layout import LETTER, PAGE, SHEET
from coordination.pictures.patterns import definitions
from coordination.pictures.pen import PRINT, SCREEN, Pen, PictureError, document
from coordination.pictures.section import Section
from coordination.pictures.sheet import Sheet
from coordination.pictures.strip import strip
from coordination.pictures.trade import trade

Variant = Literal["sheet", "strip", "paper", "page", "trade"]


@dataclass(frozen=True)
class Appearance:
    """How a section is shown. ``prefix`` begins every id in it; ``focus`` is the place a trade sheet enlarges.

    ``width`` in px for strip and trade; ``inks`` "print" draws any variant black on white (paper and page always are).
    "page" has neither frame nor title block, for a page that has them.
    """

    variant: Variant
    prefix: str
    focus: str | None = None
    width: float | None = None
    inks: Literal["screen", "print"] = "screen"

    def __post_init__(self) -> None:
        if not re.fullmatch(r"[A-Za-z][A-Za-z0-9-]*", self.prefix):
            raise PictureError(
                "appearance.prefix: must begin with a letter and hold letters, digits and hyphens only"
            )
        if self.variant == "trade" and not self.focus:
            raise PictureError("appearance.focus: the trade variant needs the key of a place")


def hoistway_section(section: Section, appearance: Appearance) -> str:
    """The section drawing. Raises PictureError where the section or the appearance does not make one."""
    printed = appearance.inks == "print" or appearance.variant in {"paper", "page"}
    pen = Pen(prefix=appearance.prefix, inks=PRINT if printed else SCREEN)
    parts, width, height = _drawn(pen, section, appearance)
    return document(
        definitions(pen), *parts, prefix=appearance.prefix, width=width, height=height,
        title=section.words.title, description=section.words.description,
        links=any(place.href for place in section.places), kind=appearance.variant,
    )  # fmt: skip


def _drawn(pen: Pen, section: Section, appearance: Appearance) -> tuple[list[str], float, float]:
    match appearance.variant:
        case "strip":
            return strip(pen, section, appearance.width)
        case "trade":
            return trade(pen, section, appearance.focus or "", appearance.width)
        case "paper":
            return Sheet(pen, section, LETTER).draw()
        case "page":
            return Sheet(pen, section, PAGE).draw()
        case "sheet":
            return Sheet(pen, section, SHEET).draw()
