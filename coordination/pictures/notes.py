"""The schedule beside a section: swatch, place, state in words, and the one thing that matters."""

from dataclasses import dataclass

from coordination.pictures.frame import Box
from coordination.pictures.patterns import NO_PART, OUTLINES, state_pattern
from coordination.pictures.pen import Ink, Pen, linked
from coordination.pictures.section import Place
from coordination.pictures.typeface import Weight, wrap


@dataclass(frozen=True)
class Type:
    """Font sizes of one sheet, in px."""

    name: float
    state: float
    matter: float
    dimension: float
    swatch: float


@dataclass(frozen=True)
class Line:
    """One set line: words, size, weight and ink."""

    words: str
    size: float
    weight: Weight = "regular"
    ink: Ink = "ink"

    @property
    def leading(self) -> float:
        """Distance from the baseline before."""
        return self.size * 1.24


def set_lines(
    words: str, width: float, size: float, weight: Weight = "regular", ink: Ink = "ink"
) -> list[Line]:
    """``words`` wrapped to ``width``."""
    return [Line(words=line, size=size, weight=weight, ink=ink) for line in wrap(words, width, size, weight)]


def height_of(lines: list[Line]) -> float:
    """Height of a stack of lines."""
    return sum(line.leading for line in lines)


def write_lines(pen: Pen, lines: list[Line], x: float, top: float) -> str:
    """A stack of lines with its upper edge at ``top``."""
    parts, y = [], top
    for line in lines:
        y += line.leading
        parts.append(
            pen.text(x, y - line.size * 0.26, line.words, line.size, weight=line.weight, ink=line.ink)
        )
    return "".join(parts)


@dataclass(frozen=True)
class Note:
    """A schedule entry set in a column of ``width``."""

    place: Place
    lines: list[Line]
    swatch: float

    @property
    def height(self) -> float:
        """Height of the whole entry."""
        return max(self.swatch, height_of(self.lines))

    def swatch_box(self, x: float, top: float) -> Box:
        """Where the swatch lies when the entry stands at ``x``, ``top``."""
        return Box(x, top + 2, self.swatch, self.swatch)

    def draw(self, pen: Pen, x: float, top: float) -> str:
        """The entry at ``x``, ``top``, as a link when its place has one."""
        box = self.swatch_box(x, top)
        swatch = pen.box(
            box.x, box.y, box.width, box.height, pattern=state_pattern(self.place.state), line="ink", stroke_width=1.3,
            stroke_dasharray=OUTLINES.get(self.place.state),
        )  # fmt: skip
        words = write_lines(pen, self.lines, x + self.swatch + 10, top)
        return linked(swatch + words, self.place.href, f"{self.place.name}: {self.place.state_words}")


def note(place: Place, width: float, type_: Type) -> Note:
    """The schedule entry of ``place`` in a column of ``width``."""
    inside = width - type_.swatch - 10
    weight: Weight = "regular" if place.state == NO_PART else "semibold"
    ink: Ink = "quiet" if place.state == NO_PART else "ink"
    lines = set_lines(place.name, inside, type_.name, weight, ink)
    lines += set_lines(place.state_words, inside, type_.state, ink=ink)
    lines += set_lines(place.matter, inside, type_.matter, ink="quiet")
    return Note(place=place, lines=lines, swatch=type_.swatch)
