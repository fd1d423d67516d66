"""Published values behind catalogue entries, each beside its document and clause.

Rows marked "common practice, no source" or "from memory" say so in the catalogue too; the status
in the row must be the status on the sheet.
"""

from itertools import pairwise
from pathlib import Path

import pytest

from coordination.siteprep.catalogue import load_catalogue
from coordination.siteprep.classes import class_of
from coordination.siteprep.fact_checks import GREATEST_TRAVEL
from coordination.siteprep.facts import definitions, load_facts, read_facts
from coordination.siteprep.lengths import FOOT, INCH, MILLIMETRE
from coordination.siteprep.plan import derive

CATALOGUE = load_catalogue()
JOB = Path(__file__).parents[2] / "fixtures" / "facts" / "candle-works.toml"

RESIDENCE_DOORS = "ASME A17.1/CSA B44 5.3.1.8 (2016 and later); the same limits in a state bill of 2016"
EN_STOPPING = "EN 81-20 sill gap, stopping and re-levelling accuracy"

# requirement, low, high, document and clause, status of the value
ROWS = [
    # 2010 ADA Standards 407.2.1.1 with 308: hall call button 15 to 48 in above the floor.
    ("control-conduit#station-height", 15 * INCH, 48 * INCH, "2010 ADA Standards 407.2.1.1, 308", "code"),
    # 2010 ADA Standards 407.4.4: levelling within 1/2 in, rated to zero load.
    ("adjust#leveling", None, INCH // 2, "2010 ADA Standards 407.4.4", "code"),
    # 2010 ADA Standards 407.4.3 / 408.4.3: platform-to-sill gap not more than 1 1/4 in.
    ("adjust#sill-gap", None, INCH + INCH // 4, "2010 ADA Standards 407.4.3, 408.4.3", "code"),
    # 2010 ADA Standards 408.3.2: power-operated swing doors stay open at least 20 seconds.
    ("hang-door#swing-stays-open", 20, None, "2010 ADA Standards 408.3.2", "code"),
    # NFPA 72 (2019) 21.3.5: lobby smoke detector within 21 ft of the centreline of each door.
    ("smoke-detector#lobby-distance", None, 21 * FOOT, "NFPA 72 21.3.5 (2019)", "code"),
    # NFPA 72 21.4.2: heat detector for shutdown within 24 in of each sprinkler.
    ("detectors-room#room-heat-distance", None, 24 * INCH, "NFPA 72; ASME A17.1 2.8.3.3 21.4.2", "code"),
    ("detectors-pit#pit-heat-distance", None, 24 * INCH, "NFPA 72; ASME A17.1 2.8.3.3 21.4.2", "code"),
    # NFPA 13 (2019) 9.3.6.1: pit sidewall head within 2 ft of the pit floor.
    ("sprinkler-pit#pit-head-height", None, 24 * INCH, "NFPA 13 9.3.6.1, 9.3.6.2 (2019)", "code"),
    # ASME A17.1 2.7.9.1: 19 fc or 200 lx at the machine-room floor.
    ("room-light#room-lux", 200, None, "ASME A17.1/CSA B44 2.7.9.1", "code"),
    # ASME A17.1 2.2.5.1: 10 fc or 100 lx at the pit floor, from memory.
    ("pit-electric#pit-lux", 100, None, "ASME A17.1/CSA B44 2.2.5.1", "memory"),
    # ASME A17.1 2.2.4.2: ladder 48 in above the sill; 4 1/2 in behind the rungs where obstructed.
    ("ladder#ladder-above-sill", 48 * INCH, None, "ASME A17.1/CSA B44 2.2.4.2", "code"),
    ("ladder#behind-rungs", 7 * INCH, None, "ASME A17.1/CSA B44 2.2.4.2", "code"),
    ("ladder#behind-rungs-obstructed", 9 * INCH // 2, None, "ASME A17.1/CSA B44 2.2.4.2", "code"),
    # ASME A17.1 2.2.4.2: rungs 16 in wide; where obstructed 12 in by newer editions, 9 in by the 2004 one.
    ("ladder#rung-width", 16 * INCH, None, "ASME A17.1/CSA B44 2.2.4.2", "code"),
    ("ladder#rung-width-obstructed", 12 * INCH, None, "ASME A17.1/CSA B44 2.2.4.2", "code"),
    ("ladder#rung-width-obstructed-2004", 9 * INCH, None, "ASME A17.1/CSA B44 2.2.4.2", "code"),
    # A lift maker's public note for other classes: 50 lx at the pit floor; EN 81-20 5.2.1.4: 50 lx, from memory.
    (
        "pit-electric#pit-lux-other",
        50,
        None,
        "a lift maker's public note for other classes than limited-use 50 lx at the pit floor",
        "practice",
    ),
    ("pit-electric#pit-lux-en", 50, None, "EN 81-20 5.2.1.4", "memory"),
    ("room-light#room-lux-en", 200, None, "EN 81-20 5.2.1.4", "memory"),
    # 2010 ADA Standards 409.4.3: platform-to-sill gap of a residence lift not more than 1 1/2 in.
    ("adjust#sill-gap-residence", None, 3 * INCH // 2, "2010 ADA Standards 409.4.3", "code"),
    # ASME A17.1 5.3.1.8 (2016): door face to sill 3/4 in swing, 2 1/4 in sliding; 4 in sphere; 3/4 in give.
    ("hang-door#swing-face-to-sill", None, 3 * INCH // 4, RESIDENCE_DOORS, "code"),
    ("hang-door#sliding-face-to-sill", None, 9 * INCH // 4, RESIDENCE_DOORS, "code"),
    ("door-space#sphere-passes", None, 0, RESIDENCE_DOORS, "code"),
    ("door-space#doors-give", None, 3 * INCH // 4, RESIDENCE_DOORS, "code"),
    # EN 81-20, from memory: sill gap 35 mm, stopping within 10 mm, re-levelling within 20 mm.
    ("adjust#sill-gap-en", None, 35 * MILLIMETRE, EN_STOPPING, "memory"),
    ("adjust#stopping-en", None, 10 * MILLIMETRE, EN_STOPPING, "memory"),
    ("adjust#relevelling-en", None, 20 * MILLIMETRE, EN_STOPPING, "memory"),
    # ASME A17.1 2.23.5: a bracket support gives not more than 1/8 in.
    ("rails#bracket-give", None, INCH // 8, "ASME A17.1/CSA B44 2.23.5", "code"),
    # 29 CFR 1926.502(b)(1): top rail 42 in, plus or minus 3 in, from memory.
    (
        "guard#rail-height",
        39 * INCH,
        45 * INCH,
        "29 CFR 1926.502(b) guardrail 42 in, plus or minus 3 in",
        "memory",
    ),
    # ACI 306R (from memory), protection temperatures: concrete of 12 to 36 in is kept at 50 F (10 C) or above.
    (
        "pit-strength#slab-temperatures",
        10,
        None,
        "ACI 306R, ACI 347R protection at 50 F, loading by share of strength",
        "memory",
    ),
    # common practice, no source: a bond reads not more than 1 ohm, insulation not less than a megohm.
    ("machine#bonds", None, 1, "common practice, no source", "practice"),
    ("machine#insulation", 1_000_000, None, "common practice, no source", "practice"),
    # Public hoistway notes of a dealer: finished hoistway plumb within 1/2 in top to bottom.
    (
        "survey-open#open-plumb",
        None,
        INCH // 2,
        "public hoistway notes of a lift dealer plumb within 1/2 in, travel within 1 in, walls square and flush",
        "practice",
    ),
]


@pytest.mark.parametrize("row", ROWS, ids=[row[0] for row in ROWS])
def test_a_published_value_stands_in_the_catalogue(row):
    name, low, high, source, status = row
    entry, key = name.split("#")
    found = next(each for each in CATALOGUE.tasks[entry].requirements if each.key == key)
    assert (found.low.number, found.high.number, str(found.source), found.source.status) == (
        low,
        high,
        source,
        status,
    )


CLASS_ROWS = [
    # ASME A17.1/CSA B44 5.2.1.16: 25 ft, 30 ft/min, 18 ft2, 1,400 lb.
    ("limited-use", "us", {"rise": (25 * FOOT, "code"), "speed": (0.1524, "code"), "area": (1.67225, "code"), "load": (635.029, "code")}),
    # ASME A17.1 5.3.1.10, 5.3.1.16: 50 ft, 40 ft/min (read in an older edition); 15 ft2 from memory.
    ("private residence", "us", {"rise": (50 * FOOT, "code"), "speed": (0.2032, "code"), "area": (1.39355, "memory")}),
    # ASME A18.1 section 2, all from memory: 14 ft, 30 ft/min, 18 ft2, 750 lb.
    ("enclosed platform", "us", {"rise": (14 * FOOT, "memory"), "speed": (0.1524, "memory"), "area": (1.67225, "memory"), "load": (340.194, "memory")}),
    # EN 81-41: 0.15 m/s by its scope; 500 kg from memory.
    ("enclosed platform", "en", {"speed": (0.15, "code"), "load": (500, "memory")}),
]  # fmt: skip


@pytest.mark.parametrize(("key", "code_set", "limits"), CLASS_ROWS)
def test_limits_of_the_classes(key, code_set, limits):
    found = class_of(key, code_set)
    assert {
        name: (pytest.approx(each.most, rel=1e-5), each.source.status) for name, each in found.limits.items()
    } == limits
    assert all(each.source.confirm_with for each in found.limits.values() if each.source.status == "memory")


def test_travel_of_the_class():
    """ASME A17.1/CSA B44 5.2.1.16: limited-use lifts rise not more than 25 ft, carry not more than 1,400 lb."""
    assert GREATEST_TRAVEL["limited-use"] == (25 * FOOT, "ASME A17.1/CSA B44 5.2.1.16")
    assert definitions()["lift.load"].high == pytest.approx(1400 * 0.45359237)


def test_notice_of_the_inspection():
    """A state inspection office's list of what fails new lifts: ask 30 days ahead at least, 90 recommended."""
    notice = definitions()["calendar.inspection_notice"]
    assert (notice.low, notice.high) == (30, 90)


def test_machine_room_headroom():
    """ASME A17.1 2.7.4.1: 84 in (2 130 mm) clear headroom."""
    found = figures()
    assert found["room_headroom"].value == 84 * INCH
    assert str(found["room_headroom"].source) == "ASME A17.1/CSA B44 2.7.4.1"


@pytest.mark.parametrize(
    ("volts", "earthing", "phases", "depths"),
    [
        # NEC 110.26(A)(1): volts to ground 0 to 150, then 151 to 600; conditions 1, 2, 3.
        (230, "split", "single", (36, 36, 36)),
        (208, "wye", "three", (36, 36, 36)),
        (460, "wye", "three", (36, 42, 48)),
        (575, "wye", "three", (36, 42, 48)),
        # An ungrounded system counts with its highest voltage between lines (Article 100, from memory).
        (230, "ungrounded", "three", (36, 42, 48)),
    ],
)
def test_working_space_before_controller_and_disconnects(volts, earthing, phases, depths):
    found = tuple(
        figures(
            **{
                "power.volts": volts,
                "power.earthing": earthing,
                "power.phases": phases,
                "machine_room.facing": facing,
            }
        )["working_depth"].value
        // INCH
        for facing in (1, 2, 3)
    )
    assert found == depths


@pytest.mark.parametrize("travel_feet", [8, 11, 14, 20, 25])
def test_bracket_spacing_without_a_drawing(travel_feet):
    """Common practice, no source: 5 to 6 ft between rail brackets of a limited-use lift, a placeholder."""
    stated = load_facts(JOB).statements()
    del stated["lift.bracket_spacing"]
    stated["landing.2.elevation"] = f"{100 + travel_feet}'"
    found = [
        each for each in derive(read_facts(stated), CATALOGUE).quantities if each.key.startswith("bracket-")
    ]
    steps = [high.value - low.value for low, high in pairwise(found)]
    assert max(steps) <= 6 * FOOT
    assert {each.source.status for each in found} == {"practice"}
    assert all(each.source.confirm_with for each in found)


def figures(**changes):
    stated = load_facts(JOB).statements() | changes
    return {each.key: each for each in derive(read_facts(stated), CATALOGUE).quantities}
