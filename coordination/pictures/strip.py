"""The section alone, as a narrow strip for a phone: the schedule stands beside it as text of the page."""

from typing import Final

from coordination.pictures.fittings import fittings
from coordination.pictures.frame import Frame
from coordination.pictures.pen import Pen, element, linked
from coordination.pictures.regions import Regions, hatched, regions_of
from coordination.pictures.scene import FLOOR, PIT_SLAB, Stage, building
from coordination.pictures.section import FOOT, INCH, Section

WIDTH: Final = 156.0
TALL: Final = 470.0
TARGET: Final = 44.0
GUTTER: Final = 20.0


def strip(pen: Pen, section: Section, width: float | None) -> tuple[list[str], float, float]:
    """Parts, width and height of the strip; ``width`` in px, 156 unless told."""
    width = width or WIDTH
    stage = _stage(section, width)
    low = section.shaft.pit_floor - max(PIT_SLAB, section.sump.depth + 4 * INCH if section.sump else 0)
    height = stage.frame.y(low) + 20
    regions = regions_of(section, stage)
    parts = [
        pen.box(0, 0, width, height, fill="paper"),
        building(pen, section, stage),
        hatched(pen, section, regions),
        f'<g pointer-events="none">{fittings(pen, section, stage)}{_marks(pen, section, stage, width)}</g>',
        _targets(section, regions, width, height),
    ]
    return parts, width, height


def _stage(section: Section, width: float) -> Stage:
    shaft = section.shaft
    room = 38.0 if section.machine_room else 0.0
    rear, front = (26.0 if section.has(side) else 5.0 for side in ("rear", "front"))
    free = width - room - rear - front - GUTTER - 6
    scale = min(
        free / (shaft.depth + 2 * shaft.wall_thickness),
        TALL / (shaft.top - shaft.pit_floor),
        24 / FOOT,
    )
    used = (shaft.depth + 2 * shaft.wall_thickness) * scale
    left = 4 + room + rear + (free - used) / 2 + shaft.wall_thickness * scale
    top = shaft.top
    if section.machine_room:
        top = max(top, section.machine_room.floor + section.machine_room.height)
    frame = Frame(left=left, ground=14 + (top + FLOOR) * scale, scale=scale)
    room_right = left - shaft.wall_thickness * scale - rear - 1
    return Stage(frame=frame, floor=26, room_right=room_right, room_width=room - 5, route_from=room_right - 6)


def _marks(pen: Pen, section: Section, stage: Stage, width: float) -> str:
    """Each landing's short name at the edge, with a thin line from its floor."""
    parts = []
    for landing in section.landings:
        y = stage.frame.y(landing.elevation)
        start = stage.outer(section, "front") + (stage.floor if section.has("front") else 4) + 5
        parts.append(pen.line(start, y, width - GUTTER + 4, y, line="quiet", stroke_width=0.8))
        parts.append(pen.text(width - 3, y + 5, landing.mark, 14, weight="semibold", anchor="end"))
    return "".join(parts)


def _targets(section: Section, regions: Regions, width: float, height: float) -> str:
    """Touch areas of at least 44 px around the first region of each linked place, the small ones on top."""
    drawn = [place for place in section.places if place.href and place.key in regions]
    parts = []
    for place in sorted(drawn, key=lambda place: -regions[place.key][0].width * regions[place.key][0].height):
        box = regions[place.key][0]
        wide, high = max(box.width, TARGET), max(box.height, TARGET)
        x = min(max(box.centre - wide / 2, 0), width - wide)
        y = min(max(box.middle - high / 2, 0), height - high)
        area = element(
            "rect",
            x=x,
            y=y,
            width=wide,
            height=high,
            fill="none",
            pointer_events="all",
            class_="picture-target",
        )
        parts.append(linked(area, place.href, f"{place.name}: {place.state_words}"))
    return "".join(parts)
