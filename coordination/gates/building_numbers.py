"""From facts and plan to the numbers of the hoistway section.

The numbers are plain JSON, so that a clearing can freeze them: the same numbers draw the page today and the paper
years later. What is not known yet is drawn from a nominal value and named in ``assumed``.
"""

from collections.abc import Sequence
from typing import Any

from coordination.pictures.section import INCH
from coordination.siteprep.facts import Facts
from coordination.siteprep.plan_parts import Plan

FOOT = 12 * INCH
NOMINAL = {
    "story": 10 * FOOT,
    "pit.depth": 14 * INCH,
    "hoistway.overhead": 135 * INCH,
    "hoistway.depth": 64 * INCH,
    "lift.opening_height": 84 * INCH,
    "lift.sill_backing_height": 10 * INCH,
    "lift.rail_spread": 30 * INCH,
    "machine_room.distance": 10 * FOOT,
    "pit.sump_recess": 18 * INCH,
}
Numbers = dict[str, Any]


class _Figures:
    """Reads lengths from facts, and remembers which were not known."""

    def __init__(self, facts: Facts) -> None:
        self.facts = facts
        self.assumed: list[str] = []

    def length(self, key: str, *fallbacks: str, nominal: int | None = None) -> int:
        """The stated length, else that of the first stated fallback, else the nominal one, named as assumed."""
        for name in (key, *fallbacks):
            value = self.facts.value(name) if name in self.facts else None
            if isinstance(value, int):
                if name != key:
                    self.assumed.append(key)
                return value
        self.assumed.append(key)
        return NOMINAL[key] if nominal is None else nominal


def drawing_numbers(facts: Facts, plan: Plan) -> Numbers:
    """Everything the section needs of the building, in nanometres above the lowest finished floor."""
    figures = _Figures(facts)
    landings = _landings(figures)
    lowest, highest = landings[0]["elevation"], landings[-1]["elevation"]
    pit_floor = lowest - figures.length("pit.depth", "lift.pit_least")
    top = highest + figures.length("hoistway.overhead", "lift.overhead_least")
    least_top = highest + figures.length("lift.opening_height") + 12 * INCH
    numbers: Numbers = {
        "landings": landings,
        "pit_floor": pit_floor,
        "top": max(top, least_top),
        "depth": figures.length("hoistway.depth", "lift.hoistway_depth"),
        "walls": {side: facts.value(f"wall.{side}.construction") for side in ("front", "rear")},
        "rail_wall": facts.value("hoistway.rail_wall") or "unknown",
        "rail_spread": figures.length("lift.rail_spread"),
        "brackets": _brackets(plan, pit_floor, max(top, least_top)),
        "sump": _sump(figures),
        "machine_room": _machine_room(figures),
        "devices": _devices(facts, landings, pit_floor, max(top, least_top)),
        "drawing_revision": plan.drawing_revision,
        "units": facts.units,
        "code_set": facts.code_set,
    }
    return {**numbers, "assumed": sorted(set(figures.assumed))}


def _landings(figures: _Figures) -> list[Numbers]:
    facts, found, below = figures.facts, [], None
    for key in facts.landings:
        nominal = 0 if below is None else below + NOMINAL["story"]
        elevation = figures.length(f"landing.{key}.elevation", nominal=nominal)
        below = max(elevation, nominal - NOMINAL["story"] + FOOT) if below is not None else elevation
        sides = [side for side in ("front", "rear") if facts.value(f"landing.{key}.{side}")]
        unknown = all(facts.value(f"landing.{key}.{side}") is None for side in ("front", "rear"))
        found.append(
            {
                "key": key,
                "name": facts.value(f"landing.{key}.name") or key,
                "elevation": below,
                "sides": ["front"] if unknown else sides,
                "height": figures.length("lift.opening_height"),
                "backing": figures.length("lift.sill_backing_height"),
            }
        )
    datum = found[0]["elevation"]
    return [{**landing, "elevation": landing["elevation"] - datum} for landing in found]


def _brackets(plan: Plan, pit_floor: int, top: int) -> list[int]:
    """Elevations of the rail brackets over the drawing's datum; quantities count from the pit floor."""
    heights = sorted(
        int(item.value)
        for item in plan.quantities
        if item.key.startswith("bracket-") and item.unit == "length" and item.place == "rail-wall"
    )
    return [pit_floor + height for height in heights if pit_floor + height <= top]


def _sump(figures: _Figures) -> Numbers | None:
    """The recess: asked for, or left open and so formed in the pour (covered if it is not needed)."""
    wanted = figures.facts.value("pit.sump")
    if wanted is False:
        return None
    size = figures.length("pit.sump_recess")
    return {"size": size, "settled": wanted is True}


def _machine_room(figures: _Figures) -> Numbers | None:
    place = figures.facts.value("machine_room.place")
    if place == "none":
        return None
    if place is None:
        figures.assumed.append("machine_room.place")
    distance = figures.length("machine_room.distance") if place == "remote" else 0
    return {"place": place or "adjacent", "distance": distance}


def _devices(facts: Facts, landings: Sequence[Numbers], pit_floor: int, top: int) -> list[Numbers]:
    found = [
        {"kind": "smoke detector", "where": side, "elevation": landing["elevation"] + 9 * FOOT}
        for landing in landings
        for side in landing["sides"][:1]
    ]
    if facts.value("machine_room.place") != "none":
        found.append({"kind": "smoke detector", "where": "machine room", "elevation": 7 * FOOT})
    if facts.value("sprinkler.hoistway_top"):
        found.append({"kind": "sprinkler", "where": "hoistway", "elevation": top - 6 * INCH})
    if facts.value("sprinkler.pit"):
        found.append({"kind": "sprinkler", "where": "hoistway", "elevation": pit_floor + 20 * INCH})
    found.append({"kind": "receptacle", "where": "hoistway", "elevation": pit_floor + 18 * INCH})
    found.append({"kind": "light", "where": "hoistway", "elevation": pit_floor + 48 * INCH})
    return found
