"""The building in section: what stands there, drawn at its place and to scale.

The shaft, its walls, floors and openings, rails, doors, guards and devices. States, labels and leaders are laid
over this by the sheets.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final, Literal

from coordination.pictures.frame import Box, Frame
from coordination.pictures.patterns import Material, material_pattern
from coordination.pictures.pen import Pen, element
from coordination.pictures.section import INCH, Device, Landing, MachineRoom, Opening, Section, Side

FLOOR: Final = 7 * INCH
PIT_SLAB: Final = 10 * INCH
EARTH: Final = 14 * INCH

Piece = Literal["wall", "pit wall", "lintel", "sill backing", "opening"]


@dataclass(frozen=True)
class Stage:
    """Where the section stands on the page: its frame, the floors' lengths in px, and the machine room's right edge."""

    frame: Frame
    floor: float
    room_right: float
    room_width: float

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
            *(_wall(pen, section, stage, side) for side in ("front", "rear")),  # type: ignore[arg-type]
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
    for side, edge in (("front", right), ("rear", left)):
        if any(_at_lowest(section, side)):  # type: ignore[arg-type]
            start = edge + outward(side) * frame.px(2 * INCH)  # type: ignore[arg-type]
            width = outward(side) * (stage.floor - frame.px(2 * INCH))  # type: ignore[arg-type]
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
    if section.sump:
        hollow = pen.box(start, top, end - start, low - top, fill="paper")
    else:
        hollow = ""
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
        for side in ("front", "rear")
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


def fittings(pen: Pen, section: Section, stage: Stage) -> str:
    """What is fixed inside and at the openings: backing, rails, brackets, sills, doors, guards, devices, machinery."""
    parts = [_backing_and_rails(pen, section, stage), _brackets(pen, section, stage)]
    for side in ("front", "rear"):
        parts += [
            _door(pen, section, stage, landing, opening) for landing, opening in doors_on(section, side)
        ]  # type: ignore[arg-type]
    parts.append(_machinery(pen, section, stage))
    parts += [
        _device(pen, section, stage, device, index)
        for index, device in enumerate(section.devices)
        if device.where != "machine room" or section.machine_room
    ]
    return "".join(parts)


def _backing_and_rails(pen: Pen, section: Section, stage: Stage) -> str:
    rails, frame, shaft = section.rails, stage.frame, section.shaft
    top, floor, sill = frame.y(shaft.top), frame.y(shaft.pit_floor), frame.y(section.lowest.elevation)
    foot, head = floor - 2.4, frame.y(rails.top)
    dash = None if rails.installed else "9 3"
    parts = []
    for depth in rail_depths(section):
        if rails.wall == "side":
            board = frame.box(depth - rails.backing / 2, depth + rails.backing / 2, 0, 0)
        else:
            board = frame.box(0, 4 * INCH, 0, 0)
        parts.append(
            pen.box(board.x, top, board.width, sill - top, pattern="wood", line="quiet", stroke_width=0.8)
        )
        x = frame.x(depth)
        parts.append(
            pen.line(x, foot, x, head, stroke_width=3.2, stroke_dasharray=dash, class_="picture-rail")
        )
    if rails.jack_top is not None and rails.wall == "side":
        x, half = frame.x(rails.setback), max(2.0, frame.px(2.5 * INCH))
        y = frame.y(rails.jack_top)
        parts.append(
            pen.box(
                x - half,
                y,
                2 * half,
                foot - y,
                fill="panel",
                line="ink",
                stroke_width=1,
                stroke_dasharray=dash,
            )
        )
        parts.append(pen.line(x, y - 4, x, foot, line="quiet", stroke_width=0.7, stroke_dasharray="8 3 2 3"))
    return "".join(parts)


def rail_depths(section: Section) -> tuple[float, ...]:
    """Depths at which rails are seen."""
    rails = section.rails
    if rails.wall == "side":
        return (rails.setback - rails.gauge / 2, rails.setback + rails.gauge / 2)
    return (9 * INCH,)


def _brackets(pen: Pen, section: Section, stage: Stage) -> str:
    rails, frame = section.rails, stage.frame
    depths = rail_depths(section)
    reach = rails.backing / 2 if rails.wall == "side" else 0
    left = frame.x(depths[0] - reach) if rails.wall == "side" else frame.x(0)
    right = frame.x(depths[-1] + reach)
    return "".join(
        pen.line(left, frame.y(e), right, frame.y(e), stroke_width=2.6, data_mark="bracket", data_elevation=e)
        for e in rails.brackets
    )


def _door(pen: Pen, section: Section, stage: Stage, landing: Landing, opening: Opening) -> str:
    frame, way = stage.frame, outward(opening.side)
    inner, outer = stage.face(section, opening.side), stage.outer(section, opening.side)
    box = frame.box(0, 0, landing.elevation, landing.elevation + opening.height)
    panel = max(2.6, frame.px(1.8 * INCH))
    start = inner - way * (panel + max(1.6, frame.px(1.2 * INCH)))
    how = (
        {"fill": "ink"}
        if opening.door_hung
        else {"line": "quiet", "stroke_width": 1.1, "stroke_dasharray": "5 3"}
    )
    parts = [
        pen.line(inner, box.y, inner, box.bottom, line="quiet", stroke_width=0.8, stroke_dasharray="2 3"),
        pen.line(outer, box.y, outer, box.bottom, line="quiet", stroke_width=0.8, stroke_dasharray="2 3"),
        pen.box(start, box.y, way * panel, box.height, **how),
        pen.line(
            start, box.bottom, outer + way * 3, box.bottom, stroke_width=2.4,
            data_mark="sill", data_elevation=landing.elevation, data_landing=landing.key,
        ),
    ]  # fmt: skip
    if opening.guarded and not opening.door_hung:
        parts.append(_guard(pen, frame, outer + way * max(5.0, frame.px(4 * INCH)), landing.elevation, way))
    return "".join(parts)


def _guard(pen: Pen, frame: Frame, x: float, floor: int, way: int) -> str:
    """Post, top rail, mid rail and toe board, seen from the end (42, 21 and 4 in: OSHA 29 CFR 1926.502(b))."""
    y = frame.y(floor)
    rails = "".join(
        pen.box(x, frame.y(floor + height * INCH) - 1.5, way * 4, 3, fill="accent") for height in (21, 42)
    )
    toe = pen.box(x + way * 0.8, y - frame.px(4 * INCH), way * 2.2, frame.px(4 * INCH), fill="accent")
    return pen.line(x, y, x, frame.y(floor + 44 * INCH), line="accent", stroke_width=1.6) + rails + toe


def _machinery(pen: Pen, section: Section, stage: Stage) -> str:
    """Door, disconnect, controller and power unit against the room's far wall, not to any maker's size."""
    if section.machine_room is None:
        return ""
    box, px = stage.room(section.machine_room), stage.frame.px
    unit = min(px(INCH), box.width / 96)
    floor, up = box.bottom, stage.frame.px(INCH)

    def stand(left: float, width: float, low: float, high: float) -> str:
        return pen.box(
            box.x + left * unit,
            floor - high * up,
            width * unit,
            (high - low) * up,
            fill="panel",
            line="ink",
            stroke_width=1.1,
        )

    wall = max(3.0, px(5 * INCH))
    door = pen.box(box.x - wall, floor - 80 * up, wall, 80 * up, fill="panel", line="ink", stroke_width=1)
    seam = pen.line(
        box.x + 30 * unit, floor - 70 * up, box.x + 30 * unit, floor - 10 * up, line="quiet", stroke_width=0.7
    )
    lid = pen.line(
        box.x + 46 * unit, floor - 31 * up, box.x + 74 * unit, floor - 31 * up, line="quiet", stroke_width=0.8
    )
    return door + stand(6, 10, 46, 66) + stand(20, 20, 6, 72) + seam + stand(46, 28, 0, 36) + lid


def _device(pen: Pen, section: Section, stage: Stage, device: Device, index: int) -> str:
    frame, depth = stage.frame, section.shaft.depth
    wall = section.shaft.wall_thickness
    spots = {
        "front": frame.x(depth + wall + 26 * INCH),
        "rear": frame.x(-wall - 26 * INCH),
        "hoistway": frame.x(depth) - frame.px(9 * INCH),
        "machine room": stage.room_right - stage.room_width * 0.42 + (index % 2) * 14,
    }
    symbol = _symbol(pen, device.kind, spots[device.where], frame.y(device.elevation))
    return element(
        "g", element("title", device.name), symbol, class_="picture-device", data_device=device.kind
    )


def _symbol(pen: Pen, kind: str, x: float, y: float) -> str:
    line = {"fill": "panel", "line": "ink", "stroke_width": 1.1}
    round_ = pen.shape("circle", cx=x, cy=y, r=5.0, **line)  # type: ignore[arg-type]
    match kind:
        case "smoke detector" | "heat detector":
            body = pen.shape("path", d=f"M{x - 7:.2f} {y:.2f}h14l-3.5 6.5h-7z", **line)  # type: ignore[arg-type]
            return body + (
                pen.line(x - 4, y + 3, x + 4, y + 3, stroke_width=1) if kind == "heat detector" else ""
            )
        case "sprinkler":
            return pen.stroke((x, y), (x, y + 5), stroke_width=1.1) + pen.stroke(
                (x - 5, y + 10), (x, y + 5), (x + 5, y + 10), (x - 5, y + 10), stroke_width=1.1
            )
        case "light":
            return (
                round_
                + pen.stroke((x - 3.5, y - 3.5), (x + 3.5, y + 3.5), stroke_width=1)
                + pen.stroke((x - 3.5, y + 3.5), (x + 3.5, y - 3.5), stroke_width=1)
            )
        case "receptacle":
            return (
                round_
                + pen.line(x - 1.7, y - 2.5, x - 1.7, y + 2.5, stroke_width=1)
                + pen.line(x + 1.7, y - 2.5, x + 1.7, y + 2.5, stroke_width=1)
            )
        case _:
            return pen.box(x - 5, y - 5, 10, 10, **line) + pen.shape(
                "circle", cx=x, cy=y, r=2.2, fill="accent"
            )
