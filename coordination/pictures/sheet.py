"""The whole sheet: section, dimension strings, schedule with leaders, title block.

Laid out from left to right: machine room, bracket elevations, section, dimension strings, schedule. Heights follow
from the words; nothing is cut off.
"""

from dataclasses import dataclass
from functools import cached_property

from coordination.pictures.frame import Box, Frame
from coordination.pictures.notes import Note, Type, note
from coordination.pictures.pen import Pen
from coordination.pictures.placing import clear_spot, spread
from coordination.pictures.regions import Regions, hatched, regions_of
from coordination.pictures.scene import EARTH, FLOOR, PIT_SLAB, Stage, building, fittings
from coordination.pictures.section import FOOT, INCH, Section, dimensions_of, name_of
from coordination.pictures.title_block import block_height, title_block
from coordination.pictures.typeface import width_of, wrap


@dataclass(frozen=True)
class Format:
    """Measures of one kind of sheet, in px; scales in px per foot."""

    width: float
    margin: float
    inset: float
    schedule: float
    type: Type
    block: float
    tall: float
    scale_low: float
    scale_high: float
    room: tuple[float, float]
    floor: tuple[float, float]
    chain: float


SHEET = Format(
    width=1180, margin=16, inset=22, schedule=318, type=Type(17, 15, 13.5, 13, 26), block=13.5, tall=650,
    scale_low=17, scale_high=27, room=(130, 190), floor=(66, 118), chain=84,
)  # fmt: skip
LETTER = Format(
    width=720, margin=6, inset=10, schedule=196, type=Type(12.5, 11.5, 10.5, 10.5, 19), block=10.5, tall=560,
    scale_low=11.5, scale_high=20, room=(92, 140), floor=(36, 66), chain=56,
)  # fmt: skip


BEND = 42.0  # between the dimension strings and the schedule, where leaders turn


