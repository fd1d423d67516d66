"""The building in section: what stands there, drawn at its place and to scale.

The shaft, its walls, floors and openings, rails, doors, guards and devices. States, labels and leaders are laid
over this by the sheets.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

from coordination.pictures.frame import Box, Frame
from coordination.pictures.patterns import Material, material_pattern
from coordination.pictures.pen import Pen
from coordination.pictures.section import INCH, SIDES, Landing, MachineRoom, Opening, Section, Side

FLOOR: Final = 7 * INCH
PIT_SLAB: Final = 10 * INCH
EARTH: Final = 14 * INCH

Piece = Literal["wall", "pit wall", "lintel", "sill backing", "opening"]


@dataclass(frozen=True)
class Stage:
    """Where the section stands on the page.

    Its frame, the floors' length in px, the machine room's right edge and width, and the page x where the route begins.
    """

    frame: Frame
    floor: float
    room_right: float
    room_width: float
    route_from: float

    def outer(self, section: Section, side: Side) -> float:
        """Page x of a wall's outer face."""
        thickness = section.shaft.wall_thickness
        return self.frame.x(section.shaft.depth + thickness if side == "front" else -thickness)

    def face(self, section: Section, side: Side) -> float:
        """Page x of a wall's inner face."""
        return self.frame.x(section.shaft.depth if side == "front" else 0)

    def room(self, room: MachineRoom) -> Box:
        """The machine room's clear inside on the page."""
        top = self.frame.y(room.floor + room.height)
        return Box(self.room_right - self.room_width, top, self.room_width, self.frame.px(room.height))


def outward(side: Side) -> int:
    """The page direction away from the hoistway."""
    return 1 if side == "front" else -1


def doors_on(section: Section, side: Side) -> Iterator[tuple[Landing, Opening]]:
    """Each landing's openings on one side, from the bottom."""
    for landing in section.landings:
        for opening in landing.openings:
            if opening.side == side:
                yield landing, opening


def wall_pieces(section: Section, side: Side) -> list[tuple[Piece, int, int]]:
    """The wall on one side from pit floor to top as (what, low, high), without gaps or overlaps."""
    pieces: list[tuple[Piece, int, int]] = []
    at = section.shaft.pit_floor
    if section.lowest.elevation > at and not any(_at_lowest(section, side)):
        pieces.append(("pit wall", at, section.lowest.elevation))
        at = section.lowest.elevation
    for landing, opening in doors_on(section, side):
        sill = landing.elevation
        backing = max(at, sill - opening.backing)
        if backing > at:
            pieces.append(("pit wall" if sill == section.lowest.elevation else "wall", at, backing))
        head = sill + opening.height
        lintel = min(head + opening.lintel, section.shaft.top)
        pieces += [("sill backing", backing, sill), ("opening", sill, head), ("lintel", head, lintel)]
        at = lintel
    if at < section.shaft.top:
        pieces.append(("wall", at, section.shaft.top))
    return pieces


def _at_lowest(section: Section, side: Side) -> Iterator[bool]:
    for landing, _ in doors_on(section, side):
        yield landing.elevation == section.lowest.elevation


def building(pen: Pen, section: Section, stage: Stage) -> str:
    """Everything that is cut by the section plane: ground, slabs, walls, machine room."""
    return "".join(
        [
            _ground(pen, section, stage),
            _floors(pen, section, stage),
            _pit_slab(pen, section, stage),
            _top(pen, section, stage),
            *(_wall(pen, section, stage, side) for side in SIDES),
            _room_shell(pen, section, stage),
        ]
    )


def _ground(pen: Pen, section: Section, stage: Stage) -> str:
    frame, shaft = stage.frame, section.shaft
    left, right = stage.outer(section, "rear"), stage.outer(section, "front")
    below = frame.box(0, 0, shaft.pit_floor - PIT_SLAB - EARTH, shaft.pit_floor - PIT_SLAB)
    reach = frame.px(10 * INCH)
    parts = [pen.box(left - reach, below.y, right - left + 2 * reach, below.height, pattern="earth")]
    band = frame.box(0, 0, section.lowest.elevation - FLOOR - EARTH, section.lowest.elevation - FLOOR)
    edges: dict[Side, float] = {"front": right, "rear": left}
    for side, edge in edges.items():
        if any(_at_lowest(section, side)):
            start = edge + outward(side) * frame.px(2 * INCH)
            width = outward(side) * (stage.floor - frame.px(2 * INCH))
            parts.append(pen.box(start, band.y, width, band.height, pattern="earth"))
    return "".join(parts)


def _pit_slab(pen: Pen, section: Section, stage: Stage) -> str:
    frame, floor = stage.frame, section.shaft.pit_floor
    reach = frame.px(10 * INCH)
    left, right = stage.outer(section, "rear") - reach, stage.outer(section, "front") + reach
    top, bottom = frame.y(floor), frame.y(floor - PIT_SLAB)
    outline = [(left, top)]
    if section.sump:
        half = section.sump.width / 2
        low = frame.y(floor - section.sump.depth)
        bottom = max(bottom, low + frame.px(4 * INCH))
        start, end = frame.x(section.sump.offset - half), frame.x(section.sump.offset + half)
        outline += [(start, top), (start, low), (end, low), (end, top)]
    outline += [(right, top), (right, bottom), (left, bottom)]
    d = "M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in outline) + "Z"
    dash = "4 3" if section.sump and not section.sump.settled else None
    hollow = pen.box(start, top, end - start, low - top, fill="paper") if section.sump else ""
    slab = hollow + pen.shape("path", d=d, pattern=material_pattern("concrete"), line="ink", stroke_width=1.2)
    mark = pen.line(
        stage.face(section, "rear"), top, stage.face(section, "front"), top, stroke_width=1.8,
        data_mark="pit", data_elevation=floor,
    )  # fmt: skip
    if section.sump and dash:
        start, end = frame.x(section.sump.offset - half), frame.x(section.sump.offset + half)
        mark += pen.line(start, top, end, top, line="accent", stroke_width=1.4, stroke_dasharray=dash)
    return slab + mark + _plate(pen, section, stage)


