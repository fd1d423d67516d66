"""The machine room in plan, to scale: equipment, the clear space each piece needs, and the swing of the door.

Lengths are whole nanometres; x runs along the width, y into the depth from the wall called north. Where a clear space
is not clear, the overlap is hatched and named: the picture reports it and judges nothing.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import cos, pi, sin
from typing import Final, Literal

from coordination.pictures.frame import Box
from coordination.pictures.notes import Line, height_of, set_lines, write_lines
from coordination.pictures.patterns import definitions, material_pattern, state_pattern
from coordination.pictures.pen import PRINT, SCREEN, Pen, PictureError, document
from coordination.pictures.placing import spread
from coordination.pictures.section import INCH, Row
from coordination.pictures.typeface import width_of

Wall = Literal["north", "east", "south", "west"]
WALLS: Final[tuple[Wall, ...]] = ("north", "east", "south", "west")


@dataclass(frozen=True)
class Area:
    """A rectangle on the floor."""

    x: int
    y: int
    width: int
    depth: int

    def overlap(self, other: "Area") -> "Area | None":
        """What both cover, if they share more than an edge."""
        x, y = max(self.x, other.x), max(self.y, other.y)
        right = min(self.x + self.width, other.x + other.width)
        bottom = min(self.y + self.depth, other.y + other.depth)
        return Area(x, y, right - x, bottom - y) if right > x and bottom > y else None


@dataclass(frozen=True)
class Equipment:
    """A piece of equipment and the clear space before it, if it needs one."""

    key: str
    name: str
    area: Area
    clear: Area | None = None
    clear_words: str = ""
    href: str | None = None


@dataclass(frozen=True)
class Door:
    """A door in a wall; ``offset`` from the wall's west or north end; the hinge is at the nearer or farther jamb."""

    wall: Wall
    offset: int
    width: int
    swing: Literal["in", "out"]
    hinge: Literal["near", "far"] = "near"


@dataclass(frozen=True)
class RoomPlan:
    """The room. ``overlap_words`` is printed in the schedule for equipment that stands in a clear space."""

    title: str
    description: str
    width: int
    depth: int
    equipment: tuple[Equipment, ...]
    door: Door
    length: Callable[[int], str]
    door_words: str
    overlap_words: str
    clear_heading: str

    def __post_init__(self) -> None:
        room = Area(0, 0, self.width, self.depth)
        for item in self.equipment:
            if item.area.overlap(room) != item.area:
                raise PictureError(f"equipment: {item.key!r} does not stand inside the room")
        wall = self.width if self.door.wall in ("north", "south") else self.depth
        if not 0 <= self.door.offset <= wall - self.door.width:
            raise PictureError("door.offset: the door must lie inside its wall")

    def door_sweep(self) -> Area | None:
        """The square of floor the door sweeps, when it opens inwards."""
        door = self.door
        if door.swing == "out":
            return None
        far = {"north": 0, "west": 0, "south": self.depth - door.width, "east": self.width - door.width}[
            door.wall
        ]
        if door.wall in ("north", "south"):
            return Area(door.offset, far, door.width, door.width)
        return Area(far, door.offset, door.width, door.width)

    def overlaps(self) -> tuple[tuple[str, str, Area], ...]:
        """(whose clear space, what stands in it, where), door sweep included, in the order of the equipment."""
        found = []
        sweep = self.door_sweep()
        for item in (item for item in self.equipment if item.clear):
            assert item.clear is not None  # noqa: S101 - narrowed by the generator, said again for the type checker
            for other in (other for other in self.equipment if other.key != item.key):
                if area := item.clear.overlap(other.area):
                    found.append((item.key, other.key, area))
            if sweep and (area := item.clear.overlap(sweep)):
                found.append((item.key, "door", area))
        return tuple(found)


SCHEDULE: Final = 250.0
PAD: Final = 16.0
THICK: Final = 5 * INCH


def machine_room_plan(plan: RoomPlan, *, prefix: str, paper: bool = False, width: float = 720.0) -> str:
    """The plan as SVG, with a schedule at the right (under the plan below 560 px)."""
    pen = Pen(prefix=prefix, inks=PRINT if paper else SCREEN)
    body, height = _Plan(pen, plan, width).draw()
    return document(
        definitions(pen), *body, prefix=prefix, width=width, height=height, title=plan.title,
        description=plan.description, links=False, kind="plan",
    )  # fmt: skip


def table_of_plan(plan: RoomPlan) -> tuple[Row, ...]:
    """Cells of equipment: name, size, clear space; of an overlap: whose clear space, what stands in it, how far."""
    names = {item.key: item.name for item in plan.equipment} | {"door": plan.door_words}
    rows = [
        Row(
            "equipment",
            item.key,
            (item.name, _size(plan, item.area), _size(plan, item.clear) if item.clear else ""),
            item.href,
        )
        for item in plan.equipment
    ]
    rows += [
        Row("overlap", f"{a} {b}", (names[a], names[b], _size(plan, area))) for a, b, area in plan.overlaps()
    ]
    return tuple(rows)


def _size(plan: RoomPlan, area: Area) -> str:
    return f"{plan.length(area.width)} × {plan.length(area.depth)}"


