"""Pit: depth, sump and pump, ladder, stop switch, light, receptacles by code edition.

Lengths in nanometres, volumes in litres, flows in L/min, light in lux. Nobody enters a pit for a
reading without the usual cautions; the adopted edition, the authority and the lift maker govern.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from coordination.siteprep.calculations.measures import GALLON_IN_LITRE
from coordination.siteprep.calculations.pit import sources as src
from coordination.siteprep.calculations.pit.inputs import Ladder, PitInputs, Sump
from coordination.siteprep.calculations.values import (
    Finding,
    Value,
    at_least,
    at_most,
    holds,
    inches,
    millimetres,
    outcome,
)

__all__ = ["EXAMPLE", "SOURCES", "Ladder", "PitInputs", "PitResult", "Sump", "calculate"]

PUMP_FLOW = 3000 * GALLON_IN_LITRE / 60
LADDER_DEEPER_THAN = inches(35)
TWO_SWITCHES_DEEPER_THAN = inches(67)
US_LIGHT, OTHER_LIGHT = Fraction(100), Fraction(50)
SHUNT_FREE_HEIGHT = inches(24)


@dataclass(frozen=True, slots=True)
class PitResult:
    """Planning depth, pump and sump, what the pit needs, and the findings.

    ``sump_volume`` is the usable volume; ``pump_down`` how long the pump needs to empty it.
    ``sump_outlet_rule`` and ``receptacle_rule`` are keys of the rule in the adopted edition.
    """

    planning_depth: Value
    pump_needed: Value
    least_pump_flow: Value
    sump_volume: Value
    pump_down: Value
    ladder_needed: Value
    stop_switches_needed: Value
    receptacle_rule: str
    sump_outlet_rule: str
    findings: tuple[Finding, ...]


def calculate(inputs: PitInputs) -> PitResult:
    """Check a pit against its code set. A limit exactly reached is met; what is missing stays unknown.

    Source: ASME A17.1 2.2, NEC 620, NFPA 13; EN 81-20 for the EN set.
    """
    us = inputs.code_set == "US"
    depth = inputs.depth
    return PitResult(
        _planning_depth(inputs),
        _pump_needed(inputs),
        Value(PUMP_FLOW * inputs.lifts if us else None, "L/min", src.PUMP),
        Value(_sump_volume(inputs.sump), "L", src.GIVEN),
        Value(_pump_down(inputs.sump), "min", src.GIVEN),
        Value(None if depth is None else _ladder_needed(inputs), "", src.LADDER if us else src.EN_ACCESS),
        Value(
            None if depth is None else 1 + (us and depth > TWO_SWITCHES_DEEPER_THAN), "count", src.STOP_SWITCH
        ),
        _edition_rule(inputs, before="620.85", since="620.6"),
        _edition_rule(
            inputs,
            before="single receptacle exempt from GFCI",
            since="hard-wired or single receptacle with GFCI",
        ),
        tuple(_us_findings(inputs) if us else _en_findings(inputs)),
    )


def _planning_depth(inputs: PitInputs) -> Value:
    """Planning values of makers of limited-use lifts; other classes take theirs from the data sheet."""
    if inputs.lift_class != "limited use" or inputs.code_set != "US" or inputs.occupied_below is None:
        return Value(None, "length", src.DEPTH)
    if inputs.occupied_below:
        return Value(inches("16.5"), "length", src.DEPTH_OCCUPIED)
    return Value(inches(14), "length", src.DEPTH)


def _pump_needed(inputs: PitInputs) -> Value:
    """Whether firefighters' operation asks for the pump; recall only is the authority's to settle."""
    if inputs.firefighters_operation is False:
        return Value(False, "", src.PUMP)
    if inputs.firefighters_operation is None or inputs.phase_one_only is not False:
        return Value(None, "", src.PUMP_OPEN)
    return Value(True, "", src.PUMP)


def _ladder_needed(inputs: PitInputs) -> bool:
    depth = inputs.depth or 0
    return depth > LADDER_DEEPER_THAN if inputs.code_set == "US" else depth <= millimetres(2500)


def _sump_volume(sump: Sump | None) -> Fraction | None:
    if sump is None:
        return None
    return Fraction(sump.length * sump.width * sump.usable_depth, (10**8) ** 3)


def _pump_down(sump: Sump | None) -> Fraction | None:
    """Minutes from start to stop level; None while flows are unknown or the pump does not keep up."""
    if sump is None or sump.pump_flow is None or sump.inflow is None or sump.pump_flow <= sump.inflow:
        return None
    return (_sump_volume(sump) or Fraction(0)) / (sump.pump_flow - sump.inflow)


def _edition_rule(inputs: PitInputs, *, before: str, since: str) -> str:
    """The rule before the 2020 edition of the NEC, or since."""
    if inputs.electrical_edition is None:
        return "unknown"
    return since if inputs.electrical_edition >= "2020" else before


def _us_findings(inputs: PitInputs) -> Iterator[Finding]:
    planned = _planning_depth(inputs)
    missing = "depth" if inputs.depth is None else "occupied_below"
    if planned.amount is None:
        yield Finding(
            "planning depth", "unknown", planned.source, "", inputs.depth, None, "length", (missing,)
        )
    else:
        yield at_least(
            "planning depth", inputs.depth, planned.amount, "length", planned.source, missing="depth"
        )
    yield from _light_findings(inputs)
    yield from _stop_switch_findings(inputs)
    yield from _ladder_findings(inputs)
    yield from _receptacle_findings(inputs)
    yield from _sump_findings(inputs)
    yield from _sprinkler_findings(inputs)
    if inputs.hydraulic:
        yield holds(
            "oil kept out of the drain",
            inputs.oil_alarm_or_separator,
            src.OIL,
            missing="oil_alarm_or_separator",
        )


def _light_findings(inputs: PitInputs) -> Iterator[Finding]:
    """Between 50 and 100 lx two sources disagree, by class of lift: shown as a warning."""
    if inputs.light is not None and OTHER_LIGHT <= inputs.light < US_LIGHT:
        yield Finding("light at the pit floor", "warning", src.LIGHT, "", inputs.light, US_LIGHT, "lx")
    else:
        yield at_least("light at the pit floor", inputs.light, US_LIGHT, "lx", src.LIGHT, missing="light")


def _stop_switch_findings(inputs: PitInputs) -> Iterator[Finding]:
    if inputs.depth is None:
        yield Finding("stop switches", "unknown", src.STOP_SWITCH, missing=("depth",))
        return
    needed = 2 if inputs.depth > TWO_SWITCHES_DEEPER_THAN else 1
    yield at_least(
        "stop switches", inputs.stop_switches, needed, "count", src.STOP_SWITCH, missing="stop_switches"
    )


def _ladder_findings(inputs: PitInputs) -> Iterator[Finding]:
    if inputs.depth is None:
        yield Finding("ladder", "unknown", src.LADDER, missing=("depth",))
        return
    ladder = inputs.ladder
    if not _ladder_needed(inputs):
        return
    yield Finding("ladder", outcome(ladder is not None), src.LADDER)
    if ladder is None:
        return
    behind = inches("4.5") if ladder.obstructed else inches(7)
    yield at_least(
        "ladder above sill", ladder.above_sill, inches(48), "length", src.LADDER, missing="ladder.above_sill"
    )
    yield at_least(
        "ladder rung width", ladder.rung_width, inches(16), "length", src.LADDER, missing="ladder.rung_width"
    )
    yield at_most(
        "ladder rung pitch", ladder.rung_pitch, inches(12), "length", src.LADDER, missing="ladder.rung_pitch"
    )
    yield at_least(
        "clear behind the ladder", ladder.behind, behind, "length", src.LADDER, missing="ladder.behind"
    )


def _receptacle_findings(inputs: PitInputs) -> Iterator[Finding]:
    yield at_least(
        "pit receptacle", inputs.duplex_receptacles, 1, "count", src.RECEPTACLE, missing="duplex_receptacles"
    )
    source = (
        src.GFCI_UNTIL_2017
        if _edition_rule(inputs, before="old", since="new") == "old"
        else src.GFCI_SINCE_2020
    )
    yield holds("pit receptacle with GFCI", inputs.receptacle_gfci, source, missing="receptacle_gfci")


def _sump_findings(inputs: PitInputs) -> Iterator[Finding]:
    needed, sump = _pump_needed(inputs), inputs.sump
    if needed.amount is None:
        absent = "firefighters_operation" if inputs.firefighters_operation is None else "phase_one_only"
        yield Finding(
            "drain or pump", "unknown", src.PUMP_OPEN, missing=(absent,), arguments={"ask": "elevator"}
        )
    elif needed.amount:
        flow = sump.pump_flow if sump else None
        least = PUMP_FLOW * inputs.lifts
        yield at_least("pump flow", flow, least, "L/min", src.PUMP, missing="sump.pump_flow")
    if sump is None:
        return
    if sump.pump_flow is not None and sump.inflow is not None:
        yield Finding(
            "pump keeps up",
            outcome(sump.pump_flow > sump.inflow),
            src.GIVEN,
            "",
            sump.pump_flow,
            sump.inflow,
            "L/min",
        )
    yield holds("sump cover flush", sump.cover_flush, src.DRAIN, missing="sump.cover_flush")
    yield holds("sump drains indirectly", sump.indirect_drain, src.DRAIN, missing="sump.indirect_drain")
    yield _outlet_finding(inputs, sump)


def _outlet_finding(inputs: PitInputs, sump: Sump) -> Finding:
    """The rule turned round in 2020: before, a single receptacle was exempt from GFCI; since, it needs it."""
    old = _edition_rule(inputs, before="old", since="new")
    source = src.GFCI_SINCE_2020 if old == "new" else src.GFCI_UNTIL_2017
    if sump.outlet is None:
        return Finding("sump pump outlet", "unknown", source, missing=("sump.outlet",))
    if sump.outlet == "hard-wired":
        return Finding("sump pump outlet", "met", source, "", sump.outlet)
    if old == "unknown":
        return Finding(
            "sump pump outlet", "unknown", source, "", sump.outlet, missing=("electrical_edition",)
        )
    if sump.outlet == "duplex receptacle" and old == "new":
        return Finding("sump pump outlet", "not met", source, "", sump.outlet)
    if sump.outlet == "single receptacle" and old == "old":
        return Finding("sump pump outlet", "met", source, "", sump.outlet)
    missing = ("sump.outlet_gfci",) if sump.outlet_gfci is None else ()
    return Finding("sump pump outlet", outcome(sump.outlet_gfci), source, "", sump.outlet, missing=missing)


def _sprinkler_findings(inputs: PitInputs) -> Iterator[Finding]:
    if inputs.sprinkler is None:
        yield Finding("pit sprinkler height", "unknown", src.SPRINKLER, missing=("sprinkler",))
    elif inputs.sprinkler:
        yield at_most(
            "pit sprinkler height",
            inputs.sprinkler_height,
            SHUNT_FREE_HEIGHT,
            "length",
            src.SPRINKLER,
            missing="sprinkler_height",
        )


def _en_findings(inputs: PitInputs) -> Iterator[Finding]:
    yield at_least("light at the pit floor", inputs.light, OTHER_LIGHT, "lx", src.EN_LIGHT, missing="light")
    yield at_least("stop switches", inputs.stop_switches, 1, "count", src.EN_LIGHT, missing="stop_switches")
    if inputs.depth is None:
        yield Finding("access to the pit", "unknown", src.EN_ACCESS, missing=("depth",))
    elif _ladder_needed(inputs):
        yield Finding(
            "ladder",
            "met" if inputs.ladder else "unknown",
            src.EN_ACCESS,
            missing=() if inputs.ladder else ("ladder",),
        )
    if inputs.hydraulic:
        yield holds(
            "fluid is retained", inputs.oil_alarm_or_separator, src.EN_FLUID, missing="oil_alarm_or_separator"
        )


SOURCES = src.ALL
EXAMPLE = {
    "lift_class": "limited use",
    "electrical_edition": "2020",
    "depth": "14 in",
    "hydraulic": True,
    "occupied_below": False,
    "firefighters_operation": True,
    "phase_one_only": True,
    "stop_switches": 1,
    "light": "10 fc",
    "duplex_receptacles": 1,
    "receptacle_gfci": True,
    "sump": {
        "length": "18 in",
        "width": "18 in",
        "usable_depth": "12 in",
        "pump_flow": "50 gpm",
        "inflow": "10 gpm",
        "outlet": "single receptacle",
        "outlet_gfci": True,
    },
}
