"""Pit: depth, sump and pump, ladder, stop switch, light, receptacles by code edition.

Lengths in nanometres, volumes in litres, flows in L/min, light in lux. Nobody enters a pit for a
reading without the usual cautions; the adopted edition, the authority and the lift maker govern.
"""

from dataclasses import dataclass

from coordination.siteprep.calculations.pit import sources as src
from coordination.siteprep.calculations.pit.findings import en_findings, us_findings
from coordination.siteprep.calculations.pit.inputs import Ladder, PitInputs, Sump
from coordination.siteprep.calculations.pit.needs import (
    PUMP_FLOW,
    TWO_SWITCHES_DEEPER_THAN,
    edition_rule,
    ladder_needed,
    planning_depth,
    pump_down,
    pump_needed,
    sump_volume,
)
from coordination.siteprep.calculations.values import Finding, Value

__all__ = ["EXAMPLE", "SOURCES", "Ladder", "PitInputs", "PitResult", "Sump", "calculate"]


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
        planning_depth(inputs),
        pump_needed(inputs),
        Value(PUMP_FLOW * inputs.lifts if us else None, "L/min", src.PUMP),
        Value(sump_volume(inputs.sump), "L", src.GIVEN),
        Value(pump_down(inputs.sump), "min", src.GIVEN),
        Value(None if depth is None else ladder_needed(inputs), "", src.LADDER if us else src.EN_ACCESS),
        Value(
            None if depth is None else 1 + (us and depth > TWO_SWITCHES_DEEPER_THAN), "count", src.STOP_SWITCH
        ),
        edition_rule(inputs, before="620.85", since="620.6"),
        edition_rule(
            inputs,
            before="single receptacle exempt from GFCI",
            since="hard-wired or single receptacle with GFCI",
        ),
        tuple(us_findings(inputs) if us else en_findings(inputs)),
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
