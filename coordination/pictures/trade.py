"""One place enlarged with its dimensions, for the sheet of the trade that works there.

Dimensions whose key or kind stands in ``section.matters`` are drawn in the accent ink, heavier and larger.
"""

from typing import Final

from coordination.pictures.fittings import fittings
from coordination.pictures.frame import Box, Frame
from coordination.pictures.pen import Ink, Pen, PictureError, element
from coordination.pictures.placing import clear_spot, spread
from coordination.pictures.regions import hatched, regions_of
from coordination.pictures.scene import FLOOR, PIT_SLAB, Stage, building
from coordination.pictures.section import INCH, Dimension, Place, Section, dimensions_of, name_of
from coordination.pictures.typeface import Weight, width_of, wrap

WIDTH: Final = 390.0
TALL: Final = 520.0
SIZE: Final = 14.0
ROW: Final = 40.0
PAD: Final = 8.0
NARROWEST: Final = 130.0
AWAY: Final = 110 * INCH

Window = tuple[float, float, float, float]


def trade(pen: Pen, section: Section, focus: str, width: float | None) -> tuple[list[str], float, float]:
    """Parts, width and height of the enlarged place. Raises PictureError when there is no such place."""
    place = next((place for place in section.places if place.key == focus), None)
    if place is None:
        raise PictureError(f"appearance.focus: the section has no place {focus!r}")
    return _Enlarged(pen, section, place, width or WIDTH).draw()


def _window(section: Section, place: Place) -> Window:
    """What is shown: depths and elevations (left, right, low, high)."""
    shaft, wall = section.shaft, section.shaft.wall_thickness
    left, right = -wall - 12 * INCH, shaft.depth + wall + 12 * INCH
    low = shaft.pit_floor - max(PIT_SLAB, section.sump.depth + 4 * INCH if section.sump else 0) - 6 * INCH
    room = section.machine_room
    match place.kind:
        case "pit":
            return left, right, low, section.lowest.elevation + 30 * INCH
        case "landing":
            return _landing_window(section, place)
        case "hoistway top":
            return left, right, section.highest.elevation - 14 * INCH, shaft.top + FLOOR + 2 * INCH
        case "machine room" | "route" if room:
            edge = -wall - (AWAY if room.distance else 0)
            end = (
                -wall + 10 * INCH if place.kind == "machine room" and not room.distance else shaft.depth * 0.3
            )
            start = edge - room.depth - 12 * INCH
            return start, end, room.floor - FLOOR - 4 * INCH, room.floor + room.height + 12 * INCH
        case _:
            return left, right, low, shaft.top + FLOOR + 2 * INCH


def _landing_window(section: Section, place: Place) -> Window:
    landing = next(item for item in section.landings if item.key == place.landing)
    wall, depth = section.shaft.wall_thickness, section.shaft.depth
    sides = {opening.side for opening in landing.openings}
    left = -wall - 44 * INCH if "rear" in sides else depth - 26 * INCH
    right = depth + wall + 44 * INCH if "front" in sides else 26 * INCH
    head = max((opening.height + opening.lintel for opening in landing.openings), default=96 * INCH)
    return left, right, landing.elevation - 22 * INCH, landing.elevation + head + 12 * INCH


def _once(dimensions: list[Dimension]) -> list[Dimension]:
    """Each distance once: openings front and rear at the same height need one string."""
    return list({(d.kind, d.low, d.high): d for d in reversed(dimensions)}.values())[::-1]


