"""Machine-room plan: spaces, overlaps, swing, path, proposal; Shapely and networkx as independent references."""

import math
from collections import Counter
from dataclasses import replace
from fractions import Fraction

import networkx
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from coordination.siteprep.calculations.inputs import InputErrors
from coordination.siteprep.calculations.machine_room import (
    Door,
    Equipment,
    MachineRoomInputs,
    Rectangle,
    Swing,
    calculate,
)
from coordination.siteprep.calculations.machine_room.geometry import reachable
from coordination.siteprep.calculations.values import OutOfTable, feet, inches


def controller(**changed):
    given = {
        "name": "controller",
        "kind": "controller",
        "width": inches(24),
        "depth": inches(10),
        "faces": "south",
    }
    return Equipment(**{**given, "x": 0, "y": inches(86), **changed})


def room(*equipment, **changed):
    given = {
        "room_width": inches(84),
        "room_depth": inches(96),
        "door": Door(wall="south", offset=inches(42), width=inches(36), swings="out"),
        "line_volts": Fraction(208),
        "grounding": "grounded wye",
        "grounded_walls": (),
        "headroom": inches(96),
        "equipment": equipment or (controller(),),
    }
    return MachineRoomInputs(**{**given, **changed})


def outcomes(result, key):
    return {f.subject: f.outcome for f in result.findings if f.key == key}


def blocking(result, name):
    (found,) = [f for f in result.findings if (f.key, f.subject) == ("working space", name)]
    return sorted(found.arguments)


def test_space_is_three_feet_deep_and_thirty_inches_wide():
    (space,) = calculate(room()).working_spaces
    assert (space.depth.amount, space.width.amount, space.height.amount) == (feet(3), inches(30), inches(78))
    assert space.outline == Rectangle(0, inches(50), inches(30), inches(86))


@pytest.mark.parametrize(
    ("volts", "grounding", "opposite", "depth"),
    [
        (208, "grounded wye", "live", feet(3)),
        (480, "grounded wye", "nothing", feet(3)),
        (480, "grounded wye", "grounded", inches(42)),
        (480, "grounded wye", "live", feet(4)),
        (240, "grounded centre tap", "live", feet(3)),
        (240, "ungrounded", "live", feet(4)),
        (240, "high leg delta", "grounded", inches(42)),
    ],
)
def test_depth_follows_supply_and_what_is_opposite(volts, grounding, opposite, depth):
    result = calculate(room(controller(opposite=opposite), line_volts=Fraction(volts), grounding=grounding))
    assert result.working_spaces[0].depth.amount == depth


@pytest.mark.parametrize(
    ("walls", "condition", "depth"),
    [((), 1, feet(3)), (("south",), 2, inches(42)), (("east",), 1, feet(3)), (None, None, inches(42))],
)
def test_condition_from_the_wall_opposite(walls, condition, depth):
    result = calculate(room(line_volts=Fraction(480), grounded_walls=walls))
    assert (result.working_spaces[0].condition.amount, result.working_spaces[0].depth.amount) == (
        condition,
        depth,
    )
    assert outcomes(result, "condition of the working space") == (
        {} if walls is not None else {"controller": "unknown"}
    )


def test_live_parts_facing_each_other_are_condition_three():
    other = controller(name="panel", kind="panel", faces="north", y=0)
    result = calculate(room(controller(), other, line_volts=Fraction(480)))
    assert [(s.condition.amount, s.depth.amount) for s in result.working_spaces] == [
        (3, feet(4)),
        (3, feet(4)),
    ]


def test_body_in_the_space_is_named_and_touching_is_clear():
    pump = Equipment(name="pump", kind="power unit", width=inches(24), depth=inches(20), x=0, y=inches(30))
    assert blocking(calculate(room(controller(), pump)), "controller") == []
    assert blocking(calculate(room(controller(), replace(pump, y=inches(31)))), "controller") == ["pump"]


def test_space_may_shift_sideways_as_long_as_it_takes_in_the_front():
    pump = Equipment(name="pump", kind="power unit", width=inches(12), depth=inches(12), x=0, y=inches(60))
    free = calculate(room(controller(x=inches(18)), pump))
    assert (blocking(free, "controller"), free.working_spaces[0].outline.x >= inches(12)) == ([], True)
    assert blocking(calculate(room(controller(x=inches(11)), pump)), "controller") == ["pump"]


def test_space_through_a_wall_is_blocked_by_the_room():
    assert blocking(calculate(room(controller(y=inches(30)))), "controller") == ["room"]
    assert blocking(calculate(room(controller(faces="north"))), "controller") == ["room"]


def test_overlapping_and_outside_bodies():
    pump = Equipment(
        name="pump", kind="power unit", width=inches(24), depth=inches(20), x=inches(20), y=inches(80)
    )
    result = calculate(room(controller(), pump))
    assert outcomes(result, "clear of other equipment") == {"controller": "met", "pump": "not met"}
    assert outcomes(result, "inside the room") == {"controller": "met", "pump": "not met"}


