# ruff: noqa: RUF009 (declare() makes a dataclass field)
"""Inputs of the pit check. Lengths in nanometres."""

from dataclasses import dataclass
from fractions import Fraction

from coordination.siteprep.calculations.inputs import Inputs, declare
from coordination.siteprep.calculations.values import feet

EDITIONS = ("2011", "2014", "2017", "2020", "2023")
LIFT_EDITIONS = ("2004", "2007", "2010", "2013", "2016", "2019", "2022")
CLASSES = ("limited use", "private residence")
SUMP_OUTLETS = ("hard-wired", "single receptacle", "duplex receptacle")


@dataclass(frozen=True, kw_only=True)
class Sump(Inputs):
    """The recess for a sump pump, and the pump."""

    length: int = declare("length", "inside length", low=1, high=feet(10))
    width: int = declare("length", "inside width", low=1, high=feet(10))
    usable_depth: int = declare("length", "depth between stop and start level", low=1, high=feet(10))
    pump_flow: Fraction | None = declare("flow", "what the pump delivers at its head", unknown=True, low=0)
    inflow: Fraction | None = declare("flow", "water coming in", unknown=True, low=0)
    cover_flush: bool | None = declare("flag", "its cover is flush with the pit floor", unknown=True)
    indirect_drain: bool | None = declare(
        "flag", "it drains indirectly, never straight to a sewer", unknown=True
    )
    outlet: str | None = declare("choice", "how the pump is connected", unknown=True, choices=SUMP_OUTLETS)
    outlet_gfci: bool | None = declare("flag", "its outlet has GFCI protection", unknown=True)


@dataclass(frozen=True, kw_only=True)
class Ladder(Inputs):
    """The pit ladder."""

    above_sill: int | None = declare("length", "handholds above the sill", unknown=True, low=0)
    rung_width: int | None = declare("length", "clear width of the rungs", unknown=True, low=0)
    rung_pitch: int | None = declare("length", "distance from rung to rung", unknown=True, low=0)
    behind: int | None = declare("length", "clear space behind the rungs", unknown=True, low=0)
    stops_lift: bool | None = declare("flag", "an electrical device on it stops the lift", unknown=True)
    obstructed: bool = declare("flag", "unavoidable obstructions are behind it", default=False)


@dataclass(frozen=True, kw_only=True)
class PitInputs(Inputs):
    """The pit and its equipment; everything but the code set may be unknown."""

    code_set: str = declare("choice", "code set of the project", default="US", choices=("US", "EN"))
    lift_class: str = declare("choice", "class of lift", default="limited use", choices=CLASSES)
    electrical_edition: str | None = declare(
        "choice", "adopted edition of the NEC", unknown=True, choices=EDITIONS
    )
    lift_edition: str | None = declare(
        "choice", "adopted edition of ASME A17.1", unknown=True, choices=LIFT_EDITIONS
    )
    depth: int | None = declare(
        "length", "lowest finished sill to pit floor", unknown=True, low=0, high=feet(30)
    )
    hydraulic: bool | None = declare("flag", "the drive is hydraulic", unknown=True)
    occupied_below: bool | None = declare("flag", "occupied space lies below the pit", unknown=True)
    firefighters_operation: bool | None = declare(
        "flag", "firefighters' emergency operation is provided", unknown=True
    )
    phase_one_only: bool | None = declare(
        "flag", "it is recall (Phase I) only; unknown or true leaves the pump to the authority", unknown=True
    )
    lifts: int = declare("integer", "lifts in the pit", default=1, low=1, high=8)
    sump: Sump | None = declare("record", "sump recess and pump", unknown=True, of=Sump)
    ladder: Ladder | None = declare(
        "record", "pit ladder (leave out when there is none)", unknown=True, of=Ladder
    )
    stop_switches: int | None = declare("integer", "stop switches in the pit", unknown=True, low=0, high=9)
    stop_switch_height: int | None = declare(
        "length", "upper stop switch above the lowest landing", unknown=True, low=0
    )
    light: Fraction | None = declare("light", "light at the pit floor", unknown=True, low=0)
    duplex_receptacles: int | None = declare(
        "integer", "duplex 125 V receptacles in the pit", unknown=True, low=0
    )
    receptacle_gfci: bool | None = declare("flag", "they have GFCI protection at the pit", unknown=True)
    sprinkler: bool | None = declare("flag", "a sprinkler head is in the pit", unknown=True)
    sprinkler_height: int | None = declare("length", "that head above the pit floor", unknown=True, low=0)
    oil_alarm_or_separator: bool | None = declare(
        "flag", "an oil separator or oil-sensing alarm is there", unknown=True
    )
