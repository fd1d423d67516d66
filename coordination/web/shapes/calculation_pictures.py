"""Drawings of results: the machine room to scale as given and as proposed, the matrix of cause and effect."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from coordination.pictures.device_matrix import DeviceMatrix, Mark, device_matrix, table_of_matrix
from coordination.pictures.pen import PictureError
from coordination.pictures.room_plan import Area, Door, Equipment, RoomPlan, machine_room_plan, table_of_plan
from coordination.siteprep.calculations.alarm import AlarmResult, Cause
from coordination.siteprep.calculations.machine_room import MachineRoomResult, Outline
from coordination.siteprep.calculations.machine_room.geometry import Rectangle
from coordination.siteprep.calculations.machine_room.inputs import MachineRoomInputs
from coordination.siteprep.calculations.machine_room.layout import WorkingSpace
from coordination.web.shapes.calculation_results import Writer


@dataclass(frozen=True)
class Picture:
    """For components/drawing.html; ``svg`` for a paper. ``alt`` says what it shows, ``of`` whose table it is."""

    drawing: SafeString
    svg: bytes
    caption: str
    alt: str
    table: dict[str, Any]
    of: str = ""


def pictures_of(inputs: Any, result: Any, writer: Writer) -> tuple[Picture, ...]:
    """The drawings of a result; none where it has none, or where its numbers make none."""
    if isinstance(result, MachineRoomResult):
        return tuple(_rooms(inputs, result, writer))
    if isinstance(result, AlarmResult) and result.matrix:
        return (_matrix(result, writer),)
    return ()


def _rooms(inputs: MachineRoomInputs, result: MachineRoomResult, writer: Writer) -> Iterator[Picture]:
    layouts = [(_("As given, to scale"), result.equipment, result.working_spaces, "given")]
    if result.proposal:
        layouts.append(
            (_("Another placement, to scale"), result.proposal, result.proposal_spaces, "proposed")
        )
    for caption, equipment, spaces, prefix in layouts:
        try:
            plan = _plan(inputs, result.room, equipment, spaces, length=writer.short, title=caption)
            yield _room(plan, caption, prefix)
        except PictureError:
            continue


def _room(plan: RoomPlan, caption: str, prefix: str) -> Picture:
    rows = [[*row.cells, "", ""][:3] for row in table_of_plan(plan)]
    return Picture(
        mark_safe(machine_room_plan(plan, prefix=prefix)),
        machine_room_plan(plan, prefix=prefix, paper=True).encode(),
        caption,
        plan.description,
        {
            "caption": caption,
            "columns": [_("equipment"), _("size, or what stands in its space"), _("clear space, or how far")],
            "rows": rows,
        },
    )


def _plan(
    inputs: MachineRoomInputs,
    room: Rectangle,
    equipment: Sequence[Outline],
    spaces: Sequence[WorkingSpace],
    *,
    length: Callable[[int], str],
    title: str,
) -> RoomPlan:
    """The plan as the picture counts it: from the north wall down."""
    clear = {space.name: space.outline for space in spaces}
    return RoomPlan(
        title=title,
        description=_("Machine room in plan: equipment, working spaces and the swing of the door."),
        width=room.east,
        depth=room.north,
        equipment=tuple(
            Equipment(
                item.name,
                item.name,
                _area(item.outline, room),
                _area(clear[item.name], room) if item.name in clear else None,
            )
            for item in equipment
        ),
        door=_door(inputs),
        length=length,
        door_words=_("the swing of the door"),
        overlap_words=_("in its space:"),
        clear_heading=_("clear space"),
    )


def _area(item: Rectangle, room: Rectangle) -> Area:
    return Area(item.x, room.north - item.north, item.east - item.x, item.north - item.y)


def _door(inputs: MachineRoomInputs) -> Door:
    """Offsets count from the west or south end here, from the west or north end in the picture."""
    door, swing = inputs.door, inputs.door.swings
    if door.wall in ("north", "south"):
        return Door(door.wall, door.offset, door.width, swing, "near" if door.hinge == "low" else "far")  # type: ignore[arg-type]
    offset = inputs.room_depth - door.offset - door.width
    return Door(door.wall, offset, door.width, swing, "far" if door.hinge == "low" else "near")  # type: ignore[arg-type]


def _matrix(result: AlarmResult, writer: Writer) -> Picture:
    landings = list(dict.fromkeys(cause.recall_to for cause in result.matrix if cause.recall_to))
    effects = [
        *((f"to {name}", _("car to landing %(name)s") % {"name": name}) for name in landings),
        *(
            (("to", _("recall, level not known")),)
            if any(c.recall and not c.recall_to for c in result.matrix)
            else ()
        ),
        ("steady", _("hat steady")),
        ("flashing", _("hat flashing")),
        ("power", _("power off")),
        ("supervisory", _("supervisory signal")),
    ]
    marks: dict[tuple[str, str], Mark] = {}
    for cause in result.matrix:
        for effect in _effects(cause):
            marks[cause.device, effect] = "question" if cause.provisional else "acts"
        if cause.recall or cause.hat:
            marks[cause.device, "power"] = "never"
    matrix = DeviceMatrix(
        title=_("Which device does what"),
        description=_("Cause and effect of recall: causes down, effects across."),
        causes=tuple((cause.device, writer.key(cause.device)) for cause in result.matrix),
        effects=tuple(effects),
        marks=marks,
        mark_words={
            "acts": _("does it"),
            "tried": _("tried"),
            "never": _("never does it"),
            "question": _("not settled: ask"),
        },
        corner=_("device"),
    )
    rows = [list(row.cells) for row in table_of_matrix(matrix)]
    return Picture(
        mark_safe(device_matrix(matrix, prefix="matrix")),
        device_matrix(matrix, prefix="matrix", paper=True).encode(),
        matrix.title,
        matrix.description,
        {"caption": matrix.title, "columns": [_("device"), _("effect"), _("mark")], "rows": rows},
        of=writer.label("matrix"),
    )


def _effects(cause: Cause) -> Iterator[str]:
    if cause.recall:
        yield f"to {cause.recall_to}" if cause.recall_to else "to"
    if cause.hat:
        yield cause.hat
    if cause.trips_power:
        yield "power"
    if cause.supervisory:
        yield "supervisory"
