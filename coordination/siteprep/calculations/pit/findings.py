"""Checks of a pit, one finding each."""

from collections.abc import Iterator
from fractions import Fraction

from coordination.siteprep.calculations.code_sets import no_en_value
from coordination.siteprep.calculations.pit import sources as src
from coordination.siteprep.calculations.pit.inputs import Ladder, PitInputs, Sump
from coordination.siteprep.calculations.pit.needs import (
    PUMP_FLOW,
    TWO_SWITCHES_DEEPER_THAN,
    edition_rule,
    ladder_needed,
    planning_depth,
    pump_needed,
)
from coordination.siteprep.calculations.values import Finding, at_least, at_most, holds, inches, outcome

US_LIGHT, OTHER_LIGHT = Fraction(100), Fraction(50)
SHUNT_FREE_HEIGHT = inches(24)


def us_findings(inputs: PitInputs) -> Iterator[Finding]:
    """Checks of the US code set."""
    planned = planning_depth(inputs)
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
    if not ladder_needed(inputs):
        return
    yield Finding("ladder", outcome(ladder is not None), src.LADDER)
    if ladder is None:
        return
    behind = inches("4.5") if ladder.obstructed else inches(7)
    yield at_least(
        "ladder above sill", ladder.above_sill, inches(48), "length", src.LADDER, missing="ladder.above_sill"
    )
    yield _rung_width(inputs, ladder)
    yield at_most(
        "ladder rung pitch", ladder.rung_pitch, inches(12), "length", src.LADDER, missing="ladder.rung_pitch"
    )
    yield at_least(
        "clear behind the ladder", ladder.behind, behind, "length", src.LADDER, missing="ladder.behind"
    )
    if inputs.lift_edition is not None and inputs.lift_edition >= "2022":
        yield holds(
            "ladder stops the lift", ladder.stops_lift, src.LADDER_DEVICE, missing="ladder.stops_lift"
        )


def _rung_width(inputs: PitInputs, ladder: Ladder) -> Finding:
    """16 in; where obstructed 9 in by the 2004 edition, 12 in by newer ones, unknown between without edition."""
    key, width, missing = "ladder rung width", ladder.rung_width, "ladder.rung_width"
    if not ladder.obstructed:
        return at_least(key, width, inches(16), "length", src.LADDER, missing=missing)
    old, new = inches(9), inches(12)
    if inputs.lift_edition is None and width is not None and old <= width < new:
        return Finding(key, "unknown", src.LADDER_WIDTH, "", width, new, "length", ("lift_edition",))
    least = old if inputs.lift_edition == "2004" else new
    return at_least(key, width, least, "length", src.LADDER_WIDTH, missing=missing)


def _receptacle_findings(inputs: PitInputs) -> Iterator[Finding]:
    yield at_least(
        "pit receptacle", inputs.duplex_receptacles, 1, "count", src.RECEPTACLE, missing="duplex_receptacles"
    )
    source = (
        src.GFCI_UNTIL_2017
        if edition_rule(inputs, before="old", since="new") == "old"
        else src.GFCI_SINCE_2020
    )
    yield holds("pit receptacle with GFCI", inputs.receptacle_gfci, source, missing="receptacle_gfci")


def _sump_findings(inputs: PitInputs) -> Iterator[Finding]:
    needed, sump = pump_needed(inputs), inputs.sump
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
    old = edition_rule(inputs, before="old", since="new")
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


def en_findings(inputs: PitInputs) -> Iterator[Finding]:
    """Checks of the EN code set; its sockets are asked about."""
    yield from no_en_value(inputs.code_set, "electrical")
    yield at_least("light at the pit floor", inputs.light, OTHER_LIGHT, "lx", src.EN_LIGHT, missing="light")
    yield at_least("stop switches", inputs.stop_switches, 1, "count", src.EN_LIGHT, missing="stop_switches")
    if inputs.depth is None:
        yield Finding("access to the pit", "unknown", src.EN_ACCESS, missing=("depth",))
    elif ladder_needed(inputs):
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