def test_inward_door_needs_its_swing():
    swinging = Door(wall="south", offset=inches(42), width=inches(36), hinge="low", swings="in")
    pump = Equipment(
        name="pump", kind="power unit", width=inches(10), depth=inches(10), x=inches(74), y=inches(26)
    )
    near = replace(pump, x=inches(60), y=inches(20))
    assert outcomes(calculate(room(controller(), pump, door=swinging)), "clear of the door swing") == {
        "controller": "met",
        "pump": "met",
    }
    assert (
        outcomes(calculate(room(controller(), near, door=swinging)), "clear of the door swing")["pump"]
        == "not met"
    )


def test_door_through_working_space_is_a_warning():
    swinging = Door(wall="south", offset=inches(42), width=inches(36), hinge="low", swings="in")
    result = calculate(room(controller(x=inches(40), y=inches(60)), door=swinging))
    assert outcomes(result, "door swings through working space") == {"controller": "warning"}


def test_cabinet_door_deeper_than_the_space():
    assert calculate(room(controller(cabinet_door=inches(40)))).working_spaces[0].outline.y == inches(46)


def test_path_of_eighteen_inches():
    """ASME A17.1 2.7.2.2: a passage of exactly 18 in is met, 17 3/4 in is not."""

    def wall_of(gap):
        shelf = Equipment(
            name="tank",
            kind="other",
            width=inches(84) - gap,
            depth=inches(6),
            height=feet(4),
            x=0,
            y=inches(40),
            faces="north",
        )
        return outcomes(calculate(room(controller(), shelf)), "working path")["controller"]

    assert (wall_of(inches(18)), wall_of(inches("17.75"))) == ("met", "not met")


def test_proposal_for_a_layout_that_fails():
    pump = Equipment(
        name="pump", kind="power unit", width=inches(24), depth=inches(20), x=0, y=inches(60), faces="east"
    )
    result = calculate(room(controller(), pump))
    assert result.proposal_outcome == "found"
    moved = {o.name: o for o in result.proposal}
    assert moved["controller"].outline == Rectangle(0, inches(86), inches(24), inches(96))
    again = calculate(
        room(
            *(
                replace(e, x=moved[e.name].outline.x, y=moved[e.name].outline.y, faces=moved[e.name].faces)
                for e in (controller(), pump)
            )
        )
    )
    assert again.proposal_outcome == "not needed"


def test_things_without_a_place_are_placed():
    pump = Equipment(name="pump", kind="power unit", width=inches(24), depth=inches(20))
    result = calculate(room(controller(x=None, y=None), pump))
    assert (result.proposal_outcome, outcomes(result, "place on the plan")) == (
        "found",
        {"controller": "unknown", "pump": "unknown"},
    )


def test_closet_without_any_placement_says_so():
    closet = room(
        room_width=inches(40),
        room_depth=inches(40),
        door=Door(wall="south", offset=inches(2), width=inches(32), swings="out"),
    )
    assert calculate(closet).proposal_outcome == "there is none against the walls"


def test_what_stays_is_not_moved():
    pump = Equipment(
        name="pump",
        kind="power unit",
        width=inches(24),
        depth=inches(20),
        x=0,
        y=inches(60),
        faces="east",
        stays=True,
    )
    moved = {o.name: o.outline for o in calculate(room(controller(), pump)).proposal}
    assert moved["pump"] == Rectangle(0, inches(60), inches(20), inches(84))


def test_unknown_supply_leaves_the_space_unknown():
    result = calculate(room(line_volts=None))
    assert (result.working_spaces, outcomes(result, "working space")) == ((), {"controller": "unknown"})


def test_above_the_table_is_refused():
    with pytest.raises(OutOfTable):
        calculate(room(controller(volts_to_ground=Fraction(1200))))


def test_room_findings():
    result = calculate(
        room(
            headroom=inches(83),
            light=Fraction(200),
            foreign_items=("gas pipe",),
            door_self_closing=True,
            door_self_locking=False,
        )
    )
    found = {
        (f.key, f.found if f.key == "foreign items" else None): f.outcome
        for f in result.findings
        if not f.subject
    }
    assert found[("headroom", None)] == "not met"
    assert found[("light at the floor", None)] == "met"
    assert found[("foreign items", "gas pipe")] == "not met"
    assert (
        found[("door self-closing", None)],
        found[("door self-locking", None)],
        found[("extinguisher", None)],
    ) == ("met", "not met", "unknown")


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"equipment": ()}, "equipment"),
        ({"equipment": (controller(), controller())}, "equipment"),
        ({"door": Door(wall="south", offset=inches(60), width=inches(36))}, "door.offset"),
    ],
)
def test_nonsense_is_refused_by_name(changed, field):
    with pytest.raises(InputErrors) as refused:
        room(**changed)
    assert [p.field for p in refused.value.problems] == [field]


TURNED = {"north": "west", "west": "south", "south": "east", "east": "north"}


