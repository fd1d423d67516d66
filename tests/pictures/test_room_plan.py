import pytest

from coordination.pictures.pen import PictureError
from coordination.pictures.room_plan import Area, Door, Equipment, RoomPlan, machine_room_plan, table_of_plan
from coordination.pictures.section import FOOT, INCH
from tests.pictures.buildings import feet
from tests.pictures.reading import outside, overlapping, parse, struck_through

CONTROLLER = Equipment(
    "controller",
    "Controller",
    Area(42 * INCH, 0, 24 * INCH, 12 * INCH),
    Area(36 * INCH, 12 * INCH, 36 * INCH, 36 * INCH),
)
TANK = Equipment("tank", "Power unit", Area(54 * INCH, 60 * INCH, 36 * INCH, 24 * INCH))
NEAR = Equipment("tank", "Power unit", Area(54 * INCH, 40 * INCH, 36 * INCH, 24 * INCH))


def plan(*equipment, door=None, **more):
    door = door or Door("south", 12 * INCH, 36 * INCH, "in")
    words = {
        "length": feet,
        "door_words": "door",
        "overlap_words": "not clear:",
        "clear_heading": "clear space",
    } | more
    return RoomPlan("Machine room", "A plan.", 8 * FOOT, 90 * INCH, equipment, door, **words)


@pytest.mark.parametrize("width", [390, 720])
@pytest.mark.parametrize("wall", ["north", "south", "east", "west"])
@pytest.mark.parametrize("swing", ["in", "out"])
def test_words_stay_apart_and_on_the_sheet(width, wall, swing):
    for hinge in ("near", "far"):
        room = plan(CONTROLLER, NEAR, door=Door(wall, 12 * INCH, 36 * INCH, swing, hinge))
        root = parse(machine_room_plan(room, prefix="m", width=width))
        assert (overlapping(root), outside(root), struck_through(root)) == ([], [], [])


def test_a_clear_space_that_is_free_reports_nothing():
    assert plan(CONTROLLER, TANK).overlaps() == ()


def test_what_stands_in_a_clear_space_is_named_and_measured():
    room = plan(CONTROLLER, NEAR)
    assert room.overlaps() == (("controller", "tank", Area(54 * INCH, 40 * INCH, 18 * INCH, 8 * INCH)),)
    assert [r.cells for r in table_of_plan(room) if r.group == "overlap"] == [
        ("Controller", "Power unit", "1' 6\" × 0' 8\"")
    ]


def test_a_door_that_sweeps_the_clear_space_is_named():
    room = plan(CONTROLLER, door=Door("north", 36 * INCH, 36 * INCH, "in"))
    assert [(a, b) for a, b, _ in room.overlaps()] == [("controller", "door")]
    assert plan(CONTROLLER, door=Door("north", 36 * INCH, 36 * INCH, "out")).overlaps() == ()


def test_touching_edges_are_no_overlap():
    assert Area(0, 0, 10, 10).overlap(Area(10, 0, 10, 10)) is None


def test_the_plan_is_to_scale():
    root = parse(machine_room_plan(plan(CONTROLLER, TANK), prefix="m"))
    boxes = {(float(e.get("width")), float(e.get("height"))) for e in root.iter() if e.tag.endswith("rect")}
    room = max(box for box in boxes if abs(box[0] / box[1] - 96 / 90) < 0.001)
    tank = [
        box
        for box in boxes
        if abs(box[0] - room[0] * 36 / 96) < 0.02 and abs(box[1] - room[1] * 24 / 90) < 0.02
    ]
    assert len(tank) == 1


def test_equipment_outside_the_room_is_refused():
    with pytest.raises(PictureError, match="equipment: 'x' does not stand inside the room"):
        plan(Equipment("x", "X", Area(90 * INCH, 0, 24 * INCH, 12 * INCH)))


def test_a_door_outside_its_wall_is_refused():
    with pytest.raises(PictureError, match=r"door\.offset"):
        plan(door=Door("east", 60 * INCH, 36 * INCH, "in"))
