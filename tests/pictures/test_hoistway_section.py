import re

import pytest

from coordination.pictures.hoistway import Appearance, hoistway_section
from coordination.pictures.patterns import NO_PART, STATES, state_pattern
from coordination.pictures.pen import PictureError, css_rules
from coordination.pictures.section import FOOT, INCH, MachineRoom, dimensions_of, table_of
from tests.pictures.buildings import building, grid
from tests.pictures.reading import SVG, marked, outside, overlapping, parse, size_of, struck_through, words_of

GRID = grid()
REMOTE = MachineRoom(0, 8 * FOOT, 8 * FOOT, 40 * FOOT, 3 * FOOT)
THREE = {
    "low": building((0, 4 * FOOT), room=REMOTE),
    "tall": building((0, 25 * FOOT), pit=48 * INCH, rail_wall="rear"),
    "four stops": building(
        (0, 8 * FOOT, 16 * FOOT, 25 * FOOT), sides=(("front",), ("rear",), ("front", "rear"), ("front",))
    ),
}


def drawn(section, variant="sheet", focus=None, prefix="p"):
    return parse(hoistway_section(section, Appearance(variant, prefix, focus)))


@pytest.mark.parametrize("variant", ["sheet", "strip", "paper"])
@pytest.mark.parametrize("name", THREE)
def test_every_marked_height_is_affine_in_its_elevation(name, variant):
    section = THREE[name]
    points = marked(drawn(section, variant))
    low, high = min(points, key=lambda p: p[1]), max(points, key=lambda p: p[1])
    scale = (low[2] - high[2]) / (high[1] - low[1])
    assert scale > 0
    off = [(mark, y - (low[2] - (elevation - low[1]) * scale)) for mark, elevation, y in points]
    assert [item for item in off if abs(item[1]) > 0.5] == []
    assert sorted(e for mark, e, _ in points if mark == "bracket") == sorted(section.rails.brackets)
    assert sorted(e for mark, e, _ in points if mark == "sill") == sorted(
        x.elevation for x in section.landings for _ in x.openings
    )
    assert [e for mark, e, _ in points if mark == "pit"] == [section.shaft.pit_floor]


def test_the_enlarged_place_is_to_scale_too():
    points = [
        p for p in marked(drawn(THREE["low"], "trade", "pit")) if p[0] in ("pit", "sill", "bracket", "top")
    ]
    low, high = min(points, key=lambda p: p[1]), max(points, key=lambda p: p[1])
    scale = (low[2] - high[2]) / (high[1] - low[1])
    assert max(abs(y - (low[2] - (e - low[1]) * scale)) for _, e, y in points) < 0.5


@pytest.mark.parametrize("variant", ["sheet", "paper"])
@pytest.mark.parametrize("name", GRID)
def test_no_words_run_into_each_other_or_off_the_sheet(name, variant):
    root = drawn(GRID[name], variant)
    assert overlapping(root) == []
    assert outside(root) == []
    assert struck_through(root) == []


@pytest.mark.parametrize("name", [name for name in GRID if name.endswith(("away, long", "top, long"))])
def test_no_words_run_into_each_other_on_a_trade_sheet(name):
    for place in GRID[name].places:
        root = drawn(GRID[name], "trade", place.key)
        assert (place.key, overlapping(root), outside(root)) == (place.key, [], [])


def test_the_strip_keeps_to_a_phone():
    for name, section in GRID.items():
        width, height = size_of(drawn(section, "strip"))
        assert (name, width <= 160, height < 640) == (name, True, True)


def test_touch_targets_of_the_strip_are_at_least_44_px():
    section = building(room=REMOTE)
    targets = [e for e in drawn(section, "strip").iter(f"{SVG}rect") if e.get("class") == "picture-target"]
    assert len(targets) == len(section.places)
    assert [t for t in targets if float(t.get("width")) < 44 or float(t.get("height")) < 44] == []


@pytest.mark.parametrize("variant", ["sheet", "paper"])
def test_each_state_has_a_hatch_of_its_own_in_shape_not_only_in_ink(variant):
    root = drawn(building(), variant)
    tiles = {e.get("id"): e for e in root.iter(f"{SVG}pattern") if "state" in e.get("id")}
    assert set(tiles) == {f"p-{state_pattern(state)}" for state in (*STATES, NO_PART)}
    coloured = ("class", "id", "stroke") if variant == "sheet" else ("class", "id")
    shapes = {
        key: str([{k: v for k, v in part.attrib.items() if k not in coloured} for part in tile.iter()])
        for key, tile in tiles.items()
    }
    assert len(set(shapes.values())) == len(STATES) + 1 == 9


def test_places_carry_state_in_words_and_hatch():
    section = building(room=REMOTE)
    root = drawn(section)
    groups = {e.get("data-place"): e for e in root.iter() if e.get("data-place")}
    assert {key: g.get("data-state") for key, g in groups.items()} == {p.key: p.state for p in section.places}
    fills = {key: next(g.iter(f"{SVG}rect")).get("fill") for key, g in groups.items()}
    assert fills == {p.key: f"url(#p-{state_pattern(p.state)})" for p in section.places}
    assert {g.find(f"{SVG}title").text for g in groups.values()} == {
        f"{p.name}: {p.state_words}" for p in section.places
    }