def turned(inputs):
    """The same room turned by 90 degrees to the left: (x, y) goes to (depth - y, x)."""
    items = tuple(
        replace(
            e,
            x=inputs.room_depth - e.y - (e.depth if e.faces in {"north", "south"} else e.width),
            y=e.x,
            faces=TURNED[e.faces],
        )
        for e in inputs.equipment
    )
    door = inputs.door
    along_x = door.wall in {"north", "south"}
    offset = door.offset if along_x else inputs.room_depth - door.offset - door.width
    hinge = door.hinge if along_x else {"low": "high", "high": "low"}[door.hinge]
    return replace(
        inputs,
        room_width=inputs.room_depth,
        room_depth=inputs.room_width,
        equipment=items,
        door=replace(door, wall=TURNED[door.wall], offset=offset, hinge=hinge),
        grounded_walls=None
        if inputs.grounded_walls is None
        else tuple(TURNED[w] for w in inputs.grounded_walls),
    )


places = st.integers(0, 30).map(lambda n: inches(2 * n))
things = st.builds(
    Equipment,
    name=st.just("?"),
    kind=st.sampled_from(["controller", "disconnect", "power unit"]),
    width=st.sampled_from([inches(12), inches(24), inches(36)]),
    depth=st.sampled_from([inches(6), inches(20)]),
    faces=st.sampled_from(["north", "east", "south", "west"]),
    x=places,
    y=places,
)


@settings(max_examples=40, deadline=None)
@given(
    st.lists(things, min_size=1, max_size=3),
    st.sampled_from(["north", "east", "south", "west"]),
    st.sampled_from(["low", "high"]),
    st.sampled_from([None, (), ("south",)]),
)
def test_turning_the_room_changes_nothing(items, wall, hinge, walls):
    from coordination.siteprep.calculations.machine_room.layout import geometry_findings, placed_at

    named = tuple(replace(item, name=str(n)) for n, item in enumerate(items))
    given_room = room(
        *named,
        room_width=inches(120),
        door=Door(wall=wall, offset=inches(20), width=inches(36), hinge=hinge),
        grounded_walls=walls,
        line_volts=Fraction(480),
    )

    def told(inputs):
        layout = [placed_at(e, e.x, e.y, e.faces) for e in inputs.equipment]
        return Counter(
            (f.key, f.outcome, f.subject, f.limit, tuple(sorted(f.arguments)))
            for f in geometry_findings(inputs, layout)
        )

    first = told(given_room)
    for _ in range(3):
        given_room = turned(given_room)
        assert told(given_room) == first


small = st.integers(0, 20)
boxes = st.tuples(small, small, st.integers(1, 8), st.integers(1, 8)).map(
    lambda t: Rectangle(t[0], t[1], t[0] + t[2], t[1] + t[3])
)


def box(rectangle):
    return shapely.box(rectangle.x, rectangle.y, rectangle.east, rectangle.north)


@given(boxes, boxes)
def test_overlap_agrees_with_shapely(one, other):
    assert one.overlaps(other) == (box(one).intersection(box(other)).area > 0)
    assert one.inside(other) == box(other).covers(box(one))


@settings(max_examples=200)
@given(boxes, st.sampled_from([1, -1]), st.sampled_from([1, -1]), st.integers(3, 12))
def test_swing_agrees_with_shapely(rectangle, toward_x, toward_y, radius):
    """Shapely's disc is a polygon inside the circle: compared where the overlap is not a sliver."""
    swing = Swing(10, 10, radius, toward_x, toward_y)
    disc = shapely.Point(10, 10).buffer(radius, quad_segs=2000).intersection(box(swing.square()))
    area = disc.intersection(box(rectangle)).area
    if area > 1e-4:
        assert swing.overlaps(rectangle)
    if area == 0:
        near = (
            max(rectangle.x - 10, 10 - rectangle.east, 0) ** 2
            + max(rectangle.y - 10, 10 - rectangle.north, 0) ** 2
        )
        assert not swing.overlaps(rectangle) or math.isclose(near, radius**2)


@settings(max_examples=80, deadline=None)
@given(st.lists(boxes, max_size=6), boxes)
def test_path_agrees_with_networkx(bodies, goal):
    """A 4-wide square among whole-number boxes moves on whole numbers: a grid graph is exact here."""
    room_box = Rectangle(0, 0, 24, 24)
    start = Rectangle(2, 2, 2, 2)
    free = {
        (x, y)
        for x in range(2, 23)
        for y in range(2, 23)
        if not any(b.overlaps(Rectangle(x - 2, y - 2, x + 2, y + 2)) for b in bodies)
    }
    grid = networkx.grid_2d_graph(range(2, 23), range(2, 23)).subgraph(free)
    wanted = {(x, y) for x, y in free if goal.x <= x <= goal.east and goal.y <= y <= goal.north}
    expected = (2, 2) in free and any(networkx.has_path(grid, (2, 2), spot) for spot in wanted)
    assert reachable(room_box, bodies, 4, start, [goal]) == [expected]
