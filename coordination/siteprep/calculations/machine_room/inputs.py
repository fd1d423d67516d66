# ruff: noqa: RUF009 (declare() makes a dataclass field)
"""Inputs of the machine-room check: the room, its door, and what stands in it. Lengths in nanometres."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from coordination.siteprep.calculations.code_sets import declare_code_set
from coordination.siteprep.calculations.inputs import Inputs, Problem, declare
from coordination.siteprep.calculations.machine_room.geometry import SIDES
from coordination.siteprep.calculations.machine_room.working_space import CONDITIONS, GROUNDINGS
from coordination.siteprep.calculations.values import feet, inches

LIVE_KINDS = ("controller", "disconnect", "panel")
KINDS = (*LIVE_KINDS, "power unit", "other")


@dataclass(frozen=True, kw_only=True)
class Door(Inputs):
    """The room's door."""

    wall: str = declare("choice", "wall it is in", choices=SIDES)
    offset: int = declare("length", "from the west or south end of that wall to the opening", low=0)
    width: int = declare("length", "width of the leaf and opening", low=inches(12), high=feet(8))
    hinge: str = declare(
        "choice",
        "end of the opening with the hinge: low is west or south",
        default="low",
        choices=("low", "high"),
    )
    swings: str = declare("choice", "into the room or out of it", default="in", choices=("in", "out"))


@dataclass(frozen=True, kw_only=True)
class Equipment(Inputs):
    """One thing standing or hanging in the room, by its outline on the plan."""

    name: str = declare("text", "name on the plan")
    kind: str = declare("choice", "controller, disconnect and panel need working space", choices=KINDS)
    width: int = declare("length", "along its front", low=1, high=feet(20))
    depth: int = declare("length", "from back to front", low=1, high=feet(20))
    height: int = declare("length", "top above the floor", default=inches(78), low=0, high=feet(20))
    faces: str = declare("choice", "direction its front looks", default="south", choices=SIDES)
    x: int | None = declare("length", "west end, from the west wall", unknown=True, low=0)
    y: int | None = declare("length", "south end, from the south wall", unknown=True, low=0)
    volts_to_ground: Fraction | None = declare(
        "volts", "its highest voltage to ground; else taken from the supply", unknown=True, low=0
    )
    opposite: str | None = declare(
        "choice",
        "what is across its working space: nothing, grounded parts or live parts; else found from the plan",
        unknown=True,
        choices=tuple(CONDITIONS),
    )
    cabinet_door: int | None = declare(
        "length", "width of its cabinet door leaf, which must open 90 degrees", unknown=True, low=0
    )
    stays: bool = declare("flag", "may not be moved by a proposal", default=False)

    def cross_check(self) -> Iterator[Problem]:
        """Both coordinates or none."""
        if (self.x is None) != (self.y is None):
            yield Problem("x" if self.x is None else "y", "is missing", "give both x and y, or neither")

    @property
    def live(self) -> bool:
        """Whether it has live parts likely to be examined, adjusted or serviced."""
        return self.kind in LIVE_KINDS


@dataclass(frozen=True, kw_only=True)
class MachineRoomInputs(Inputs):
    """Clear room inside finished walls; x runs east along the south wall, y north along the west wall."""

    code_set: str = declare_code_set()
    room_width: int = declare("length", "clear inside, west to east", low=inches(12), high=feet(100))
    room_depth: int = declare("length", "clear inside, south to north", low=inches(12), high=feet(100))
    door: Door = declare("record", "the room's door", of=Door)
    equipment: tuple[Equipment, ...] = declare(
        "record", "what stands in the room", many=True, of=Equipment, least=1
    )
    line_volts: Fraction | None = declare(
        "volts", "supply voltage between lines", unknown=True, low=0, high=1000
    )
    grounding: str | None = declare("choice", "how the supply is grounded", unknown=True, choices=GROUNDINGS)
    grounded_walls: tuple[str, ...] | None = declare(
        "choice",
        "walls of concrete, brick or tile, which count as grounded (empty list: none)",
        unknown=True,
        many=True,
        choices=SIDES,
    )
    headroom: int | None = declare("length", "clear height", unknown=True, low=0)
    light: Fraction | None = declare("light", "light at the floor", unknown=True, low=0)
    foreign_items: tuple[str, ...] | None = declare(
        "text",
        "pipes, ducts, storage or wiring that do not serve the lift (empty list: none seen)",
        unknown=True,
        many=True,
    )
    door_self_closing: bool | None = declare("flag", "the door closes by itself", unknown=True)
    door_self_locking: bool | None = declare(
        "flag", "the door locks by itself and needs a key from outside", unknown=True
    )
    door_opens_inside: bool | None = declare("flag", "the door opens from inside without a key", unknown=True)
    receptacle_gfci: bool | None = declare(
        "flag", "a 125 V duplex receptacle with GFCI protection is there", unknown=True
    )
    light_switch_at_entry: bool | None = declare(
        "flag", "the light switch is at the point of entry", unknown=True
    )
    extinguisher: bool | None = declare(
        "flag", "a class ABC extinguisher in date hangs near the door", unknown=True
    )

    def cross_check(self) -> Iterator[Problem]:
        """The opening fits the wall, and names are unlike."""
        wall = self.room_width if self.door.wall in {"north", "south"} else self.room_depth
        if self.door.offset + self.door.width > wall:
            yield Problem(
                "door.offset",
                "puts the opening past the end of its wall",
                "give an offset that leaves the width",
            )
        names = [item.name for item in self.equipment]
        if len(set(names)) < len(names):
            yield Problem("equipment", "has two things of one name", "name each thing differently")
