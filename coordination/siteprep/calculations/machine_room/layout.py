"""A layout of the machine room and what is wrong with it: bodies, working spaces, door swing, path."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from coordination.siteprep.calculations.machine_room.geometry import Rectangle, Swing, reachable
from coordination.siteprep.calculations.machine_room.inputs import Door, Equipment, MachineRoomInputs
from coordination.siteprep.calculations.machine_room.working_space import (
    CONDITIONS,
    DEPTH,
    TO_GROUND,
    clear_depth,
    clear_height,
    clear_width,
    en_space,
    volts_to_ground,
)
from coordination.siteprep.calculations.spans import clear_of, nearest
from coordination.siteprep.calculations.values import (
    Finding,
    Source,
    Value,
    at_least,
    inches,
    millimetres,
    outcome,
)

OPPOSITE_SIDE = {"north": "south", "south": "north", "east": "west", "west": "east"}
PLAN = Source("plan of the room", "rectangles as given", "drawing")
PATH = Source("ASME A17.1/CSA B44", "2.7.2.2, working path", "code", "elevator")
SWING = Source(
    "common practice, no source", "nothing in the swing of the door", "practice", "general contractor"
)
EN_PATH = Source("EN 81-20", "5.2.6.3, ways of 0.50 m to the working areas", "memory", "elevator")
PATH_WIDTHS = {"US": inches(18), "EN": millimetres(500)}


@dataclass(frozen=True, slots=True)
class Placed:
    """Equipment at a place on the plan."""

    item: Equipment
    body: Rectangle
    faces: str


@dataclass(frozen=True, slots=True)
class WorkingSpace:
    """The clear space before one thing: its outline, its least depth, width and height, and the condition used.

    ``blocked_by`` names what lies in it; "room" is a wall. ``condition`` is unknown where a wall's
    kind is; the deeper of the possible depths is then used.
    """

    name: str
    outline: Rectangle
    depth: Value
    width: Value
    height: Value
    condition: Value
    blocked_by: tuple[str, ...]


def placed_at(item: Equipment, x: int, y: int, faces: str) -> Placed:
    """``item`` with its west-south corner at (``x``, ``y``), looking towards ``faces``."""
    wide, deep = (item.width, item.depth) if faces in {"north", "south"} else (item.depth, item.width)
    return Placed(item, Rectangle(x, y, x + wide, y + deep), faces)


def room_outline(inputs: MachineRoomInputs) -> Rectangle:
    """The clear room."""
    return Rectangle(0, 0, inputs.room_width, inputs.room_depth)


def door_opening(inputs: MachineRoomInputs, depth: int) -> Rectangle:
    """The strip of ``depth`` inside the room before the door opening."""
    along = (inputs.door.offset, inputs.door.offset + inputs.door.width)
    room = room_outline(inputs)
    wall = {
        "north": Rectangle(0, room.north, room.east, room.north),
        "south": Rectangle(0, 0, room.east, 0),
        "east": Rectangle(room.east, 0, room.east, room.north),
        "west": Rectangle(0, 0, 0, room.north),
    }[inputs.door.wall]
    return wall.before(OPPOSITE_SIDE[inputs.door.wall], depth, along)


def door_swing(inputs: MachineRoomInputs) -> Swing | None:
    """What an inward leaf sweeps; None when the door swings out."""
    door: Door = inputs.door
    if door.swings == "out":
        return None
    hinge = door.offset if door.hinge == "low" else door.offset + door.width
    along = 1 if door.hinge == "low" else -1
    return {
        "south": Swing(hinge, 0, door.width, along, 1),
        "north": Swing(hinge, inputs.room_depth, door.width, along, -1),
        "west": Swing(0, hinge, door.width, 1, along),
        "east": Swing(inputs.room_width, hinge, door.width, -1, along),
    }[door.wall]


def volts(inputs: MachineRoomInputs, item: Equipment) -> Fraction | float | None:
    """Highest volts to ground of ``item``: its own, else from the supply; None when unknown."""
    if item.volts_to_ground is not None:
        return item.volts_to_ground
    if inputs.line_volts is None or inputs.grounding is None:
        return None
    return volts_to_ground(inputs.line_volts, inputs.grounding)


def working_space(inputs: MachineRoomInputs, placed: Placed, others: Sequence[Placed]) -> WorkingSpace | None:
    """The working space before ``placed``, shifted sideways to where it is clear, else centred.

    The width may lie anywhere that takes in the whole front. None while volts are unknown.
    """
    condition, known = _condition(inputs, placed, others)
    sizes = _sizes(inputs, placed.item, condition)
    if sizes is None:
        return None
    depth, width, height = sizes
    reach = max(int(depth.amount or 0), placed.item.cabinet_door or 0)
    outline = _outline(inputs, placed, others, reach, int(width.amount or 0))
    return WorkingSpace(
        placed.item.name,
        outline,
        depth,
        width,
        height,
        Value(condition if known else None, "condition", DEPTH),
        _blocking(inputs, outline, others),
    )


def _sizes(inputs: MachineRoomInputs, item: Equipment, condition: int) -> tuple[Value, Value, Value] | None:
    """Depth, width and height of the space by the code set; None while the volts that decide are unknown."""
    if inputs.code_set == "EN":
        return en_space(item.width, item.height)
    ground = volts(inputs, item)
    if ground is None:
        return None
    return clear_depth(ground, condition), clear_width(item.width), clear_height(item.height)


def _outline(
    inputs: MachineRoomInputs, placed: Placed, others: Sequence[Placed], reach: int, width: int
) -> Rectangle:
    low, high = placed.body.along(placed.faces)
    whole = placed.body.before(placed.faces, reach, (high - width, low + width))
    room = room_outline(inputs).along(placed.faces)
    in_the_way = [other.body for other in others if other.body.overlaps(whole)]
    zones = [(a - width, b) for a, b in (body.along(placed.faces) for body in in_the_way)]
    fitting = (max(high - width, room[0]), min(low, room[1] - width))
    centred = (low + high - width) // 2
    tried = (nearest(centred, starts) for starts in (clear_of(fitting, zones), [fitting]))
    start = next((spot for spot in tried if spot is not None), centred)
    return placed.body.before(placed.faces, reach, (start, start + width))


def _blocking(inputs: MachineRoomInputs, outline: Rectangle, others: Sequence[Placed]) -> tuple[str, ...]:
    blocking = [other.item.name for other in others if other.body.overlaps(outline)]
    if not outline.inside(room_outline(inputs)):
        blocking.append("room")
    return tuple(blocking)


def _condition(inputs: MachineRoomInputs, placed: Placed, others: Sequence[Placed]) -> tuple[int, bool]:
    """Condition 1 to 3 by what is nearest ahead, and whether it is known; an unknown wall counts as grounded."""
    if placed.item.opposite is not None:
        return CONDITIONS[placed.item.opposite], True
    room = room_outline(inputs)
    ahead = placed.body.before(placed.faces, room.east + room.north, placed.body.along(placed.faces))
    facing = [other for other in others if other.body.overlaps(ahead)]
    if any(other.item.live and other.faces == OPPOSITE_SIDE[placed.faces] for other in facing):
        return CONDITIONS["live"], True
    if facing:
        return CONDITIONS["grounded"], True
    if inputs.grounded_walls is None:
        return CONDITIONS["grounded"], False
    return CONDITIONS["grounded" if placed.faces in inputs.grounded_walls else "nothing"], True


def geometry_findings(inputs: MachineRoomInputs, layout: Sequence[Placed]) -> Iterator[Finding]:
    """Everything about places on the plan, one finding per thing or pair."""
    room, swing = room_outline(inputs), door_swing(inputs)
    for number, placed in enumerate(layout):
        name = placed.item.name
        yield _finding("inside the room", placed.body.inside(room), PLAN, name)
        clear = all(not placed.body.overlaps(other.body) for other in layout[:number])
        hit = {o.item.name: True for o in layout[:number] if placed.body.overlaps(o.body)}
        yield Finding("clear of other equipment", outcome(clear), PLAN, name, arguments=hit)
        if swing is not None:
            yield _finding("clear of the door swing", not swing.overlaps(placed.body), SWING, name)
        if placed.item.live:
            yield from _space_findings(inputs, placed, layout, swing)
    yield from _path_findings(inputs, layout)


def _space_findings(
    inputs: MachineRoomInputs, placed: Placed, layout: Sequence[Placed], swing: Swing | None
) -> Iterator[Finding]:
    name = placed.item.name
    space = working_space(inputs, placed, [other for other in layout if other is not placed])
    if space is None:
        yield Finding(
            "working space",
            "unknown",
            TO_GROUND,
            name,
            missing=("volts_to_ground", "line_volts", "grounding"),
        )
        return
    blocked = dict.fromkeys(space.blocked_by, True)
    yield Finding(
        "working space",
        outcome(not blocked),
        space.depth.source,
        name,
        None,
        space.depth.amount,
        "length",
        (),
        blocked,
    )
    if space.condition.amount is None and inputs.code_set == "US":
        yield Finding(
            "condition of the working space", "unknown", DEPTH, name, missing=("grounded_walls", "opposite")
        )
    if swing is not None and swing.overlaps(space.outline):
        yield Finding("door swings through working space", "warning", SWING, name)
    yield at_least(
        "height of the working space",
        inputs.headroom,
        space.height.amount,
        "length",
        space.height.source,
        missing="headroom",
        subject=name,
    )


def _path_findings(inputs: MachineRoomInputs, layout: Sequence[Placed]) -> Iterator[Finding]:
    """A way from the door to the front of everything in the room: 18 in wide, 0.50 m under the EN set."""
    width = PATH_WIDTHS[inputs.code_set]
    source = PATH if inputs.code_set == "US" else EN_PATH
    room, half = room_outline(inputs), width // 2
    opening = door_opening(inputs, half)
    low, high = opening.along(inputs.door.wall)
    strip = door_opening(inputs, 2 * half)
    middle = Rectangle(
        (strip.x + strip.east) // 2,
        (strip.y + strip.north) // 2,
        (strip.x + strip.east) // 2,
        (strip.y + strip.north) // 2,
    )
    if inputs.door.wall in {"north", "south"}:
        start = Rectangle(low + half, middle.y, max(high - half, low + half), middle.north)
    else:
        start = Rectangle(middle.x, low + half, middle.east, max(high - half, low + half))
    goals = [_front(placed, half) for placed in layout]
    reached = reachable(room, [placed.body for placed in layout], width, start, goals)
    for placed, found in zip(layout, reached, strict=True):
        yield Finding("working path", outcome(found), source, placed.item.name, None, width, "length")


def _front(placed: Placed, half: int) -> Rectangle:
    """Centres of the path's square that touch the front of ``placed``."""
    return placed.body.before(placed.faces, half, placed.body.along(placed.faces))


def _finding(key: str, met: bool, source: Source, subject: str) -> Finding:
    return Finding(key, outcome(met), source, subject)
