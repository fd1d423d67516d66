"""A placement of the equipment against the walls, when the given one fails."""

from collections.abc import Iterator

from coordination.siteprep.calculations.machine_room.geometry import SIDES
from coordination.siteprep.calculations.machine_room.inputs import Equipment, MachineRoomInputs
from coordination.siteprep.calculations.machine_room.layout import (
    OPPOSITE_SIDE,
    Placed,
    door_swing,
    geometry_findings,
    placed_at,
    room_outline,
    working_space,
)

MOST_TRIES = 4_000


def proposed(inputs: MachineRoomInputs) -> tuple[tuple[Placed, ...] | None, bool]:
    """A layout without a failed check, and whether the search was complete.

    Things stay where they are when they can; the rest is tried with its back to each wall, flush
    with corners, with other things and with their working spaces. (None, True) means that no such
    placement exists; (None, False) that the search ended after 4000 tries.
    """
    tries = [0]
    items = sorted(
        inputs.equipment, key=lambda item: (not item.stays, not item.live, -item.width * item.depth)
    )
    found = _place(inputs, items, [], tries)
    if found is None:
        return None, tries[0] < MOST_TRIES
    order = {item.name: number for number, item in enumerate(inputs.equipment)}
    return tuple(sorted(found, key=lambda placed: order[placed.item.name])), True


def _place(
    inputs: MachineRoomInputs, waiting: list[Equipment], layout: list[Placed], tries: list[int]
) -> list[Placed] | None:
    if not waiting:
        return layout if _faultless(inputs, layout) else None
    for candidate in _candidates(inputs, waiting[0], layout):
        if tries[0] >= MOST_TRIES:
            return None
        tries[0] += 1
        if _fits(inputs, candidate, layout):
            found = _place(inputs, waiting[1:], [*layout, candidate], tries)
            if found is not None:
                return found
    return None


def _faultless(inputs: MachineRoomInputs, layout: list[Placed]) -> bool:
    return all(
        finding.outcome != "not met" or "height" in finding.key
        for finding in geometry_findings(inputs, layout)
    )


def _fits(inputs: MachineRoomInputs, candidate: Placed, layout: list[Placed]) -> bool:
    swing = door_swing(inputs)
    if not candidate.body.inside(room_outline(inputs)) or (swing and swing.overlaps(candidate.body)):
        return False
    if any(candidate.body.overlaps(other.body) for other in layout):
        return False
    together = [*layout, candidate]
    for placed in together:
        if placed.item.live:
            space = working_space(inputs, placed, [other for other in together if other is not placed])
            if space is not None and space.blocked_by:
                return False
    return True


def _candidates(inputs: MachineRoomInputs, item: Equipment, layout: list[Placed]) -> Iterator[Placed]:
    """The given place first, then every wall with the front to the room."""
    if item.x is not None and item.y is not None:
        yield placed_at(item, item.x, item.y, item.faces)
    if item.stays:
        return
    for wall in SIDES:
        faces = OPPOSITE_SIDE[wall]
        for start in _starts(inputs, item, wall, layout):
            yield _against(inputs, item, wall, start, faces)


def _against(inputs: MachineRoomInputs, item: Equipment, wall: str, start: int, faces: str) -> Placed:
    x, y = {
        "north": (start, inputs.room_depth - item.depth),
        "south": (start, 0),
        "east": (inputs.room_width - item.depth, start),
        "west": (0, start),
    }[wall]
    return placed_at(item, x, y, faces)


def _starts(inputs: MachineRoomInputs, item: Equipment, wall: str, layout: list[Placed]) -> list[int]:
    """Positions along ``wall`` where the thing or its working space is flush with something."""
    length = inputs.room_width if wall in {"north", "south"} else inputs.room_depth
    edges = {0, length}
    swing = door_swing(inputs)
    if swing is not None:
        edges.update(swing.square().along(wall))
    if inputs.door.wall == wall:
        edges.update((inputs.door.offset, inputs.door.offset + inputs.door.width))
    for number, placed in enumerate(layout):
        edges.update(placed.body.along(wall))
        space = (
            working_space(inputs, placed, layout[:number] + layout[number + 1 :])
            if placed.item.live
            else None
        )
        if space is not None:
            edges.update(space.outline.along(wall))
    starts = edges | {edge - item.width for edge in edges}
    return sorted(start for start in starts if 0 <= start <= length - item.width)
