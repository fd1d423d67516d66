"""Where everything on a whole sheet goes.

From left to right: machine room, bracket elevations, section, dimension strings, schedule. Heights follow from the
words; nothing is cut off. A sheet that would draw its section too small grows wider instead.
"""

from dataclasses import dataclass
from functools import cached_property

from coordination.pictures.frame import Box, Frame
from coordination.pictures.notes import Note, Type, note
from coordination.pictures.pen import Pen
from coordination.pictures.placing import clear_spot, spread
from coordination.pictures.regions import Regions, regions_of
from coordination.pictures.scene import EARTH, FLOOR, PIT_SLAB, Stage
from coordination.pictures.section import FOOT, INCH, Section
from coordination.pictures.typeface import width_of, wrap


@dataclass(frozen=True)
class Format:
    """Measures of one kind of sheet, in px; scales in px per foot. ``block`` 0: no title block and no frame."""

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
# On a page that has a title block of its own: neither frame nor block, and lower, so that words find room beneath it.
PAGE = Format(
    width=720, margin=0, inset=4, schedule=196, type=Type(12.5, 11.5, 10.5, 10.5, 19), block=0, tall=400,
    scale_low=9, scale_high=20, room=(92, 140), floor=(36, 66), chain=56,
)  # fmt: skip


BEND = 42.0  # between the dimension strings and the schedule, where leaders turn


class Layout:
    """Where everything on one sheet goes; each measure is worked out once, from the section and the format."""

    def __init__(self, pen: Pen, section: Section, format_: Format) -> None:
        self.pen, self.section, self.format = pen, section, format_
        self.left = format_.margin + format_.inset
        self.width = format_.width + self._lacking()
        self.right = self.width - format_.margin - format_.inset

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
        word = max((width_of(word, size * 0.9) for word in self.section.words.brackets.split()), default=0)
        return max(widest, word, 4.2 * size) + 26

    @cached_property
    def bracket_heading(self) -> tuple[str, ...]:
        """The heading of the column of bracket elevations, in lines."""
        return wrap(self.section.words.brackets, self.label_width - 24, self.format.type.dimension * 0.9)

    @property
    def label_left(self) -> float:
        """Left edge of the column of bracket elevations."""
        floor = self.floor if self.section.has("rear") else 0
        return self._across[0] - floor - self.label_width - 4

    @property
    def room_abuts(self) -> bool:
        """Whether the machine room is drawn against the rear wall."""
        room = self.section.machine_room
        if room is None or room.distance or self.section.has("rear"):
            return False
        return room.depth / FOOT * self._wanted() >= self.label_width + 34

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
        route_from = (
            max(self.label_left - 16, room_right - room_width * 0.92) if self.room_abuts else room_right
        )
        return Stage(
            frame=frame, floor=self.floor, room_right=room_right, room_width=room_width, route_from=route_from
        )  # fmt: skip

    @property
    def schedule_x(self) -> float:
        """Left edge of the schedule."""
        return self.right - self.format.schedule

    def _ground(self, scale: float) -> float:
        """Page y of elevation zero, low enough for the top slab and for the note above the machine room."""
        head = self.format.margin + self.format.inset
        top = head + self._heading_height() + FLOOR * scale + self.section.shaft.top * scale
        for bracket in self.section.rails.brackets:
            heading = len(self.bracket_heading) * self.format.type.dimension * 1.04 + 14
            top = max(top, self.format.margin + 4 + heading + bracket * scale)
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
        beside = self.label_left - 6 - self.format.room[1]
        return max(self.left, min(self._across[1] - self._across[2] - 4, beside))

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
