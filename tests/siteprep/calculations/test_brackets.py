"""Bracket elevations: equal spaces, zones, the drawing that overrides."""

import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coordination.siteprep.calculations.brackets import BracketInputs, LandingZones, Zone, calculate
from coordination.siteprep.calculations.inputs import InputErrors
from coordination.siteprep.calculations.values import feet, inches


def elevations(result):
    return [bracket.above_pit_floor.amount for bracket in result.brackets]


def plain(**changed):
    given = {
        "pit_depth": inches(14),
        "travel": feet(10),
        "overhead": inches(135),
        "first_offset": inches(12),
        "last_offset": inches(17),
        "max_spacing": feet(6),
    }
    return BracketInputs(**{**given, **changed})


def test_equal_spaces_not_over_the_maximum():
    # 14 + 120 + 135 = 269 in; first 12, last 252: span 240 in = 4 spaces of 60 in
    assert elevations(calculate(plain())) == [inches(n) for n in (12, 72, 132, 192, 252)]


def test_elevations_also_from_the_bottom_landing():
    assert calculate(plain()).brackets[0].above_bottom_landing.amount == -inches(2)


def test_span_of_exactly_the_spacing_adds_no_bracket():
    result = calculate(plain(max_spacing=feet(5)))
    assert (len(result.brackets), result.greatest_spacing.amount, result.findings) == (5, feet(5), ())


def test_one_sixty_fourth_over_the_spacing_adds_one():
    assert len(calculate(plain(max_spacing=feet(5), last_offset=inches("16.984375"))).brackets) == 6


def test_usual_spacing_is_practice_and_said_so():
    result = calculate(plain(max_spacing=None))
    assert (result.max_spacing.amount, result.max_spacing.source.status) == (feet(6), "practice")
    residence = calculate(plain(max_spacing=None, lift_class="private residence"))
    assert residence.max_spacing.amount == feet(5)


def test_brackets_leave_a_floor_band():
    band = Zone(name="floor 2", bottom=inches(108), top=inches(120))  # 122 to 134 in above the pit floor
    result = calculate(plain(keep_clear=(band,)))
    # least greatest space 61 in: 12 to 134 in two spaces
    assert elevations(result) == [inches(n) for n in (12, 73, 134, 192, 252)]
    assert (result.greatest_spacing.amount, result.findings) == (inches(61), ())


def test_height_of_the_bracket_keeps_clear_as_a_whole():
    band = Zone(name="floor 2", bottom=inches(108), top=inches(120))
    result = calculate(plain(keep_clear=(band,), bracket_height=inches(8)))
    assert not any(inches(118) < e < inches(138) for e in elevations(result))


def test_zone_longer_than_the_spacing_is_said():
    wall = Zone(name="glass", bottom=feet(2), top=feet(10))
    result = calculate(plain(keep_clear=(wall,)))
    assert [(f.key, f.outcome, f.found, f.limit, dict(f.arguments)) for f in result.findings] == [
        ("bracket cannot be placed", "not met", feet(8), feet(6), {"glass": True})
    ]


def test_first_bracket_in_a_zone_moves_outward():
    slab = Zone(name="slab edge", bottom=-inches(6), top=inches(6))  # 8 to 20 in above the pit floor
    result = calculate(plain(keep_clear=(slab,)))
    assert elevations(result)[0] == inches(8)
    assert [(f.key, f.outcome, f.subject) for f in result.findings] == [
        ("bracket end in zone", "warning", "first bracket")
    ]


def test_landing_zones():
    landing = LandingZones(
        name="2",
        elevation=feet(10),
        floor_depth=inches(12),
        sill_depth=inches(14),
        door_height=inches(80),
        header_depth=inches(10),
    )
    result = calculate(plain(landings=(landing,)))
    for low, high in [(120, 134), (214, 224)]:
        assert not any(inches(low) < e < inches(high) for e in elevations(result))


def test_drawing_overrides_and_names_its_revision():
    drawn = tuple(inches(n) for n in (240, 10, 84, 170))
    band = Zone(name="floor 2", bottom=inches(60), top=inches(72))
    result = calculate(plain(drawing_elevations=drawn, drawing_revision="C", keep_clear=(band,)))
    assert elevations(result) == [inches(n) for n in (10, 84, 170, 240)]
    assert {b.above_pit_floor.source.status for b in result.brackets} == {"drawing"}
    assert (result.drawing_revision, result.count.source.document) == ("C", "approved drawing, revision C")
    assert [(f.key, f.outcome, f.found) for f in result.findings] == [
        ("bracket in zone", "warning", inches(84)),
        ("spacing over the maximum", "warning", inches(74)),
        ("spacing over the maximum", "warning", inches(86)),
    ]


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"drawing_elevations": (feet(1),)}, "drawing_revision"),
        ({"drawing_revision": "B"}, "drawing_elevations"),
        ({"drawing_elevations": (feet(60),), "drawing_revision": "B"}, "drawing_elevations"),
        ({"last_offset": feet(60)}, "last_offset"),
        ({"pit_depth": -1}, "pit_depth"),
        ({"max_spacing": 0}, "max_spacing"),
    ],
)
def test_nonsense_is_refused_by_name(changed, field):
    with pytest.raises(InputErrors) as refused:
        plain(**changed)
    assert [problem.field for problem in refused.value.problems] == [field]


lengths = st.integers(min_value=0, max_value=64 * 12 * 30).map(lambda n: n * 396_875)


@settings(max_examples=60, deadline=None)
@given(lengths, lengths, st.integers(min_value=36, max_value=96))
def test_more_travel_never_fewer_brackets(one, other, spacing):
    less, more = sorted((one, other))
    counts = [len(calculate(plain(travel=t, max_spacing=inches(spacing))).brackets) for t in (less, more)]
    assert counts[0] <= counts[1]


@settings(max_examples=60, deadline=None)
@given(lengths, st.lists(st.tuples(st.integers(-12, 400), st.integers(1, 30)), max_size=5))
def test_every_space_holds_and_every_zone_is_clear_unless_said(travel, zones):
    keep_clear = tuple(
        Zone(name=str(i), bottom=inches(a), top=inches(a + b)) for i, (a, b) in enumerate(zones)
    )
    inputs = plain(travel=travel, keep_clear=keep_clear)
    result = calculate(inputs)
    placed = elevations(result)
    assert placed == sorted(set(placed))
    for zone in keep_clear:
        assert not any(zone.bottom < e - inputs.pit_depth < zone.top for e in placed)
    if not any(f.outcome == "not met" for f in result.findings):
        assert all(above - below <= feet(6) for below, above in itertools.pairwise(placed))


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.integers(20, 230), st.integers(1, 40)), max_size=4))
def test_count_is_the_least_by_shortest_path(zones):
    """Independent: shortest path over whole-inch positions (networkx); the greedy count may not be higher."""
    import networkx

    keep_clear = tuple(
        Zone(name=str(i), bottom=inches(a - 14), top=inches(a + b - 14)) for i, (a, b) in enumerate(zones)
    )
    result = calculate(plain(keep_clear=keep_clear))
    if result.findings:
        return
    free = [n for n in range(12, 253) if not any(a < n < a + b for a, b in zones)]
    graph = networkx.DiGraph((a, b) for a in free for b in free if 0 < b - a <= 72)
    assert len(result.brackets) == networkx.shortest_path_length(graph, 12, 252) + 1
