"""The places of a section as hatched regions: where each lies on the page, drawn with the hatch of its state."""

from collections.abc import Callable, Mapping

from coordination.pictures.fittings import rail_depths
from coordination.pictures.frame import Box
from coordination.pictures.patterns import OUTLINES, state_pattern
from coordination.pictures.pen import Pen, element, linked, title
from coordination.pictures.scene import EARTH, FLOOR, Stage, doors_on, outward
from coordination.pictures.section import INCH, SIDES, Place, PlaceKind, Section, Side

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
    room = (stage.room(section.machine_room),) if section.machine_room else ()
    drawn: dict[PlaceKind, Callable[[], tuple[Box, ...]]] = {
        "pit": lambda: (frame.box(0, shaft.depth, shaft.pit_floor, low),),
        "hoistway top": lambda: (frame.box(0, shaft.depth, top_zone(section), shaft.top),),
        "rail wall": lambda: (_rail_band(section, stage),),
        "hoistway": lambda: _well(section, stage),
        "landing": lambda: _landing(section, stage, place),
        "machine room": lambda: room,
        "route": lambda: _route(section, stage),
        "site": lambda: _site(section, stage),
    }
    return drawn[place.kind]()


def _rail_band(section: Section, stage: Stage) -> Box:
    depths, edge = rail_depths(section), section.rails.backing / 2
    if section.rails.wall == "side":
        start, end = max(0.0, depths[0] - edge), min(float(section.shaft.depth), depths[-1] + edge)
    else:
        start, end = 4 * INCH, 16 * INCH
    return stage.frame.box(start, end, section.lowest.elevation, top_zone(section))


def _well(section: Section, stage: Stage) -> tuple[Box, ...]:
    """A strip of the clear well beside the rails, on the side with more room."""
    band, gap, least = _rail_band(section, stage), stage.frame.px(2 * INCH), 6.0
    left, right = stage.frame.x(0), stage.frame.x(section.shaft.depth - 5 * INCH)
    before, after = band.x - left - 2 * gap, right - band.right - 2 * gap
    if before > after:
        return (Box(left + gap, band.y, max(before, least), band.height),)
    return (Box(right - gap - max(after, least), band.y, max(after, least), band.height),)


def _landing(section: Section, stage: Stage, place: Place) -> tuple[Box, ...]:
    boxes = []
    reach = min(stage.floor * 0.72, stage.frame.px(40 * INCH))
    for side in SIDES:
        for landing, opening in doors_on(section, side):
            if landing.key != place.landing:
                continue
            inner = stage.face(section, side)
            end = stage.outer(section, side) + outward(side) * reach
            y = stage.frame.y(landing.elevation + opening.height)
            boxes.append(Box(min(inner, end), y, abs(end - inner), stage.frame.px(opening.height)))
    return tuple(boxes)


def _route(section: Section, stage: Stage) -> tuple[Box, ...]:
    room = section.machine_room
    if room is None:
        return ()
    half = max(4.0, stage.frame.px(5 * INCH))
    y, end = stage.frame.y(room.route), stage.frame.x(0)
    return (Box(stage.route_from, y - half, end - stage.route_from, 2 * half),)


def _site(section: Section, stage: Stage) -> tuple[Box, ...]:
    side: Side = "front" if section.has("front") else "rear"
    start = stage.outer(section, side) + outward(side) * stage.frame.px(14 * INCH)
    end = stage.outer(section, side) + outward(side) * stage.floor
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
            b.x, b.y, b.width, b.height, pattern=state_pattern(place.state), fill_opacity=0.5,
            line="quiet", stroke_width=0.9,
            stroke_dasharray=OUTLINES.get(place.state),
        )
        for b in boxes
    )  # fmt: skip
    group = element(
        "g",
        title(label),
        shapes,
        class_="picture-place",
        data_place=place.key,
        data_state=place.state,
    )
    return linked(group, place.href, label)
