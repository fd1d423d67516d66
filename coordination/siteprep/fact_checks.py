"""Facts that cannot all be true at once. Unknown facts contradict nothing."""

from collections.abc import Callable, Iterator
from itertools import pairwise

from coordination.siteprep.classes import Limit, class_of, drives_of
from coordination.siteprep.fact_types import Facts, as_tuple
from coordination.siteprep.faults import Fault
from coordination.siteprep.filling import amount
from coordination.siteprep.lengths import format_length

CLASSES = ("limited-use", "private residence", "enclosed platform")
GREATEST_TRAVEL = {
    key: (int(found.limits["rise"].most), str(found.limits["rise"].source))
    for key in CLASSES
    if (found := class_of(key, "us"))
}
_PLACES_OF_HEADS = ("sprinkler.hoistway_top", "sprinkler.pit", "sprinkler.machine_room")


def contradictions(facts: Facts) -> list[Fault]:
    """Return every contradiction among the stated facts.

    Source of the class limits: ``catalogue/classes.toml``; of the single-phase limits: NEC Table 430.248.
    """
    return [fault for check in _CHECKS for fault in check(facts)]


def travel(facts: Facts) -> int | None:
    """Return the travel in nanometres, lowest to highest finished floor; None while either is unknown."""
    low, high = (
        facts.length(f"landing.{landing}.elevation") for landing in (facts.landings[0], facts.landings[-1])
    )
    return None if low is None or high is None else high - low


def _ascending(facts: Facts) -> Iterator[Fault]:
    stated = [(each, facts.length(f"landing.{each}.elevation")) for each in facts.landings]
    known = [(each, elevation) for each, elevation in stated if elevation is not None]
    for (lower, low), (upper, high) in pairwise(known):
        if high <= low:
            shown = {"low": format_length(low, facts.units), "high": format_length(high, facts.units)}
            yield Fault(
                f"landing.{upper}.elevation",
                "landings-not-ascending",
                {"lower": lower, "upper": upper, **shown},
            )


def within_class(facts: Facts) -> Iterator[tuple[str, str, int | float, Limit]]:
    """Yield each limit of the stated class that a stated figure is beyond: its name, the fact, the figure, the limit.

    A class that is not stated limits nothing but what no class allows.
    """
    stated = facts.value("lift.class")
    by_class = [list(_beyond(each, facts)) for each in (CLASSES if stated is None else (str(stated),))]
    for name in _FAULTS:
        beyond = [each for found in by_class for each in found if each[0] == name]
        if len(beyond) == len(by_class):
            yield max(beyond, key=lambda each: each[3].most)


def _beyond(lift_class: str, facts: Facts) -> Iterator[tuple[str, str, int | float, Limit]]:
    found = class_of(lift_class, facts.code_set)
    figures: dict[str, tuple[str, object]] = {
        "rise": (f"landing.{facts.landings[-1]}.elevation", travel(facts)),
        "speed": ("lift.speed", facts.value("lift.speed")),
        "load": ("lift.load", facts.value("lift.load")),
    }
    for name, (key, figure) in figures.items():
        limit = found.limits.get(name) if found else None
        if limit and isinstance(figure, int | float) and figure > limit.most:
            yield name, key, figure, limit


def _within_class(facts: Facts) -> Iterator[Fault]:
    """Refuse what is beyond a limit that was read; what is beyond one from memory is a finding of the plan."""
    for name, key, figure, limit in within_class(facts):
        if limit.source.status != "memory":
            shown = {
                name: amount(figure, limit.unit, facts.units),
                "greatest": amount(limit.most, limit.unit, facts.units),
            }
            yield Fault(key, f"{_FAULTS[name]}-above-class", {**shown, "source": str(limit.source)})


_FAULTS = {"rise": "travel", "speed": "speed", "load": "load"}


def _drives(facts: Facts) -> Iterator[Fault]:
    lift_class, drive = facts.value("lift.class"), facts.value("lift.drive")
    if lift_class is not None and drive is not None and drive not in drives_of(str(lift_class)):
        told = {
            "drive": str(drive),
            "class": str(lift_class),
            "drives": ", ".join(drives_of(str(lift_class))),
        }
        yield Fault("lift.drive", "drive-of-class", told)
    hydraulic = lift_class == "limited-use" or drive == "roped hydraulic"
    if facts.value("machine_room.place") == "none" and hydraulic:
        yield Fault("machine_room.place", "power-unit-without-room")