class _Enlarged:
    """The enlarged place being laid out."""

    def __init__(self, pen: Pen, section: Section, place: Place, width: float) -> None:
        self.pen, self.section, self.place, self.width = pen, section, place, width
        self.window = _window(section, place)
        own = _once([d for d in dimensions_of(section) if d.place == place.key and d.kind != "story"])
        self.levels = [d for d in own if d.kind == "bracket"]
        self.vertical = [d for d in own if d.axis == "vertical" and d.kind != "bracket"]
        self.horizontal = [d for d in own if d.axis == "horizontal"]
        self.columns = self._columns()
        self.left = PAD + max((self._level_width(d) + 30 for d in self.levels), default=0)
        columns = sum(self._column_width(column) for column in self.columns)
        self.width = max(width, self.left + NARROWEST + columns + 2 * PAD)
        self.right = self.width - PAD - sum(self._column_width(column) for column in self.columns)
        self.stage = self._stage()
        frame = self.stage.frame
        self.view = Box(
            frame.x(self.window[0]), frame.y(self.window[3]),
            frame.px(self.window[1] - self.window[0]), frame.px(self.window[3] - self.window[2]),
        )  # fmt: skip

    def _matters(self, dimension: Dimension) -> bool:
        return bool(self.section.matters & {dimension.key, dimension.kind})

    def _value(self, dimension: Dimension) -> str:
        return self.section.words.length(dimension.value)

    def _level_width(self, dimension: Dimension) -> float:
        return width_of(self._value(dimension), self._size(dimension), self._inks(dimension)[3])

    def _columns(self) -> list[list[Dimension]]:
        """Vertical dimensions in columns of which none holds two that overlap."""
        columns: list[list[Dimension]] = []
        for dimension in sorted(self.vertical, key=lambda d: (d.value, d.key)):
            for column in columns:
                if all(d.high <= dimension.low or d.low >= dimension.high for d in column):
                    column.append(dimension)
                    break
            else:
                columns.append([dimension])
        return columns

    def _column_width(self, column: list[Dimension]) -> float:
        widest = max(width_of(self._value(d), self._size(d), "semibold") for d in column)
        words = [width_of(w, SIZE * 0.9) for d in column for w in name_of(self.section.words, d).split()]
        return 24 + max(widest, min(max(words, default=0), 96), 58)

    def _size(self, dimension: Dimension) -> float:
        return SIZE * (1.2 if self._matters(dimension) else 1.0)

    def _stage(self) -> Stage:
        left, right, low, high = self.window
        scale = min((self.right - self.left) / (right - left), TALL / (high - low))
        spare = (self.right - self.left) - (right - left) * scale
        frame = Frame(left=self.left + spare / 2 - left * scale, ground=PAD + high * scale, scale=scale)
        room, wall = self.section.machine_room, self.section.shaft.wall_thickness
        room_right = frame.x(-wall - (AWAY if room and room.distance else 0))
        room_width = frame.px(room.depth) if room else 0
        route_from = room_right - (0 if room and room.distance else room_width * 0.2)
        return Stage(
            frame=frame, floor=frame.px(36 * INCH), room_right=room_right, room_width=room_width, route_from=route_from
        )  # fmt: skip

    def draw(self) -> tuple[list[str], float, float]:
        """Parts, width and height."""
        pen, section, stage = self.pen, self.section, self.stage
        regions = {k: v for k, v in regions_of(section, stage).items() if k == self.place.key}
        rows = self._rows()
        height = self.view.bottom + 14 + ROW * len(self.horizontal)
        height = max(height, self._lowest_words + PAD)
        clip = element(
            "clipPath",
            pen.box(self.view.x, self.view.y, self.view.width, self.view.height),
            id=f"{pen.prefix}-window",
        )
        inside = (
            building(pen, section, stage)
            + hatched(pen, section, regions)
            + f'<g pointer-events="none">{fittings(pen, section, stage)}{self._line()}</g>'
        )
        parts = [
            pen.box(0, 0, self.width, height, fill="paper"),
            element("defs", clip),
            element("g", inside, clip_path=f"url(#{pen.prefix}-window)"),
            self._levels(),
            self._strings,
            rows,
        ]
        return parts, self.width, height

    def _line(self) -> str:
        """The line from machine room to hoistway, broken where the room stands further away than is drawn."""
        room, frame = self.section.machine_room, self.stage.frame
        if room is None:
            return ""
        y = frame.y(room.route)
        line = self.pen.line(
            self.stage.room_right - 10,
            y,
            frame.x(0),
            y,
            stroke_width=1.8,
            stroke_dasharray="7 4",
            data_mark="route",
            data_elevation=room.route,
        )
        if not room.distance:
            return line
        x = (self.stage.room_right + self.stage.outer(self.section, "rear")) / 2
        return line + self.pen.stroke(
            (x - 5, y + 10), (x - 1, y - 3), (x + 1, y + 3), (x + 5, y - 10), stroke_width=1.3
        )

    def _inks(self, dimension: Dimension) -> tuple[Ink, Ink, float, Weight]:
        """Ink of the line and of the words, stroke width, weight."""
        if self._matters(dimension):
            return "accent", "accent", 2.2, "semibold"
        return "quiet", "ink", 0.9, "regular"

    def _levels(self) -> str:
        """Elevations of the brackets at the left."""
        frame, parts, right = self.stage.frame, [], self.left - 24
        ordered = sorted(self.levels, key=lambda d: -d.high)
        wanted = [frame.y(d.high) for d in ordered]
        tops = spread(wanted, [self._size(d) * 1.1 for d in ordered], gap=2, low=0, high=self.view.bottom)
        for dimension, y, top in zip(ordered, wanted, tops, strict=True):
            ink, words, stroke, weight = self._inks(dimension)
            size, middle = self._size(dimension), top + self._size(dimension) * 0.55
            parts.append(
                self.pen.stroke(
                    (frame.x(0), y),
                    (right + 16, y),
                    (right + 10, middle),
                    (right + 4, middle),
                    line=ink,
                    stroke_width=stroke,
                )
            )
            parts.append(
                self.pen.text(
                    right,
                    middle + size * 0.35,
                    self._value(dimension),
                    size,
                    weight=weight,
                    anchor="end",
                    ink=words,
                )
            )
        return "".join(parts)

    @property
    def _strings(self) -> str:
        return self._drawn_strings[0]

    @property
    def _lowest_words(self) -> float:
        return self._drawn_strings[1]

    @property
    def _drawn_strings(self) -> tuple[str, float]:
        """Vertical dimensions at the right, and the lowest point of their words."""
        parts, x, lowest = [], self.view.right + 10, 0.0
        for column in self.columns:
            width = self._column_width(column)
            taken: list[tuple[float, float]] = []
            for dimension in sorted(column, key=lambda d: (d.value, d.key)):
                text, spot = self._string(x, width, dimension, taken)
                parts.append(text)
                taken.append(spot)
                lowest = max(lowest, spot[1])
            x += width
        return "".join(parts), lowest

    def _string(
        self, x: float, width: float, dimension: Dimension, taken: list[tuple[float, float]]
    ) -> tuple[str, tuple[float, float]]:
        frame, (ink, words, stroke, _) = self.stage.frame, self._inks(dimension)
        top, bottom = max(frame.y(dimension.high), self.view.y), min(frame.y(dimension.low), self.view.bottom)
        parts = [self.pen.line(x, top, x, bottom, line=ink, stroke_width=stroke)]
        parts.append(self._end(x, frame.y(dimension.high), ink))
        parts.append(self._end(x, frame.y(dimension.low), ink))
        size = self._size(dimension)
        lines = wrap(name_of(self.section.words, dimension), width - 22, SIZE * 0.9)
        half = (size * 1.2 + len(lines) * SIZE * 1.08) / 2 + 2
        centre = clear_spot(
            (top + bottom) / 2, half, taken, low=self.view.y + half, high=self.view.bottom + 2 * half + 40
        )
        y = centre - half + size
        parts.append(
            self.pen.backed_text(x + 8, y, self._value(dimension), size, weight="semibold", ink=words)
        )
        for index, line in enumerate(lines, 1):
            parts.append(self.pen.backed_text(x + 8, y + SIZE * 1.08 * index, line, SIZE * 0.9, ink="quiet"))
        return "".join(parts), (centre - half, centre + half)

    def _end(self, x: float, y: float, ink: Ink) -> str:
        """A tick, or an arrow head where the dimension goes on outside the picture."""
        if self.view.y - 0.5 <= y <= self.view.bottom + 0.5:
            return self.pen.line(x - 8, y, x + 5, y, line="quiet", stroke_width=0.8) + self.pen.line(
                x - 4, y + 4, x + 4, y - 4, line=ink, stroke_width=1.6
            )
        end, way = (self.view.bottom, -1) if y > self.view.bottom else (self.view.y, 1)
        return self.pen.stroke(
            (x - 4, end + 7 * way), (x, end), (x + 4, end + 7 * way), line=ink, stroke_width=1.4
        )

    def _rows(self) -> str:
        """Horizontal dimensions, one below the other, each with its words under its line."""
        frame, parts = self.stage.frame, []
        for index, dimension in enumerate(self.horizontal):
            ink, words, stroke, _ = self._inks(dimension)
            y = self.view.bottom + 16 + ROW * index
            start, end = self._span(dimension, frame)
            parts.append(self.pen.line(start, y, end, y, line=ink, stroke_width=stroke))
            for x in (start, end):
                parts.append(self.pen.line(x, y - 7, x, y + 5, line="quiet", stroke_width=0.8))
                parts.append(self.pen.line(x - 4, y + 4, x + 4, y - 4, line=ink, stroke_width=1.6))
            value, name = self._value(dimension), name_of(self.section.words, dimension)
            size = self._size(dimension)
            total = width_of(value, size, "semibold") + 8 + width_of(name, SIZE * 0.9)
            x = min(max((start + end) / 2 - total / 2, PAD), self.width - PAD - total)
            parts.append(self.pen.text(x, y + 19, value, size, weight="semibold", ink=words))
            parts.append(
                self.pen.text(x + total - width_of(name, SIZE * 0.9), y + 19, name, SIZE * 0.9, ink="quiet")
            )
        return "".join(parts)

    def _span(self, dimension: Dimension, frame: Frame) -> tuple[float, float]:
        room = self.section.machine_room
        if dimension.kind == "route length":
            return self.stage.room_right, self.stage.outer(self.section, "rear")
        if dimension.kind == "room depth" and room:
            return self.stage.room_right - self.stage.room_width, self.stage.room_right
        return frame.x(dimension.low), frame.x(dimension.high)
