"""What is fixed in the hoistway and at its openings: backing, rails, brackets, doors, guards, machinery, devices."""

from coordination.pictures.frame import Frame
from coordination.pictures.pen import Pen, element, title
from coordination.pictures.scene import Stage, doors_on, outward
from coordination.pictures.section import INCH, SIDES, Device, Landing, Opening, Section


def fittings(pen: Pen, section: Section, stage: Stage) -> str:
    """What is fixed inside and at the openings: backing, rails, brackets, sills, doors, guards, devices, machinery."""
    parts = [_backing_and_rails(pen, section, stage), _brackets(pen, section, stage)]
    for side in SIDES:
        parts += [
            _door(pen, section, stage, landing, opening) for landing, opening in doors_on(section, side)
        ]
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
    return element("g", title(device.name), symbol, class_="picture-device", data_device=device.kind)


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
