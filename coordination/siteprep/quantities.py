"""The figures a site needs, worked out from the facts: lengths in nanometres, forces in newtons.

A figure whose facts are unknown is left out, and the facts are named by ``missing``.
"""

from collections.abc import Callable, Iterator, Mapping

from coordination.siteprep.calculations import brackets
from coordination.siteprep.calculations.machine_room.working_space import (
    LEAST_WIDTH,
    clear_depth,
    volts_to_ground,
)
from coordination.siteprep.calculations.values import Source as CalculatedSource
from coordination.siteprep.curing import cure_days
from coordination.siteprep.curing import still_open as cure_open
from coordination.siteprep.doorways import door_to_sill
from coordination.siteprep.doorways import still_open as doorways_open
from coordination.siteprep.entries import QuantityEntry
from coordination.siteprep.fact_types import Facts, as_tuple
from coordination.siteprep.figure import Figure
from coordination.siteprep.lengths import INCH
from coordination.siteprep.plan_parts import Quantity
from coordination.siteprep.sources import Source, own_sources

ROOM_HEADROOM = 84 * INCH
SUMP_EDGE = 4 * INCH
_GROUNDINGS = {"wye": "grounded wye", "split": "grounded centre tap", "ungrounded": "ungrounded"}


def quantities(facts: Facts, words: Mapping[str, QuantityEntry]) -> tuple[Quantity, ...]:
    """Return every figure that the facts allow, in a fixed order, worded by ``words``."""
    return tuple(_worded(figure, words[figure.key]) for work in _WORK for figure in work(facts))


def missing(facts: Facts) -> tuple[str, ...]:
    """Return the unknown facts without which some figure cannot be worked out."""
    wanted = [
        "pit.depth",
        "hoistway.overhead",
        *(f"landing.{landing}.elevation" for landing in facts.landings),
        *(f"landing.{landing}.floor_finish" for landing in facts.landings),
        "lift.opening_height",
        "lift.sill_backing_height",
        "lift.pit_reaction",
        *(["lift.lifting_load"] if facts.value("lift.class") != "enclosed platform" else []),
        "lift.bracket_spacing",
        "hoistway.rail_wall",
        "power.volts",
        "power.earthing",
        "machine_room.facing",
    ]
    return (*(key for key in wanted if facts.value(key) is None), *cure_open(facts), *doorways_open(facts))


def leaning(facts: Facts) -> Mapping[str, tuple[str, ...]]:
    """Return for each figure the unknown facts that it is left out for, or reckoned without."""
    ends = [f"landing.{landing}.elevation" for landing in (facts.landings[0], facts.landings[-1])]
    heights = ["pit.depth", *ends]
    wanted = {
        "travel": ends,
        "hoistway_height": [*heights, "hoistway.overhead"],
        "sill_height": heights,
        "lintel_height": [*heights, "lift.opening_height"],
        "sill_backing_bottom": [*heights, "lift.sill_backing_height"],
        "bracket": [*heights, "hoistway.overhead", "lift.bracket_spacing"],
        "working_depth": ["power.volts", "power.earthing", "machine_room.facing"],
    }
    return {
        **{key: tuple(each for each in keys if facts.value(each) is None) for key, keys in wanted.items()},
        "cure_days": cure_open(facts),
        "door_to_sill": doorways_open(facts)[:1] if facts.value("door.kind") is None else (),
        "sill_from_framing": doorways_open(facts),
    }


def _worded(figure: Figure, entry: QuantityEntry) -> Quantity:
    number = str(figure.number)
    return Quantity(
        key=f"{figure.key}-{number}" if figure.number else figure.key,
        place=figure.place,
        value=figure.amount,
        unit=figure.unit,
        text={language: line.replace("{number}", number) for language, line in entry.text.items()},
        source=figure.source or entry.source,
    )


def _heights(facts: Facts) -> Iterator[Figure]:
    pit = facts.length("pit.depth")
    elevations = {landing: facts.length(f"landing.{landing}.elevation") for landing in facts.landings}
    lowest, highest = elevations[facts.landings[0]], elevations[facts.landings[-1]]
    if lowest is None or highest is None:
        return
    yield Figure("travel", "hoistway", highest - lowest)
    overhead = facts.length("hoistway.overhead")
    if pit is None:
        return
    if overhead is not None:
        yield Figure("hoistway_height", "hoistway", pit + highest - lowest + overhead)
    for landing, elevation in elevations.items():
        if elevation is not None:
            yield from _at_landing(facts, landing, pit + elevation - lowest)


def _at_landing(facts: Facts, landing: str, sill: int) -> Iterator[Figure]:
    place = f"landing-{landing}"
    finish = facts.length(f"landing.{landing}.floor_finish")
    opening, backing = facts.length("lift.opening_height"), facts.length("lift.sill_backing_height")
    yield Figure("sill_height", place, sill)
    if finish is not None:
        yield Figure("bare_floor_height", place, sill - finish)
    if opening is not None:
        yield Figure("lintel_height", place, sill + opening)
    if backing is not None:
        yield Figure("sill_backing_bottom", place, sill - backing)