def _plate(pen: Pen, section: Section, stage: Stage) -> str:
    if section.plate is None:
        return ""
    frame, plate = stage.frame, section.plate
    height = max(2.4, frame.px(plate.thickness))
    left = frame.x(plate.offset - plate.width / 2)
    return pen.box(left, frame.y(section.shaft.pit_floor) - height, frame.px(plate.width), height, fill="ink")


def _floors(pen: Pen, section: Section, stage: Stage) -> str:
    return "".join(
        _slab(pen, stage, stage.outer(section, side), landing.elevation, outward(side) * stage.floor)
        for side in SIDES
        for landing in section.landings
        if any(opening.side == side for opening in landing.openings)
    )


def _slab(pen: Pen, stage: Stage, start: float, elevation: int, length: float) -> str:
    """A floor with a break mark at its far end."""
    frame = stage.frame
    top, thick = frame.y(elevation), frame.px(FLOOR)
    end = start + length
    tooth = 3.0 if length > 0 else -3.0
    body = pen.box(start, top, length, thick, pattern=material_pattern("concrete"))
    edges = pen.line(start, top, end, top, stroke_width=1.6) + pen.line(
        start, top + thick, end, top + thick, stroke_width=0.9
    )
    middle = top + thick / 2
    snap = (
        (end, top - 5),
        (end, middle - 3),
        (end + tooth, middle - 1),
        (end - tooth, middle + 1),
        (end, middle + 3),
        (end, top + thick + 5),
    )
    return body + edges + pen.stroke(*snap, stroke_width=0.9)


def _top(pen: Pen, section: Section, stage: Stage) -> str:
    left, right = stage.outer(section, "rear"), stage.outer(section, "front")
    y, thick = stage.frame.y(section.shaft.top), stage.frame.px(FLOOR)
    slab = pen.box(
        left,
        y - thick,
        right - left,
        thick,
        pattern=material_pattern("concrete"),
        line="ink",
        stroke_width=1.2,
    )
    return slab + pen.line(
        stage.face(section, "rear"), y, stage.face(section, "front"), y, stroke_width=1.6,
        data_mark="top", data_elevation=section.shaft.top,
    )  # fmt: skip


def _wall(pen: Pen, section: Section, stage: Stage, side: Side) -> str:
    material: Material = section.shaft.front_wall if side == "front" else section.shaft.rear_wall
    inner, outer = stage.face(section, side), stage.outer(section, side)
    parts = []
    for piece, low, high in wall_pieces(section, side):
        y, height = stage.frame.y(high), stage.frame.px(high - low)
        if piece == "opening":
            continue
        pattern = {"wall": material_pattern(material), "pit wall": material_pattern("concrete")}.get(
            piece, "wood"
        )
        if piece in ("lintel", "sill backing") and material in ("block", "concrete"):
            pattern = material_pattern("concrete")
        dash = "5 3" if piece == "wall" and material == "unknown" else None
        parts.append(
            pen.box(
                inner,
                y,
                outer - inner,
                height,
                pattern=pattern,
                line="ink",
                stroke_width=1.2,
                stroke_dasharray=dash,
                data_piece=piece,
            )
        )
    return "".join(parts) + _board(pen, section, stage, side)


def _board(pen: Pen, section: Section, stage: Stage, side: Side) -> str:
    """The finished board outside a closed landing wall: the wall is open while this line is missing."""
    outer, parts = stage.outer(section, side), []
    ceilings = [*(landing.elevation - FLOOR for landing in section.landings[1:]), section.shaft.top]
    for landing, ceiling in zip(section.landings, ceilings, strict=True):
        for opening in (o for o in landing.openings if o.side == side and landing.wall_closed):
            head = landing.elevation + opening.height
            box = stage.frame.box(0, 0, head, ceiling)
            parts.append(
                pen.box(
                    outer, box.y, outward(side) * 3.2, box.height, fill="panel", line="ink", stroke_width=1
                )
            )
    return "".join(parts)


def _room_shell(pen: Pen, section: Section, stage: Stage) -> str:
    if section.machine_room is None:
        return ""
    room = section.machine_room
    box, wall = stage.room(room), max(3.0, stage.frame.px(5 * INCH))
    joined = abs(box.right - stage.outer(section, "rear")) < 0.5
    right = box.right + (0 if joined else wall)
    slab_end = stage.outer(section, "rear") if room.distance == 0 else right
    thick = stage.frame.px(FLOOR)
    concrete = material_pattern("concrete")
    parts = [
        pen.box(
            box.x - wall,
            box.y - wall,
            right - box.x + wall,
            box.height + wall,
            pattern=material_pattern("wood stud"),
            line="ink",
            stroke_width=1.2,
        ),
        pen.box(box.x, box.y, box.width, box.height, fill="panel", line="ink", stroke_width=1.2),
        pen.box(
            box.x - wall,
            box.bottom,
            slab_end - box.x + wall,
            thick,
            pattern=concrete,
            line="ink",
            stroke_width=1.2,
        ),
        pen.line(
            box.x,
            box.bottom,
            box.right,
            box.bottom,
            stroke_width=1.8,
            data_mark="machine-room",
            data_elevation=room.floor,
        ),
    ]
    return "".join(parts)
