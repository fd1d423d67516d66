"""Machine-room plan check: working spaces, door swing, headroom, light, path, foreign items, and a proposal.

Lengths in nanometres; x runs east and y north from the room's south-west corner. Rectangles are
tested exactly. A planning check: local codes, the authorities and the lift maker's layout govern.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from coordination.siteprep.calculations.code_sets import NO_EN_VALUE, no_en_value
from coordination.siteprep.calculations.machine_room import working_space as spaces
from coordination.siteprep.calculations.machine_room.geometry import Rectangle, Swing
from coordination.siteprep.calculations.machine_room.inputs import Door, Equipment, MachineRoomInputs
from coordination.siteprep.calculations.machine_room.layout import (
    EN_PATH,
    PATH,
    PLAN,
    SWING,
    Placed,
    WorkingSpace,
    door_swing,
    geometry_findings,
    placed_at,
    working_space,
)
from coordination.siteprep.calculations.machine_room.placement import proposed
from coordination.siteprep.calculations.machine_room.working_space import (
    clear_depth,
    clear_height,
    clear_width,
    volts_to_ground,
)
from coordination.siteprep.calculations.values import Finding, Source, at_least, holds, inches

__all__ = [
    "EXAMPLE",
    "SOURCES",
    "Door",
    "Equipment",
    "MachineRoomInputs",
    "MachineRoomResult",
    "Outline",
    "Rectangle",
    "Swing",
    "WorkingSpace",
    "calculate",
    "clear_depth",
    "clear_height",
    "clear_width",
    "volts_to_ground",
]

A17 = "ASME A17.1/CSA B44"
NEC = "NEC (NFPA 70)"
HEADROOM = Source(A17, "2.7.4.1", "code", "elevator")
LIGHT = Source(A17, "2.7.9.1", "code", "elevator")
DOOR = Source(A17, "2.7.3.4", "code", "elevator")
FOREIGN = Source(A17, "2.8.1 to 2.8.3; NEC 620.37", "code", "elevator")
RECEPTACLE = Source(NEC, "620.23(C) and 620.6 (2020 edition; 620.85 before)", "code", "electrical")
LIGHT_SWITCH = Source(NEC, "620.23(B)", "code", "electrical")
EXTINGUISHER = Source(A17, "8.6.1.6.5", "memory", "elevator")
EN_LIGHT = Source("EN 81-20", "5.2.1.4, 200 lx in the working area", "memory", "elevator")
LEAST_HEADROOM = inches(84)
LEAST_LIGHT = Fraction(200)


@dataclass(frozen=True, slots=True)
class Outline:
    """One thing on the plan, for a drawing: outline and the side its front looks to."""

    name: str
    outline: Rectangle
    faces: str


@dataclass(frozen=True, slots=True)
class MachineRoomResult:
    """Outlines and spaces for a drawing to scale, the findings, and a proposal when the given layout fails.

    Outlines are in nanometres (x, y, east, north). ``proposal`` is empty when none was needed or
    none was found; ``proposal_outcome`` says which: "not needed", "found", "there is none against
    the walls" or "search ended".
    """

    room: Rectangle
    equipment: tuple[Outline, ...]
    working_spaces: tuple[WorkingSpace, ...]
    door_swing: Swing | None
    findings: tuple[Finding, ...]
    proposal: tuple[Outline, ...]
    proposal_spaces: tuple[WorkingSpace, ...]
    proposal_outcome: str


def calculate(inputs: MachineRoomInputs) -> MachineRoomResult:
    """Check the room and its plan; propose a placement against the walls when the given one fails.

    Working spaces of two things may overlap each other, never a body or a wall; touching is clear.
    Where the wall opposite is unknown the deeper depth is used and the condition stays unknown.

    Source: NEC 110.26(A), ASME A17.1 2.7 and 2.8; EN 81-20 5.2.6.3 under the EN set.
    """
    given = [placed_at(i, i.x, i.y, i.faces) for i in inputs.equipment if i.x is not None and i.y is not None]
    findings = [*geometry_findings(inputs, given), *_without_place(inputs), *_room_findings(inputs)]
    complete = len(given) == len(inputs.equipment)
    failed = any(f.outcome == "not met" and f.subject and "height" not in f.key for f in findings)
    found, searched = (None, True) if complete and not failed else proposed(inputs)
    outcome = "not needed" if complete and not failed else "found" if found else _no_proposal(searched)
    return MachineRoomResult(
        Rectangle(0, 0, inputs.room_width, inputs.room_depth),
        _outlines(given),
        _spaces(inputs, given),
        door_swing(inputs),
        tuple(findings),
        _outlines(found or ()),
        _spaces(inputs, list(found or ())),
        outcome,
    )


def _no_proposal(searched: bool) -> str:
    return "there is none against the walls" if searched else "search ended"


def _outlines(layout: list[Placed] | tuple[Placed, ...]) -> tuple[Outline, ...]:
    return tuple(Outline(placed.item.name, placed.body, placed.faces) for placed in layout)


def _spaces(inputs: MachineRoomInputs, layout: list[Placed]) -> tuple[WorkingSpace, ...]:
    found = (
        working_space(inputs, placed, [other for other in layout if other is not placed])
        for placed in layout
        if placed.item.live
    )
    return tuple(space for space in found if space is not None)


def _without_place(inputs: MachineRoomInputs) -> Iterator[Finding]:
    for item in inputs.equipment:
        if item.x is None:
            yield Finding("place on the plan", "unknown", PLAN, item.name, missing=("x", "y"))


def _room_findings(inputs: MachineRoomInputs) -> Iterator[Finding]:
    yield from _en_room_findings(inputs) if inputs.code_set == "EN" else _us_room_findings(inputs)
    if inputs.foreign_items is None:
        yield Finding("foreign items", "unknown", FOREIGN, missing=("foreign_items",))
    elif not inputs.foreign_items:
        yield Finding("foreign items", "met", FOREIGN)
    for item in inputs.foreign_items or ():
        yield Finding("foreign items", "not met", FOREIGN, "", item)


def _en_room_findings(inputs: MachineRoomInputs) -> Iterator[Finding]:
    """What is held of the EN set: height and light of the working area; its electrics are asked about."""
    height = spaces.EN_LEAST_HEIGHT
    yield at_least("headroom", inputs.headroom, height, "length", spaces.EN_SPACE, missing="headroom")
    yield at_least("light at the floor", inputs.light, LEAST_LIGHT, "lx", EN_LIGHT, missing="light")
    yield from no_en_value(inputs.code_set, "electrical")


def _us_room_findings(inputs: MachineRoomInputs) -> Iterator[Finding]:
    yield at_least("headroom", inputs.headroom, LEAST_HEADROOM, "length", HEADROOM, missing="headroom")
    yield at_least("light at the floor", inputs.light, LEAST_LIGHT, "lx", LIGHT, missing="light")
    yield holds("door self-closing", inputs.door_self_closing, DOOR, missing="door_self_closing")
    yield holds("door self-locking", inputs.door_self_locking, DOOR, missing="door_self_locking")
    yield holds("door opens from inside", inputs.door_opens_inside, DOOR, missing="door_opens_inside")
    yield holds("receptacle with GFCI", inputs.receptacle_gfci, RECEPTACLE, missing="receptacle_gfci")
    yield holds(
        "light switch at entry", inputs.light_switch_at_entry, LIGHT_SWITCH, missing="light_switch_at_entry"
    )
    yield holds("extinguisher", inputs.extinguisher, EXTINGUISHER, missing="extinguisher")


SOURCES = (
    spaces.DEPTH, spaces.DEPTH_TO_1000_VOLTS, spaces.WIDTH, spaces.HEIGHT, spaces.TO_GROUND, PLAN, PATH, SWING,
    HEADROOM, LIGHT, DOOR, FOREIGN, RECEPTACLE, LIGHT_SWITCH, EXTINGUISHER, spaces.EN_SPACE, EN_PATH, EN_LIGHT,
    NO_EN_VALUE["electrical"],
)  # fmt: skip
EXAMPLE = {
    "room_width": "7 ft",
    "room_depth": "8 ft",
    "door": {"wall": "south", "offset": "3 ft 6 in", "width": "36 in", "hinge": "high", "swings": "out"},
    "line_volts": 208,
    "grounding": "grounded wye",
    "grounded_walls": [],
    "headroom": "8 ft",
    "light": "20 fc",
    "foreign_items": [],
    "equipment": [
        {
            "name": "controller",
            "kind": "controller",
            "width": "24 in",
            "depth": "10 in",
            "faces": "south",
            "x": 0,
            "y": "86 in",
        },
        {
            "name": "main disconnect",
            "kind": "disconnect",
            "width": "12 in",
            "depth": "6 in",
            "faces": "west",
            "x": "78 in",
            "y": "40 in",
        },
        {
            "name": "power unit",
            "kind": "power unit",
            "width": "24 in",
            "depth": "18 in",
            "faces": "east",
            "x": 0,
            "y": "20 in",
        },
    ],
}
