"""Numbered arrows, rings and dimensions over a photo, and the lettered squares that say where they lie.

Points are ten-thousandths of the upright picture's width and height from its upper left corner, and are written as
percentages, so that one drawing lies right over every copy of the photo. What has a size of its own (strokes, heads,
letters) is in SVG user units: CSS pixels on a screen, ``unit`` of them each on paper.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Final, Literal

from coordination.pictures.pen import SCREEN, Ink, Pen, PictureError, element, number
from coordination.pictures.typeface import width_of

Kind = Literal["arrow", "ring", "dimension"]
Side = Literal["", "across", "down"]
Point = tuple[int, int]
FULL: Final = 10_000
COLUMNS: Final = "ABCDEFGHIJKL"
ROWS: Final = 9
LETTERS: Final = 14.0
HEIGHT: Final = 22.0
CORE: Final = 2.5
CASING: Final = 6.5
# A phone's own font may be wider than the fonts that were measured.
SLACK: Final = 1.15
# A unit on paper, in millimetres: it makes letters of 8 points.
UNIT_ON_PAPER: Final = 66 / 320
BANDS: Final = (1500, 4000, 6000, 8500)
ACROSS: Final = ("far left", "left", "middle", "right", "far right")
DOWN: Final = ("top", "third", "half", "two thirds", "bottom")


@dataclass(frozen=True)
class PhotoMark:
    """One mark: an arrow from start to end, a ring in the box between them, or a dimension between them."""

    number: int
    kind: Kind
    start: Point
    end: Point
    label: str = ""

    @property
    def point(self) -> Point:
        """What it is about: the tip of an arrow, the middle of anything else."""
        if self.kind == "arrow":
            return self.end
        return (self.start[0] + self.end[0]) // 2, (self.start[1] + self.end[1]) // 2


def whereabouts(point: Point) -> tuple[str, str]:
    """Where a point lies, as keys: how far across (ACROSS), and how far down (DOWN)."""
    return _band(point[0], ACROSS), _band(point[1], DOWN)


def _band(part: int, names: tuple[str, ...]) -> str:
    return names[sum(part >= limit for limit in BANDS)]


def box_of(square: str) -> tuple[Point, Point]:
    """Upper left and lower right corner of a square. Raises PictureError for one that there is not."""
    letter, figure = square[:1].upper(), square[1:]
    if not letter or letter not in COLUMNS or figure not in {str(row) for row in range(1, ROWS + 1)}:
        raise PictureError(f"a square is A1 to {COLUMNS[-1]}{ROWS}, not {square!r}")
    across, down = COLUMNS.index(letter), int(figure) - 1
    return (
        (across * FULL // len(COLUMNS), down * FULL // ROWS),
        ((across + 1) * FULL // len(COLUMNS), (down + 1) * FULL // ROWS),
    )


def centre_of(square: str) -> Point:
    """The middle of a square. Raises PictureError as ``box_of``."""
    (left, top), (right, bottom) = box_of(square)
    return (left + right) // 2, (top + bottom) // 2


def overlay(marks: Iterable[PhotoMark], *, prefix: str) -> str:
    """The marks as one drawing to lie over a picture on a screen, whatever size it is shown in.

    What they say stands beside it in words: to a screen reader the drawing is silent.
    """
    return _layer(_drawn(marks, Pen(prefix, SCREEN), 1.0), "photo-marks")


def marked_photo(
    marks: Iterable[PhotoMark],
    *,
    photo: str,
    width: int,
    height: int,
    box: tuple[float, float],
    prefix: str,
    inks: Mapping[Ink, str],
) -> str:
    """A picture of its own for paper: the photo of that name and size with the marks over it.

    ``box`` is the width and height on paper, in millimetres, into which it will be fitted.
    """
    unit = UNIT_ON_PAPER * max(width / box[0], height / box[1])
    return element(
        "svg",
        element("image", href=photo, x=0, y=0, width=width, height=height),
        _drawn(marks, Pen(prefix, inks), unit),
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {width} {height}",
        width=width,
        height=height,
    )


def draft(*, prefix: str) -> str:
    """An empty layer with the heads of arrows and the ends of dimensions, for a mark that is still being placed."""
    return _layer(element("defs", *_ends(Pen(prefix, SCREEN), 1.0)), "photo-draft")


def squares(*, prefix: str) -> str:
    """The lettered squares, as one drawing to lie over a picture on a screen."""
    pen = Pen(prefix, SCREEN)
    strokes: tuple[tuple[Ink, float], ...] = (("panel", 3.0), ("ink", 1.0))
    lines = [
        pen.shape("line", line=ink, stroke_width=wide, x1=x1, y1=y1, x2=x2, y2=y2)
        for x1, y1, x2, y2 in _between_squares()
        for ink, wide in strokes
    ]
    names = [
        _slip(pen, centre_of(f"{letter}{row}"), (f"{letter}{row}",), size=11.0)
        for letter in COLUMNS
        for row in range(1, ROWS + 1)
        if letter == "A" or row == 1
    ]
    return _layer("".join([*lines, *names]), "photo-squares")


def _between_squares() -> list[tuple[str, str, str, str]]:
    across = [_percent(n * FULL // len(COLUMNS)) for n in range(1, len(COLUMNS))]
    down = [_percent(n * FULL // ROWS) for n in range(1, ROWS)]
    return [*((x, "0%", x, "100%") for x in across), *(("0%", y, "100%", y) for y in down)]


def _layer(body: str, name: str) -> str:
    return element(
        "svg",
        body,
        class_=f"picture photo-layer {name}",
        width="100%",
        height="100%",
        aria_hidden="true",
        focusable="false",
    )


def _drawn(marks: Iterable[PhotoMark], pen: Pen, unit: float) -> str:
    """Every mark in the order given; an empty text where there is none."""
    drawn = [_mark(mark, pen, unit) for mark in marks]
    return element("defs", *_ends(pen, unit)) + "".join(drawn) if drawn else ""


def _mark(mark: PhotoMark, pen: Pen, unit: float) -> str:
    draw = _ring if mark.kind == "ring" else _line
    cased = draw(mark, pen, "panel", CASING * unit) + draw(mark, pen, "accent", CORE * unit)
    return element("g", cased, _number(mark, pen, unit), data_mark=mark.number, data_kind=mark.kind)


def _line(mark: PhotoMark, pen: Pen, ink: Ink, wide: float) -> str:
    tip, tick = f"url(#{pen.prefix}-tip-{ink})", f"url(#{pen.prefix}-tick-{ink})"
    return pen.shape(
        "line",
        line=ink,
        x1=_percent(mark.start[0]),
        y1=_percent(mark.start[1]),
        x2=_percent(mark.end[0]),
        y2=_percent(mark.end[1]),
        stroke_width=wide,
        marker_start=tick if mark.kind == "dimension" else None,
        marker_end=tick if mark.kind == "dimension" else tip,
    )


def _ring(mark: PhotoMark, pen: Pen, ink: Ink, wide: float) -> str:
    (x1, y1), (x2, y2) = mark.start, mark.end
    return pen.shape(
        "ellipse",
        line=ink,
        cx=_percent((x1 + x2) / 2),
        cy=_percent((y1 + y2) / 2),
        rx=_percent(abs(x2 - x1) / 2),
        ry=_percent(abs(y2 - y1) / 2),
        stroke_width=wide,
    )


def _ends(pen: Pen, unit: float) -> list[str]:
    """Heads of arrows, and the ends of dimensions: a short bar across with a slanting stroke through it."""
    u = unit
    inner = f"M{3 * u:g} 0L{-14 * u:g} {-6 * u:g}V{6 * u:g}Z"
    outer = f"M{9 * u:g} 0L{-17 * u:g} {-9.5 * u:g}V{9.5 * u:g}Z"
    tick = f"M0 {-9 * u:g}V{9 * u:g}M{-5 * u:g} {5 * u:g}L{5 * u:g} {-5 * u:g}"
    cased: dict[str, object] = {"stroke_width": CASING * u, "stroke_linecap": "square"}
    return [
        _end(pen, "tip-panel", pen.shape("path", d=outer, fill="panel")),
        _end(pen, "tip-accent", pen.shape("path", d=inner, fill="accent")),
        _end(pen, "tick-panel", pen.shape("path", d=tick, line="panel", **cased)),  # type: ignore[arg-type]
        _end(pen, "tick-accent", pen.shape("path", d=tick, line="accent", stroke_width=CORE * u)),
    ]


def _end(pen: Pen, name: str, body: str) -> str:
    return element(
        "marker",
        body,
        id=f"{pen.prefix}-{name}",
        orient="auto",
        markerUnits="userSpaceOnUse",
        markerWidth=1,
        markerHeight=1,
        overflow="visible",
    )


def _number(mark: PhotoMark, pen: Pen, unit: float) -> str:
    """The number on a slip of paper: at an arrow's tail, on top of a ring, beside a dimension with its length."""
    (x1, y1), (x2, y2) = mark.start, mark.end
    words = (str(mark.number), mark.label) if mark.label else (str(mark.number),)
    if mark.kind == "arrow":
        return _slip(pen, mark.start, words, unit=unit)
    if mark.kind == "ring":
        return _slip(pen, ((x1 + x2) // 2, min(y1, y2)), words, unit=unit)
    beside: Side = "down" if abs(x2 - x1) >= abs(y2 - y1) else "across"
    return _slip(pen, mark.point, words, unit=unit, beside=beside)


def _slip(
    pen: Pen,
    point: Point,
    words: tuple[str, ...],
    *,
    unit: float = 1.0,
    size: float = LETTERS,
    beside: Side = "",
) -> str:
    """Words on a slip of paper at ``point``, moved towards the middle of the photo as far as its edge asks.

    ``beside``: wholly on that side of the point which is nearer to the middle.
    """
    tall = HEIGHT * size / LETTERS * unit
    widths = [max(width_of(part, size * unit, "semibold") * SLACK + 9 * unit, tall) for part in words]
    wide, away = sum(widths), 14 * unit
    right, down = (FULL / 2 - point[0]) / FULL, (FULL / 2 - point[1]) / FULL
    across = (wide / 2 + away) * (1 if right >= 0 else -1) if beside == "across" else right * wide
    below = (tall / 2 + away) * (1 if down > 0 else -1) if beside == "down" else down * tall
    drawn, left = list[str](), across - wide / 2
    for part, width in zip(words, widths, strict=True):
        drawn.append(
            pen.box(left, below - tall / 2, width, tall, fill="panel", line="ink", stroke_width=1.5 * unit)
        )
        foot = below + size * unit * 0.34
        drawn.append(pen.text(left + width / 2, foot, part, size * unit, weight="semibold", anchor="middle"))
        left += width
    return element("svg", *drawn, x=_percent(point[0]), y=_percent(point[1]), overflow="visible")


def _percent(part: float) -> str:
    return f"{number(part * 100 / FULL)}%"