def _openings(facts: Facts) -> Iterator[Fault]:
    for landing in facts.landings:
        sides = [facts.value(f"landing.{landing}.{side}") for side in ("front", "rear")]
        if sides == [False, False]:
            yield Fault(f"landing.{landing}.front", "no-opening", {"landing": landing})
        if sides[1] is True and facts.value("hoistway.rail_wall") == "rear":
            yield Fault("hoistway.rail_wall", "rail-wall-opening", {"landing": landing})


def _recall(facts: Facts) -> Iterator[Fault]:
    designated, alternate = (
        facts.value(f"fire_alarm.{which}_landing") for which in ("designated", "alternate")
    )
    if designated is not None and designated == alternate:
        yield Fault("fire_alarm.alternate_landing", "same-recall-landing", {"landing": str(designated)})


def _supply(facts: Facts) -> Iterator[Fault]:
    phases, volts = facts.value("power.phases"), facts.value("power.volts")
    if phases == "single" and volts in (460, 575):
        yield Fault("power.volts", "phases-and-volts", {"volts": str(volts)})
    if phases == "single" and facts.value("power.horsepower") == "15":
        yield Fault("power.horsepower", "phases-and-horsepower")
    if phases == "three" and facts.value("power.earthing") == "split":
        yield Fault("power.earthing", "split-three-phase")
    if phases == "three" and facts.value("power.lowering_cut_off") == "third pole":
        yield Fault("power.lowering_cut_off", "third-pole-three-phase")


def _sprinklers(facts: Facts) -> Iterator[Fault]:
    if facts.value("sprinkler.standard") == "none":
        for key in _PLACES_OF_HEADS:
            if facts.value(key) is True:
                yield Fault(key, "sprinkler-in-dry-building")


def _heights(facts: Facts) -> Iterator[Fault]:
    opening, overhead = facts.length("lift.opening_height"), facts.length("hoistway.overhead")
    if opening is not None and overhead is not None and opening > overhead:
        shown = {
            "opening": format_length(opening, facts.units),
            "overhead": format_length(overhead, facts.units),
        }
        yield Fault("hoistway.overhead", "opening-above-overhead", shown)
    rise, pit = travel(facts), facts.length("pit.depth")
    if overhead is not None and rise is not None and pit is not None:
        top = pit + rise + overhead
        for bracket in as_tuple(facts.value("lift.bracket_elevations")):
            if int(bracket) > top:
                shown = {
                    "bracket": format_length(int(bracket), facts.units),
                    "top": format_length(top, facts.units),
                }
                yield Fault("lift.bracket_elevations", "bracket-outside", shown)


def _stories(facts: Facts) -> Iterator[Fault]:
    stories = facts.value("hoistway.stories")
    if facts["landings"].value is not None and isinstance(stories, int) and stories < len(facts.landings):
        yield Fault(
            "hoistway.stories",
            "too-few-stories",
            {"stories": str(stories), "landings": str(len(facts.landings))},
        )


def _temperatures(facts: Facts) -> Iterator[Fault]:
    low, high = (facts.value(f"lift.room_temperature_{end}") for end in ("low", "high"))
    if isinstance(low, float) and isinstance(high, float) and low >= high:
        yield Fault("lift.room_temperature_low", "temperatures-crossed")


def _strengths(facts: Facts) -> Iterator[Fault]:
    needed, specified = (facts.value(f"pit.strength_{which}") for which in ("needed", "specified"))
    if isinstance(needed, float) and isinstance(specified, float) and needed > specified:
        shown = {"needed": f"{needed:,.0f}", "specified": f"{specified:,.0f}"}
        yield Fault("pit.strength_needed", "strength-above-specified", shown)


_CHECKS: tuple[Callable[[Facts], Iterator[Fault]], ...] = (
    _ascending,
    _within_class,
    _drives,
    _openings,
    _recall,
    _supply,
    _sprinklers,
    _heights,
    _stories,
    _temperatures,
    _strengths,
)
