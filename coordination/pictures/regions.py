"""The places of a section as hatched regions: where each lies on the page, drawn with the hatch of its state."""

from collections.abc import Mapping

from coordination.pictures.frame import Box
from coordination.pictures.patterns import state_pattern
from coordination.pictures.pen import Pen, element, linked
from coordination.pictures.scene import EARTH, FLOOR, Stage, doors_on, outward, rail_depths
from coordination.pictures.section import INCH, Place, Section

Regions = Mapping[str, tuple[Box, ...]]


def regions_of(section: Section, stage: Stage) -> Regions:
    """Each drawn place's boxes on the page, by place key; a place without room in the drawing is left out."""
    found = {place.key: _boxes(section, stage, place) for place in section.places}
    return {key: boxes for key, boxes in found.items() if boxes}


def top_zone(section: Section) -> int:
    """Elevation at which the hoistway top begins: above the highest lintel, at most 30 in below the top."""
    heads = [opening.height + opening.lintel for opening in section.highest.openings] or [0]
    return max(section.highest.elevation + max(heads), section.shaft.top - 30 * INCH)


def _boxes(section: Section, stage: Stage, place: Place) -> tuple[Box, ...]:
    frame, shaft, low = stage.frame, section.shaft, section.lowest.elevation
    match place.kind:
        case "pit":
            return (frame.box(0, shaft.depth, shaft.pit_floor, low),)
        case "hoistway top":
            return (frame.box(0, shaft.depth, top_zone(section), shaft.top),)
        case "rail wall":
            return (_rail_band(section, stage),)
        case "hoistway":
            return _well(section, stage)
        case "landing":
            return _landing(section, stage, place)
        case "machine room":
            return (stage.room(section.machine_room),) if section.machine_room else ()
        case "route":
            return _route(section, stage)
        case "site":
            return _site(section, stage)


def _rail_band(section: Section, stage: Stage) -> Box:
    depths, edge = rail_depths(section), section.rails.backing / 2
    if section.rails.wall == "side":
        start, end = max(0.0, depths[0] - edge), min(float(section.shaft.depth), depths[-1] + edge)
    else:
        start, end = 4 * INCH, 16 * INCH
    return stage.frame.box(start, end, section.lowest.elevation, top_zone(section))


def _well(section: Section, stage: Stage) -> tuple[Box, ...]:
    """The clear strip between the rails and the front doors."""
    band = _rail_band(section, stage)
    left, right = band.right + stage.frame.px(2 * INCH), stage.frame.x(section.shaft.depth - 6 * INCH)
    return (Box(left, band.y, right - left, band.height),) if right - left >= 6 else ()


def _landing(section: Section, stage: Stage, place: Place) -> tuple[Box, ...]:
    boxes = []
    reach = min(stage.floor * 0.72, stage.frame.px(40 * INCH))
    for side in ("front", "rear"):
        for landing, opening in doors_on(section, side):  # type: ignore[arg-type]
            if landing.key != place.landing:
                continue
            inner = stage.face(section, side)  # type: ignore[arg-type]
            end = stage.outer(section, side) + outward(side) * reach  # type: ignore[arg-type]
            y = stage.frame.y(landing.elevation + opening.height)
            boxes.append(Box(min(inner, end), y, abs(end - inner), stage.frame.px(opening.height)))
    return tuple(boxes)


def _route(section: Section, stage: Stage) -> tuple[Box, ...]:
    room = section.machine_room
    if room is None:
        return ()
    half = max(4.0, stage.frame.px(5 * INCH))
    y, end = stage.frame.y(room.route), stage.frame.x(0)
    start = stage.room_right - (
        stage.room_width * 0.2 if stage.room_right >= stage.outer(section, "rear") - 1 else 0
    )
    return (Box(start, y - half, end - start, 2 * half),)


def _site(section: Section, stage: Stage) -> tuple[Box, ...]:
    side = "front" if section.has("front") else "rear"
    start = stage.outer(section, side) + outward(side) * stage.frame.px(14 * INCH)  # type: ignore[arg-type]
    end = stage.outer(section, side) + outward(side) * stage.floor  # type: ignore[arg-type]
    top = stage.frame.y(section.lowest.elevation - FLOOR)
    return (Box(min(start, end), top, abs(end - start), stage.frame.px(EARTH)),)


def hatched(pen: Pen, section: Section, regions: Regions) -> str:
    """Every region with its state's hatch, its name as title, and its link."""
    return "".join(
        _region(pen, place, regions[place.key]) for place in section.places if place.key in regions
    )


def _region(pen: Pen, place: Place, boxes: tuple[Box, ...]) -> str:
    label = f"{place.name}: {place.state_words}"
    shapes = "".join(
        pen.box(
            b.x, b.y, b.width, b.height, pattern=state_pattern(place.state), fill_opacity=0.5, line="quiet", stroke_width=0.9,
            stroke_dasharray="4 3" if place.state == "held" else None,
        )
        for b in boxes
    )  # fmt: skip
    group = element(
        "g",
        element("title", label),
        shapes,
        class_="picture-place",
        data_place=place.key,
        data_state=place.state,
    )
    return linked(group, place.href, label)