class _Plan:
    def __init__(self, pen: Pen, plan: RoomPlan, width: float) -> None:
        self.pen, self.plan, self.width = pen, plan, width
        self.beside = width >= 560
        left = PAD + max(width_of(plan.length(plan.depth), 13, "semibold") + 18, 40)
        free = width - left - PAD - (SCHEDULE + 50 if self.beside else 10)
        out = {
            wall: plan.door.width if (plan.door.wall, plan.door.swing) == (wall, "out") else 0
            for wall in WALLS
        }
        across = plan.width + 2 * THICK + out["west"] + out["east"]
        self.scale = min(free / across, 460 / (plan.depth + 2 * THICK))
        self.out = {wall: reach * self.scale for wall, reach in out.items()}
        thick = THICK * self.scale
        self.origin = (left + thick + self.out["west"], PAD + thick + self.out["north"])

    def at(self, area: Area) -> Box:
        """An area on the page."""
        x, y = self.origin
        s = self.scale
        return Box(x + area.x * s, y + area.y * s, area.width * s, area.depth * s)

    @property
    def room(self) -> Box:
        """The room's inside on the page."""
        return self.at(Area(0, 0, self.plan.width, self.plan.depth))

    def draw(self) -> tuple[list[str], float]:
        """Parts and height."""
        schedule, bottom = self._schedule()
        height = max(bottom, self.room.bottom + THICK * self.scale + self.out["south"] + 44) + PAD
        parts = [
            self.pen.box(0, 0, self.width, height, fill="paper"),
            self._walls(),
            self._clear_spaces(),
            *(self._equipment(item) for item in self.plan.equipment),
            self._overlaps(),
            self._letters(),
            self._door(),
            self._dimensions(),
            schedule,
        ]
        return parts, height

    def _walls(self) -> str:
        room, t = self.room, THICK * self.scale
        wall = material_pattern("wood stud")
        outer = self.pen.box(
            room.x - t,
            room.y - t,
            room.width + 2 * t,
            room.height + 2 * t,
            pattern=wall,
            line="ink",
            stroke_width=1.4,
        )
        return outer + self.pen.box(
            room.x, room.y, room.width, room.height, fill="panel", line="ink", stroke_width=1.4
        )

    def _clear_spaces(self) -> str:
        boxes = [self.at(item.clear) for item in self.plan.equipment if item.clear]
        return "".join(
            self.pen.box(b.x, b.y, b.width, b.height, fill="accent", fill_opacity=0.07)
            + self.pen.box(
                b.x, b.y, b.width, b.height, line="accent", stroke_width=1.2, stroke_dasharray="6 4"
            )
            for b in boxes
        )

    def _equipment(self, item: Equipment) -> str:
        b = self.at(item.area)
        cross = self.pen.line(b.x, b.y, b.right, b.bottom, line="faint", stroke_width=0.7)
        cross += self.pen.line(b.x, b.bottom, b.right, b.y, line="faint", stroke_width=0.7)
        return (
            self.pen.box(b.x, b.y, b.width, b.height, fill="paper")
            + cross
            + self.pen.box(b.x, b.y, b.width, b.height, line="ink", stroke_width=1.6)
        )

    def _letter(self, item: Equipment) -> str:
        """What ties a piece of equipment to its entry where the schedule stands below the plan."""
        return chr(ord("A") + [other.key for other in self.plan.equipment].index(item.key) % 26)

    def _letters(self) -> str:
        boxes = [(item, self.at(item.area)) for item in self.plan.equipment if not self.beside]
        return "".join(
            self.pen.backed_text(
                b.centre, b.middle + 5, self._letter(item), 14, weight="semibold", anchor="middle"
            )
            for item, b in boxes
        )

    def _overlaps(self) -> str:
        boxes = [self.at(area) for _, _, area in self.plan.overlaps()]
        return "".join(
            self.pen.box(
                b.x, b.y, b.width, b.height, pattern=state_pattern("refused"), line="ink", stroke_width=1.4
            )
            for b in boxes
        )

    def _jambs(self) -> tuple[tuple[float, float], tuple[float, float], tuple[float, float]]:
        """Hinge, latch and the direction into the room, on the page."""
        door, room, s = self.plan.door, self.room, self.scale
        near, far = door.offset * s, (door.offset + door.width) * s
        if door.hinge == "far":
            near, far = far, near
        match door.wall:
            case "north":
                return (room.x + near, room.y), (room.x + far, room.y), (0.0, 1.0)
            case "south":
                return (room.x + near, room.bottom), (room.x + far, room.bottom), (0.0, -1.0)
            case "west":
                return (room.x, room.y + near), (room.x, room.y + far), (1.0, 0.0)
            case "east":
                return (room.right, room.y + near), (room.right, room.y + far), (-1.0, 0.0)

    def _door(self) -> str:
        hinge, latch, (ix, iy) = self._jambs()
        t, s = THICK * self.scale, self.scale
        gap = Box(
            min(hinge[0], latch[0] - ix * t, hinge[0] - ix * t),
            min(hinge[1], latch[1], hinge[1] - iy * t),
            0,
            0,
        )
        wide = abs(latch[0] - hinge[0]) or t
        high = abs(latch[1] - hinge[1]) or t
        way = 1 if self.plan.door.swing == "in" else -1
        radius = self.plan.door.width * s
        opened = (hinge[0] + ix * way * radius, hinge[1] + iy * way * radius)
        points = _arc(hinge, latch, opened, radius)
        return "".join(
            [
                self.pen.box(gap.x, gap.y, wide, high, fill="paper"),
                self.pen.stroke(*points, line="quiet", stroke_width=1, stroke_dasharray="5 3"),
                self.pen.stroke(hinge, opened, stroke_width=3.4),
                self.pen.stroke(
                    *((x - ix * t / 2, y - iy * t / 2) for x, y in (hinge, latch)),
                    line="quiet",
                    stroke_width=0.8,
                    stroke_dasharray="2 3",
                ),
            ]
        )

    def _dimensions(self) -> str:
        room, t, plan = self.room, THICK * self.scale, self.plan
        y, x = room.bottom + t + 18 + self.out["south"], room.x - t - 12 - self.out["west"]
        parts = [
            self.pen.line(room.x, y, room.right, y, stroke_width=0.9),
            self.pen.line(x, room.y, x, room.bottom, stroke_width=0.9),
        ]
        for px, py in ((room.x, y), (room.right, y), (x, room.y), (x, room.bottom)):
            parts.append(self.pen.line(px - 4, py + 4, px + 4, py - 4, stroke_width=1.5))
        parts.append(
            self.pen.backed_text(
                room.centre, y + 18, plan.length(plan.width), 13, weight="semibold", anchor="middle"
            )
        )
        parts.append(
            self.pen.backed_text(
                x - 6, room.middle + 5, plan.length(plan.depth), 13, weight="semibold", anchor="end"
            )
        )
        return "".join(parts)

    def _entry(self, item: Equipment, width: float) -> list[Line]:
        name = item.name if self.beside else f"{self._letter(item)}  {item.name}"
        lines = set_lines(name, width, 15, "semibold")
        lines += set_lines(_size(self.plan, item.area), width, 13)
        if item.clear:
            words = f"{self.plan.clear_heading} {_size(self.plan, item.clear)}"
            lines += set_lines(
                f"{words}; {item.clear_words}" if item.clear_words else words, width, 12.5, ink="quiet"
            )
        names = {other.key: other.name for other in self.plan.equipment} | {"door": self.plan.door_words}
        for owner, other, area in self.plan.overlaps():
            if owner == item.key:
                lines += set_lines(
                    f"{self.plan.overlap_words} {names[other]}, {_size(self.plan, area)}",
                    width,
                    12.5,
                    "semibold",
                    "accent",
                )
        return lines

    def _schedule(self) -> tuple[str, float]:
        """The entries with leaders from the equipment, and their lower edge."""
        width = SCHEDULE if self.beside else self.width - 2 * PAD
        items = sorted(
            self.plan.equipment, key=lambda item: (self.at(item.area).middle, self.at(item.area).x)
        )
        entries = [self._entry(item, width) for item in items]
        heights = [height_of(lines) for lines in entries]
        low = PAD if self.beside else self.room.bottom + THICK * self.scale + self.out["south"] + 60
        high = max(self.room.bottom + 30, low + sum(heights) + 14 * len(heights))
        tops = spread([self.at(item.area).middle for item in items], heights, gap=14, low=low, high=high)
        x = self.width - PAD - width
        parts = [write_lines(self.pen, lines, x, top) for lines, top in zip(entries, tops, strict=True)]
        if self.beside:
            parts += [self._leader(item, x, top) for item, top in zip(items, tops, strict=True)]
        return "".join(parts), max(
            top + height for top, height in zip(tops, heights, strict=True)
        ) if items else low

    def _leader(self, item: Equipment, x: float, top: float) -> str:
        b = self.at(item.area)
        start, bend = (b.centre, b.middle), self.room.right + THICK * self.scale + self.out["east"] + 10
        end = top + 11
        dot = self.pen.shape("circle", cx=start[0], cy=start[1], r=2.6, fill="accent")
        return (
            self.pen.stroke(
                start,
                (bend, b.middle),
                (x - 18, end),
                (x - 6, end),
                line="accent",
                stroke_width=1.1,
                class_="picture-leader",
            )
            + dot
        )


def _arc(
    hinge: tuple[float, float], latch: tuple[float, float], opened: tuple[float, float], radius: float
) -> list[tuple[float, float]]:
    """A quarter circle about ``hinge`` from ``latch`` to ``opened``, in short straight steps."""
    u = ((latch[0] - hinge[0]) / radius, (latch[1] - hinge[1]) / radius)
    v = ((opened[0] - hinge[0]) / radius, (opened[1] - hinge[1]) / radius)
    angles = [i * pi / 2 / 16 for i in range(17)]
    return [
        (
            hinge[0] + radius * (cos(a) * u[0] + sin(a) * v[0]),
            hinge[1] + radius * (cos(a) * u[1] + sin(a) * v[1]),
        )
        for a in angles
    ]
