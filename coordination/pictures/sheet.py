"""The whole sheet: section, dimension strings, schedule with leaders, title block."""

from coordination.pictures.fittings import fittings
from coordination.pictures.frame import Box
from coordination.pictures.layout import BEND, Layout
from coordination.pictures.patterns import NO_PART
from coordination.pictures.pen import Ink
from coordination.pictures.placing import clear_spot, spread
from coordination.pictures.regions import hatched
from coordination.pictures.scene import FLOOR, building
from coordination.pictures.section import FOOT, INCH, Place, dimensions_of, name_of
from coordination.pictures.title_block import block_height, title_block
from coordination.pictures.typeface import wrap

STRAY = 90.0  # how far the words of a dimension may leave their span to clear the leaders


class Sheet(Layout):
    """One sheet being drawn over its layout."""

    def scale_bar(self) -> str:
        """Five steps of the unit the building is measured in, drawn at the drawing's own scale."""
        step, size = self.section.words.scale_step, self.format.type.dimension * 0.9
        count = 5 if step < 2 * FOOT else 2
        px = self.stage.frame.px(step)
        x, y = self.stage.outer(self.section, "front") + 14, self.body_bottom - 24
        parts = [
            self.pen.box(
                x + index * px, y, px, 4, fill="panel" if index % 2 else "ink", line="ink", stroke_width=0.8
            )
            for index in range(count)
        ]
        words = self.section.words.length(count * step)
        parts.append(self.pen.text(x + count * px + 6, y + 5, words, size, ink="quiet"))
        return "".join(parts)

    def leaders(self) -> str:
        """Thin lines from each place to its entry, level until they are past the dimension strings."""
        parts, bend = [], self.schedule_x - BEND + 2
        size = self.format.type.swatch
        for top, (item, _) in zip(self.tops, self.notes, strict=True):
            if item.place.key not in self.anchors:
                continue
            x, y = self.anchors[item.place.key]
            end = top + 2 + size / 2
            way = ((x, y), (bend, y), (self.schedule_x - 12, end), (self.schedule_x - 4, end))
            parts.append(self._leader(item.place, *way))
        return "".join(parts)

    def _leader(self, place: Place, *points: tuple[float, float]) -> str:
        ink: Ink = "faint" if place.state == NO_PART else "accent"
        x, y = points[0]
        dot = self.pen.shape("circle", cx=x, cy=y, r=2.6, fill=ink, line="paper", stroke_width=1)
        return self.pen.stroke(*points, line=ink, stroke_width=1.1, class_="picture-leader") + dot

    def dimension_strings(self) -> str:
        """Pit, storeys and overhead in a chain; the whole travel outside it where there is more than one storey."""
        edge = self.stage.outer(self.section, "front") + (self.floor if self.section.has("front") else 20)
        by_kind = dimensions_of(self.section)
        storeys = [d for d in by_kind if d.kind == "story"] or [d for d in by_kind if d.kind == "travel"]
        chain = [
            *(d for d in by_kind if d.kind == "pit depth"),
            *storeys,
            *(d for d in by_kind if d.kind == "overhead"),
        ]
        x = edge + 9
        parts = [self._string(x, [(d.low, d.high, d.kind, name_of(self.section.words, d)) for d in chain])]
        if len(self.section.landings) > 2:
            whole = [d for d in by_kind if d.kind == "travel"]
            parts.append(
                self._string(
                    x + self.chain, [(d.low, d.high, d.kind, name_of(self.section.words, d)) for d in whole]
                )
            )
        return "".join(parts)

    def _string(self, x: float, spans: list[tuple[int, int, str, str]]) -> str:
        frame, parts = self.stage.frame, []
        taken = [(y - 3, y + 3) for _, y in self.anchors.values()]
        for low, high, kind, name in spans:
            top, bottom = frame.y(high), frame.y(low)
            parts += [
                self.pen.line(x, top, x, bottom, stroke_width=0.9),
                self._tick(x, top),
                self._tick(x, bottom),
            ]
            words = [self.section.words.length(high - low)]
            if kind != "story":
                words += wrap(name, self.chain - 16, self.format.type.dimension * 0.9)
            half = (len(words) * self.format.type.dimension * 1.2) / 2 + 1
            centre = clear_spot(
                (top + bottom) / 2,
                half,
                taken,
                low=max(min(top + half, bottom - half) - STRAY, self.left + half),
                high=max(bottom - half, top + half) + 2 * STRAY,
            )
            taken.append((centre - half, centre + half))
            parts.append(self._dimension_words(x + 8, centre - half, words))
        return "".join(parts)

    def _dimension_words(self, x: float, top: float, words: list[str]) -> str:
        size, parts = self.format.type.dimension, []
        for index, line in enumerate(words):
            y = top + size * (0.95 + 1.2 * index)
            if index == 0:
                parts.append(self.pen.backed_text(x, y, line, size, weight="semibold"))
            else:
                parts.append(self.pen.backed_text(x, y, line, size * 0.9, ink="quiet"))
        return "".join(parts)

    def _tick(self, x: float, y: float) -> str:
        return self.pen.line(x - 7, y, x + 5, y, line="quiet", stroke_width=0.7) + self.pen.line(
            x - 4, y + 4, x + 4, y - 4, stroke_width=1.4
        )

    def bracket_strings(self) -> str:
        """Bracket elevations at the left with leaders to the brackets, and their heading above."""
        stage, size = self.stage, self.format.type.dimension
        frame, outer = stage.frame, stage.outer(self.section, "rear")
        end = outer - (self.floor if self.section.has("rear") else 0) - 9
        elevations = sorted(self.section.rails.brackets, reverse=True)
        lines = [frame.y(e) for e in elevations]
        tops = spread(lines, [size * 1.1] * len(lines), gap=2, low=0, high=1e6)
        parts = []
        for line, top, label in zip(lines, tops, reversed(self.bracket_labels), strict=True):
            middle = self._off_the_floor(top + size * 0.55)
            parts.append(
                self.pen.stroke(
                    (frame.x(0) - 1, line),
                    (end - 4, line),
                    (end - 10, middle),
                    (end - 14, middle),
                    line="accent",
                    stroke_width=1,
                )
            )
            parts.append(self.pen.backed_text(end - 18, middle + size * 0.35, label, size, anchor="end"))
        parts.append(
            self._bracket_heading(end - 18, min([*tops, lines[0] if lines else 0]) - 4 if lines else 0)
        )
        return "".join(parts)

    def _off_the_floor(self, middle: float) -> float:
        """A label that would lie on the floor of a machine room against the wall moves up into the room."""
        room, half = self.section.machine_room, self.format.type.dimension * 0.62
        if room is None or not self.room_abuts:
            return middle
        floor = self.stage.frame.y(room.floor)
        return (
            floor - half - 1 if floor - half < middle < floor + self.stage.frame.px(FLOOR) + half else middle
        )

    def _bracket_heading(self, right: float, bottom: float) -> str:
        size = self.format.type.dimension * 0.9
        words = self.bracket_heading
        return "".join(
            self.pen.backed_text(
                right,
                bottom - size * 1.15 * (len(words) - 1 - index) - 3,
                line,
                size,
                anchor="end",
                ink="quiet",
            )
            for index, line in enumerate(words)
        )

    def left_notes(self) -> str:
        """The entries of machine room (above it) and route (below its floor)."""
        parts = []
        room = self.section.machine_room
        if room and self.room_note:
            box = self.stage.room(room)
            x = self._note_x
            top = box.y - 22 - self.room_note.height - self.stage.frame.px(5 * INCH)
            swatch = self.room_note.swatch_box(x, top)
            parts.append(
                self._leader(
                    self.room_note.place,
                    (max(swatch.centre, box.x + 9), box.y + 14),
                    (swatch.centre, box.y + 14),
                    (swatch.centre, swatch.bottom + 2),
                )
            )
            parts.append(self.room_note.draw(self.pen, x, top))
        if room and self.route_note and self.route_note.place.key in self.regions:
            box = self.regions[self.route_note.place.key][0]
            start = self._route_x(box)
            x = min(start - self.format.type.swatch / 2, self.label_left - self._left_column)
            x = max(x, self.left)
            swatch = self.route_note.swatch_box(x, self._route_top)
            turn = self._route_top - 10
            points = (
                (start, box.middle),
                (start, turn),
                (swatch.centre, turn),
                (swatch.centre, swatch.y - 2),
            )
            parts.append(self._leader(self.route_note.place, *points))
            parts.append(self.route_note.draw(self.pen, x, self._route_top))
        return "".join(parts)

    def _route_x(self, box: Box) -> float:
        """Where the route's leader begins: left of the bracket elevations, or inside a room against the wall."""
        if self.room_abuts:
            return box.x + 8
        shift = 14 if self.section.machine_room and self.section.machine_room.distance else 0
        return (self.stage.room_right + max(3.0, self.stage.frame.px(5 * INCH)) + self.label_left) / 2 + shift

    def between(self) -> str:
        """The line from machine room to hoistway, and how far it is where the room stands away."""
        room = self.section.machine_room
        if room is None:
            return ""
        frame, stage = self.stage.frame, self.stage
        y, start = frame.y(room.route), stage.route_from
        parts = [
            self.pen.line(
                start,
                y,
                frame.x(0),
                y,
                stroke_width=1.6,
                stroke_dasharray="7 4",
                data_mark="route",
                data_elevation=room.route,
            )
        ]
        if room.distance and not self.room_abuts:
            size, wall = self.format.type.dimension, max(3.0, frame.px(5 * INCH))
            label = self.section.words.length(room.distance)
            middle = (stage.room_right + wall + self.label_left) / 2
            parts.append(
                self.pen.stroke(
                    (middle - 4, y + 7),
                    (middle - 1, y - 2),
                    (middle + 1, y + 2),
                    (middle + 4, y - 7),
                    line="ink",
                    stroke_width=1.1,
                )
            )
            parts.append(
                self.pen.backed_text(middle, y - 12, label, size, weight="semibold", anchor="middle")
            )
        return "".join(parts)

    def side_names(self) -> str:
        """Which side is the front and which the rear, under the pit."""
        size, middle = self.format.type.dimension, self.stage.frame.x(self.section.shaft.depth / 2)
        y, words = self.pit_bottom + size + 3, self.section.words
        front = self.pen.text(middle + 10, y, f"{words.front} \u2192", size, ink="quiet")
        return front + self.pen.text(middle - 10, y, f"\u2190 {words.rear}", size, ink="quiet", anchor="end")

    def draw(self) -> tuple[list[str], float, float]:
        """The parts of the sheet in order, its width and its height."""
        pen, section, stage = self.pen, self.section, self.stage
        height, framed, block = self._frame()
        entries = "".join(
            item.draw(pen, self.schedule_x, top) for top, (item, _) in zip(self.tops, self.notes, strict=True)
        )
        body = [
            pen.box(0, 0, self.width, height, fill="paper"),
            framed,
            building(pen, section, stage),
            hatched(pen, section, self.regions),
            f'<g pointer-events="none">{fittings(pen, section, stage)}{self.between()}</g>',
            self.side_names(),
            self.scale_bar(),
            self.bracket_strings(),
            self.leaders(),
            self.dimension_strings(),
            self.left_notes(),
            entries,
            block,
        ]
        return body, self.width, height

    def _frame(self) -> tuple[float, str, str]:
        """The height of the sheet, its frame and its title block; empty where the page has its own."""
        f, pen = self.format, self.pen
        if not f.block:
            return self.body_bottom, "", ""
        inner = self.width - 2 * f.margin
        box = Box(f.margin, self.body_bottom, inner, block_height(self.section.title_block, inner, f.block))
        height = box.bottom + f.margin
        framed = pen.box(f.margin, f.margin, inner, height - 2 * f.margin, line="ink", stroke_width=1.6)
        return height, framed, title_block(pen, self.section.title_block, box, f.block)