def _brackets(facts: Facts) -> Iterator[Figure]:
    """Bracket elevations by ``calculations.brackets``; the approved drawing's elevations override."""
    pit, overhead = facts.length("pit.depth"), facts.length("hoistway.overhead")
    elevations = [facts.length(f"landing.{landing}.elevation") for landing in facts.landings]
    if pit is None or overhead is None or elevations[0] is None or elevations[-1] is None:
        return
    drawn = tuple(int(each) for each in as_tuple(facts.value("lift.bracket_elevations")))
    residence = facts.value("lift.class") == "private residence"
    result = brackets.calculate(
        brackets.BracketInputs(
            lift_class="private residence" if residence else "limited use",
            pit_depth=pit,
            travel=elevations[-1] - elevations[0],
            overhead=overhead,
            max_spacing=facts.length("lift.bracket_spacing"),
            drawing_elevations=drawn,
            drawing_revision=_revision(facts) if drawn else None,
        )
    )
    usual = _source(result.max_spacing.source) if residence else None
    yield Figure(
        "bracket_spacing",
        "rail-wall",
        _whole(result.max_spacing.amount),
        source=_spacing_source(facts) or usual,
    )
    for bracket in result.brackets:
        height = bracket.above_pit_floor
        yield Figure(
            "bracket",
            "rail-wall",
            _whole(height.amount),
            number=bracket.number,
            source=_source(height.source),
        )


def _revision(facts: Facts) -> str:
    return str(facts.value("lift.drawing_revision") or "not stated")


def _spacing_source(facts: Facts) -> Source | None:
    fact = facts["lift.bracket_spacing"]
    return None if fact.state == "unknown" else Source(fact.source or "approved drawing", "", "drawing")


def _room(facts: Facts) -> Iterator[Figure]:
    """Working space by ``calculations.machine_room``, NEC 110.26(A); headroom ASME A17.1 2.7.4.1."""
    volts, facing = facts.value("power.volts"), facts.reckoned("machine_room.facing")
    if isinstance(volts, int) and isinstance(facing, int):
        grounding = _GROUNDINGS[str(facts.reckoned("power.earthing"))]
        depth = clear_depth(volts_to_ground(volts, grounding), facing)
        yield Figure("working_depth", "machine-room", _whole(depth.amount), source=_source(depth.source))
    yield Figure("working_width", "machine-room", LEAST_WIDTH)
    if facts.value("machine_room.place") != "none":
        yield Figure("room_headroom", "machine-room", ROOM_HEADROOM)


def _loads(facts: Facts) -> Iterator[Figure]:
    for key, fact, place in (
        ("pit_load", "lift.pit_reaction", "pit"),
        ("lifting_load", "lift.lifting_load", "hoistway-top"),
    ):
        amount = facts.value(fact)
        if isinstance(amount, int | float):
            stated = facts[fact].source
            yield Figure(key, place, amount, "N", source=Source(stated, "", "drawing") if stated else None)


def _sump(facts: Facts) -> Iterator[Figure]:
    """The recess goes against the wall across from the rails, clear of plate, jack and buffer.

    Common practice, no source: 4 in from the walls; the engineer's detail governs.
    """
    wall, side = facts.value("hoistway.rail_wall"), facts.length("pit.sump_recess")
    if facts.value("pit.sump") is False or side is None:
        return
    yield Figure("sump_recess", "pit", side)
    across = facts.length("hoistway.depth" if wall == "rear" else "hoistway.width")
    if wall is not None and across is not None and 2 * (side + SUMP_EDGE) <= across:
        yield Figure("sump_from_rail_wall", "pit", across - side - SUMP_EDGE)
        yield Figure("sump_from_side_wall", "pit", SUMP_EDGE)


def _pit_light(facts: Facts) -> Iterator[Figure]:
    """100 lx for limited-use lifts, ASME A17.1 2.2.5.1; 50 lx for others and by EN 81-20: sources disagree by class.

    While the class is unknown the brighter one is planned.
    """
    if facts.code_set == "en":
        yield Figure("pit_light", "pit", 50, "lux", source=own_sources()["en81-20-light"])
    elif facts.value("lift.class") in (None, "limited-use"):
        yield Figure("pit_light", "pit", 100, "lux")
    else:
        yield Figure("pit_light", "pit", 50, "lux", source=own_sources()["maker-pit-light"])


def _whole(amount: object) -> int:
    if not isinstance(amount, int):
        raise TypeError(f"{amount!r} is not a whole number of nanometres")
    return amount


def _source(source: CalculatedSource) -> Source:
    return Source(source.document, source.clause, source.status, source.confirm_with)


_WORK: tuple[Callable[[Facts], Iterator[Figure]], ...] = (
    _heights,
    _brackets,
    _room,
    _loads,
    _sump,
    cure_days,
    door_to_sill,
    _pit_light,
)