def test_what_is_no_part_stands_back():
    """Told apart by words, hatch, outline and weight: no leader in the accent, no bold name."""
    section = building()
    for place in section.places:
        object.__setattr__(place, "state", NO_PART if place.kind != "pit" else "accepted")
    root = drawn(section, "page")
    names = {e.text: e.get("font-weight") for e in root.iter(f"{SVG}text")}
    assert [p.name for p in section.places if names.get(p.name) not in (None, "400", "normal")] == ["pit"]
    leaders = [e.get("class") for e in root.iter(f"{SVG}path") if "picture-leader" in (e.get("class") or "")]
    assert sorted("accent" in each for each in leaders) == [False] * (len(leaders) - 1) + [True]
    dashes = {g.get("data-place"): next(g.iter(f"{SVG}rect")).get("stroke-dasharray")
              for g in root.iter() if g.get("data-place")}  # fmt: skip
    assert dashes == {p.key: "1 3" if p.kind != "pit" else None for p in section.places}


def test_two_drawings_share_no_id():
    one, two = (drawn(building(), prefix=prefix) for prefix in ("a", "b"))
    ids = [{e.get("id") for e in root.iter() if e.get("id")} for root in (one, two)]
    assert ids[0] & ids[1] == set()
    assert all(key.startswith("a-") for key in ids[0])


def test_every_pattern_that_is_used_is_defined():
    for variant, focus in (("sheet", None), ("strip", None), ("paper", None), ("trade", "pit")):
        svg = hoistway_section(building(room=REMOTE), Appearance(variant, "x", focus))
        ids = set(re.findall(r'id="([^"]+)"', svg))
        assert set(re.findall(r"url\(#([^)]+)\)", svg)) - ids == set()


def test_no_style_and_no_script_and_every_class_has_a_rule():
    svg = hoistway_section(building(room=REMOTE), Appearance("sheet", "x"))
    assert "style=" not in svg
    assert "<style" not in svg
    assert "<script" not in svg
    used = set(re.findall(r"picture-(?:fill|line)-\w+", svg))
    assert used - set(re.findall(r"\.(picture-\S+)", css_rules())) == set()


def test_links_open_the_places_and_say_where_they_lead():
    section = building()
    links = [(a.get("href"), a.get("aria-label")) for a in drawn(section).iter(f"{SVG}a")]
    assert set(links) == {(p.href, f"{p.name}: {p.state_words}") for p in section.places}


def test_without_links_it_is_one_image_with_a_name():
    root = drawn(building(links=False))
    assert (root.get("role"), root.get("aria-labelledby")) == ("img", "p-title p-desc")
    assert [root.find(f"{SVG}{tag}").text for tag in ("title", "desc")] == ["Hoistway section", "A section."]
    assert list(root.iter(f"{SVG}a")) == []


def test_words_are_escaped():
    section = building(style="short")
    object.__setattr__(section.places[0], "name", '<b>"Pit" & sump</b>')
    root = drawn(section)
    assert any("<b>" in (e.text or "") for e in root.iter(f"{SVG}text"))


def test_the_drawing_is_the_same_every_time():
    assert hoistway_section(building(), Appearance("sheet", "x")) == hoistway_section(
        building(), Appearance("sheet", "x")
    )


def test_what_matters_is_drawn_in_the_accent():
    plain = drawn(building(), "trade", "pit")
    strong = drawn(building(matters=frozenset({"pit depth"})), "trade", "pit")

    def accents(root):
        return [e.text for e in root.iter(f"{SVG}text") if "picture-fill-accent" in e.get("class")]

    assert accents(plain) == []
    assert accents(strong) == ["1' 2\""]


def test_what_matters_stays_on_the_drawing_in_a_wider_typeface_too():
    tall = building((0, 25 * FOOT), matters=frozenset(d.kind for d in dimensions_of(building())))
    for place in tall.places:
        root = drawn(tall, "trade", place.key)
        assert (place.key, overlapping(root), outside(root)) == (place.key, [], [])
        levels = [
            w
            for w in words_of(root)
            if w.text in {tall.words.length(e - tall.shaft.pit_floor) for e in tall.rails.brackets}
        ]
        assert [(place.key, w) for w in levels if w.left < (w.right - w.left) * 0.2] == []


def test_table_says_the_same_as_the_drawing():
    section = building(room=REMOTE)
    rows = table_of(section)
    assert [r.cells for r in rows if r.group == "place"] == [
        (p.name, p.state_words, p.matter) for p in section.places
    ]
    values = {r.key: r.cells[2] for r in rows if r.group == "dimension"}
    assert values["pit depth"] == "1' 2\""
    assert values["travel"] == "12' 0\""
    assert values["overhead"] == "11' 0\""
    assert values["bracket 2"] == "6' 6\""
    assert values["route length"] == "40' 0\""
    assert set(values) == {d.key for d in dimensions_of(section)}


@pytest.mark.parametrize(
    ("change", "complaint"),
    [
        ({"floors": (0, 0)}, "landings: elevations must rise from the first landing to the last"),
        ({"pit": 0}, "shaft.pit_floor: must lie below the lowest landing"),
        ({"overhead": 6 * FOOT}, "shaft.top: must lie above the highest opening"),
    ],
)
def test_impossible_buildings_are_refused_by_name(change, complaint):
    with pytest.raises(PictureError) as refused:
        building(**change)
    assert str(refused.value) == complaint


@pytest.mark.parametrize("prefix", ["", "1a", 'a"b', "a b"])
def test_a_prefix_must_be_an_identifier(prefix):
    with pytest.raises(PictureError):
        Appearance("sheet", prefix)


def test_a_trade_sheet_needs_a_place_that_exists():
    with pytest.raises(PictureError, match="focus"):
        Appearance("trade", "p")
    with pytest.raises(PictureError, match="no place 'attic'"):
        drawn(building(), "trade", "attic")


def test_any_variant_can_be_drawn_for_print():
    svg = hoistway_section(building(), Appearance("trade", "p", "pit", inks="print"))
    colours = set(re.findall(r"#[0-9a-f]{6}", svg))
    assert all(len({c[1:3], c[3:5], c[5:7]}) == 1 for c in colours)