class Sheet:
    """One sheet being laid out; every measure is worked out once, from the section and the format."""

    def __init__(self, pen: Pen, section: Section, format_: Format) -> None:
        self.pen, self.section, self.format = pen, section, format_
        self.left = format_.margin + format_.inset
        self.width = format_.width + self._lacking()
        self.right = self.width - format_.margin - format_.inset

    # -- horizontal ------------------------------------------------------------------------------------------------

    @cached_property
    def bracket_labels(self) -> list[str]:
        """Bracket elevations above the pit floor, from the bottom."""
        floor = self.section.shaft.pit_floor
        return [self.section.words.length(e - floor) for e in sorted(self.section.rails.brackets)]

    @cached_property
    def label_width(self) -> float:
        """Width of the column of bracket elevations."""
        size = self.format.type.dimension
        widest = max((width_of(label, size) for label in self.bracket_labels), default=0)
        return max(widest + 26, 4.2 * size)

    @property
    def label_left(self) -> float:
        """Left edge of the column of bracket elevations."""
        floor = self.floor if self.section.has("rear") else 0
        return self._across[0] - floor - self.label_width - 4

    @property
    def room_abuts(self) -> bool:
        """Whether the machine room is drawn against the rear wall."""
        room = self.section.machine_room
        return bool(room and room.distance == 0 and not self.section.has("rear"))

    @cached_property
    def chain(self) -> float:
        """Width of one dimension string with its words; the longest word stays whole."""
        names = self.section.words.names
        words = [word for kind in ("pit depth", "travel", "overhead") for word in names.get(kind, "").split()]
        size = self.format.type.dimension
        return max([self.format.chain, *(width_of(word, size * 0.9) + 18 for word in words)])

    def _around(self, ease: float) -> tuple[float, float, float]:
        """Width left of the section that does not scale, the machine room's column, and the width right of it."""
        section, format_ = self.section, self.format
        floor, room = (low + (high - low) * ease for low, high in (format_.floor, format_.room))
        left = 0.0
        if self.room_abuts:
            room += self.label_width
        else:
            left = (floor if section.has("rear") else 0) + self.label_width + self._gap()
        chains = self.chain * (2 if len(section.landings) > 2 else 1)
        right = (floor if section.has("front") else 20) + chains + format_.schedule + BEND
        return left, room if section.machine_room else 0, right

    def _gap(self) -> float:
        """Width between machine room and bracket elevations, where the distance is written."""
        room = self.section.machine_room
        words = self.section.words.length(room.distance) if room and room.distance else ""
        return max(width_of(words, self.format.type.dimension, "semibold") + 26, 34) if room else 0

    @cached_property
    def ease(self) -> float:
        """How far floors and machine room may stretch (1 to 0) before the section itself would become too small."""
        for tenths in range(10, 0, -1):
            if self._room_for_section(tenths / 10) >= self._wanted():
                return tenths / 10
        return 0.0

    def _wanted(self) -> float:
        shaft, format_ = self.section.shaft, self.format
        rise = (shaft.top - shaft.pit_floor) / FOOT
        return min(max(format_.tall / rise, format_.scale_low), format_.scale_high)

    def _lacking(self) -> float:
        """By how much the sheet must grow so that its section is not drawn below the least scale."""
        around = sum(self._around(0.0)) + 6 + 2 * self.left
        return max(0.0, around + self._wanted_low() * self._feet - self.format.width)

    def _wanted_low(self) -> float:
        return min(self._wanted(), self.format.scale_low)

    @property
    def _feet(self) -> float:
        """Depth of the hoistway over its walls, in feet."""
        return (self.section.shaft.depth + 2 * self.section.shaft.wall_thickness) / FOOT

    def _room_for_section(self, ease: float) -> float:
        """Px per foot that the width allows."""
        return (self.right - self.left - sum(self._around(ease)) - 6) / self._feet

    @cached_property
    def per_foot(self) -> float:
        """Scale in px per foot: as tall as the format wants, unless the width does not allow it."""
        return min(self._wanted(), self._room_for_section(self.ease))

    @cached_property
    def floor(self) -> float:
        """Length of the floors beside the openings."""
        low, high = self.format.floor
        return low + (high - low) * self.ease

    @cached_property
    def _across(self) -> tuple[float, float, float]:
        """Page x of the rear wall's outer face and of the machine room's right side, and that room's width."""
        section, scale = self.section, self.per_foot / FOOT
        left, column, right = self._around(self.ease)
        spare = self.right - self.left - left - right - self._feet * self.per_foot
        room = section.machine_room
        room_width = min(room.depth * scale, spare - 6) if room else 0
        column = max(room_width + 6, column) if room else 0
        outer = self.left + left + column + max(0.0, spare - column) / 2
        return outer, outer if self.room_abuts else outer - left + 6, room_width

    @cached_property
    def stage(self) -> Stage:
        """Where the section stands."""
        outer, room_right, room_width = self._across
        scale = self.per_foot / FOOT
        left = outer + self.section.shaft.wall_thickness * scale
        frame = Frame(left=left, ground=self._ground(scale), scale=scale)
        return Stage(frame=frame, floor=self.floor, room_right=room_right, room_width=room_width)

    @property
    def schedule_x(self) -> float:
        """Left edge of the schedule."""
        return self.right - self.format.schedule

    # -- vertical --------------------------------------------------------------------------------------------------

    def _ground(self, scale: float) -> float:
        """Page y of elevation zero, low enough for the top slab and for the note above the machine room."""
        head = self.format.margin + self.format.inset
        top = head + self._heading_height() + FLOOR * scale + self.section.shaft.top * scale
        room = self.section.machine_room
        if room and self.room_note:
            above = head + self.room_note.height + 22 + (room.floor + room.height + 6 * INCH) * scale
            return max(top, above)
        return top

    def _heading_height(self) -> float:
        return 8.0

    @cached_property
    def room_note(self) -> Note | None:
        """The machine room's schedule entry, which stands above the room."""
        place = self.section.place_of("machine room")
        drawn = place and self.section.machine_room
        return note(place, self.label_left - self._note_x - 6, self.format.type) if place and drawn else None

    @property
    def _note_x(self) -> float:
        """Left edge of the entry above the machine room."""
        return self._across[1] - self._across[2] - 4

    @cached_property
    def route_note(self) -> Note | None:
        """The route's schedule entry, which stands below the room's floor."""
        place = self.section.place_of("route")
        drawn = place and self.section.machine_room
        return note(place, self._left_column, self.format.type) if place and drawn else None

    @property
    def _left_column(self) -> float:
        return min(self.format.room[1] + 40, self.label_left - self.left)

    @cached_property
    def regions(self) -> Regions:
        """The places on the page."""
        return regions_of(self.section, self.stage)

    @cached_property
    def notes(self) -> list[tuple[Note, float]]:
        """The schedule at the right: entries with the page y they want, from the top."""
        aside = {
            self.room_note.place.key if self.room_note else None,
            self.route_note.place.key if self.route_note else None,
        }
        places = [place for place in self.section.places if place.key not in aside]
        found = [
            (note(p, self.format.schedule, self.format.type), self.anchors.get(p.key, (0.0, 1e6))[1])
            for p in places
        ]
        return sorted(found, key=lambda item: (item[1], item[0].place.key))

    @cached_property
    def pit_bottom(self) -> float:
        """Lowest point of the ground under the pit."""
        shaft, sump = self.section.shaft, self.section.sump
        return self.stage.frame.y(
            shaft.pit_floor - max(PIT_SLAB + EARTH, sump.depth + 6 * INCH if sump else 0)
        )

    @cached_property
    def section_bottom(self) -> float:
        """Lowest drawn point of the section and of the note under the machine room."""
        bottom = self.pit_bottom + 1.4 * self.format.type.dimension
        if self.route_note:
            bottom = max(bottom, self._route_top + self.route_note.height)
        return bottom

    @property
    def _route_top(self) -> float:
        room = self.section.machine_room
        return self.stage.frame.y(room.floor - FLOOR) + 26 if room else 0

    @cached_property
    def tops(self) -> tuple[float, ...]:
        """Upper edges of the schedule's entries."""
        heights = [item.height for item, _ in self.notes]
        low = self.format.margin + self.format.inset - 4
        gap = 10.0
        high = max(self.section_bottom, low + sum(heights) + gap * len(heights))
        wanted = [centre for _, centre in self.notes]
        return spread(wanted, heights, gap=gap, low=low, high=high)

    @cached_property
    def body_bottom(self) -> float:
        """Where the title block may begin."""
        ends = [top + item.height for top, (item, _) in zip(self.tops, self.notes, strict=True)]
        return max([self.section_bottom + 20, *ends]) + 18

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
        parts.append(self.pen.text(x, y - 4, self.section.words.length(0), size, ink="quiet"))
        parts.append(
            self.pen.text(
                x + count * px,
                y - 4,
                self.section.words.length(count * step),
                size,
                anchor="end",
                ink="quiet",
            )
        )
        return "".join(parts)

    # -- leaders ---------------------------------------------------------------------------------------------------

    @cached_property
    def anchors(self) -> dict[str, tuple[float, float]]:
        """Where each leader begins: clear of floors, brackets and the other leaders; small regions choose first."""
        taken = [
            (y - 2.0, y + 9.0) for y in (self.stage.frame.y(item.elevation) for item in self.section.landings)
        ]
        taken += [(y - 5.0, y + 5.0) for y in (self.stage.frame.y(e) for e in self.section.rails.brackets)]
        taken += [
            (y - 8, y + 12)
            for y in (self.stage.frame.y(d.elevation) for d in self.section.devices if d.where == "hoistway")
        ]
        found = {}
        places = [place for place in self.section.places if place.key in self.regions]
        for place in sorted(places, key=lambda place: (self.regions[place.key][0].height, place.key)):
            box = self.regions[place.key][0]
            if place.kind in ("machine room", "route"):
                continue
            blocked = taken + self._blockers(place.key, box)
            y = clear_spot(box.middle, 4.0, blocked, low=box.y + 4, high=box.bottom - 4)
            taken.append((y - 12, y + 12))
            found[place.key] = (self._anchor_x(place.kind, box), y)
        return found

    def _anchor_x(self, kind: str, box: Box) -> float:
        if kind == "landing":
            front = box.x > self.stage.frame.left
            return box.x + box.width * (0.7 if front else 0.25)
        return box.x + box.width * (0.86 if kind in ("pit", "hoistway top") else 0.5)

    def _blockers(self, key: str, box: Box) -> list[tuple[float, float]]:
        """Regions that a leader to the right would have to cross."""
        through = {key, *(place.key for place in self.section.places if place.kind == "hoistway")}
        others = (b for k, boxes in self.regions.items() if k not in through for b in boxes)
        return [(b.y, b.bottom) for b in others if b.x >= box.right - 1]

    def leaders(self) -> str:
        """Thin lines from each place to its entry, level until they are past the dimension strings."""
        parts, bend = [], self.schedule_x - BEND + 2
        size = self.format.type.swatch
        for top, (item, _) in zip(self.tops, self.notes, strict=True):
            if item.place.key not in self.anchors:
                continue
            x, y = self.anchors[item.place.key]
            end = top + 2 + size / 2
            parts.append(
                self._leader((x, y), (bend, y), (self.schedule_x - 12, end), (self.schedule_x - 4, end))
            )
        return "".join(parts)

    def _leader(self, *points: tuple[float, float]) -> str:
        x, y = points[0]
        dot = self.pen.shape("circle", cx=x, cy=y, r=2.6, fill="accent", line="paper", stroke_width=1)
        return self.pen.stroke(*points, line="accent", stroke_width=1.1, class_="picture-leader") + dot

    # -- drawing ---------------------------------------------------------------------------------------------------

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
                low=min(top + half, bottom - half),
                high=bottom + half + 4 if kind == "pit depth" else max(bottom - half, top + half),
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
        words = wrap(self.section.words.brackets, max(self.label_width + 20, 92), size)
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
            parts.append(self._leader((swatch.centre, box.y + 14), (swatch.centre, swatch.bottom + 2)))
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
            parts.append(self._leader(*points))
            parts.append(self.route_note.draw(self.pen, x, self._route_top))
        return "".join(parts)

    def _route_x(self, box: Box) -> float:
        """Where the route's leader begins: left of the bracket elevations, or inside a room against the wall."""
        if self.room_abuts:
            return box.centre
        return (self.stage.room_right + max(3.0, self.stage.frame.px(5 * INCH)) + self.label_left) / 2 + 14

    def between(self) -> str:
        """The line from machine room to hoistway, and how far it is where the room stands away."""
        room = self.section.machine_room
        if room is None:
            return ""
        frame, stage = self.stage.frame, self.stage
        y, start = frame.y(room.route), stage.room_right - (stage.room_width * 0.2 if self.room_abuts else 0)
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
        f, pen, section, stage = self.format, self.pen, self.section, self.stage
        inner = self.width - 2 * f.margin
        block_high = block_height(section.title_block, inner, f.block)
        block = Box(f.margin, self.body_bottom, inner, block_high)
        height = block.bottom + f.margin
        entries = "".join(
            item.draw(pen, self.schedule_x, top) for top, (item, _) in zip(self.tops, self.notes, strict=True)
        )
        body = [
            pen.box(0, 0, self.width, height, fill="paper"),
            pen.box(f.margin, f.margin, inner, height - 2 * f.margin, line="ink", stroke_width=1.6),
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
            title_block(pen, section.title_block, block, f.block),
        ]
        return body, self.width, height
