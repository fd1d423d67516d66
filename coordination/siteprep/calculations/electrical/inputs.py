# ruff: noqa: RUF009 (declare() makes a dataclass field)
"""Inputs of the electrical calculation: one motor, its run, and what else hangs on its feeder."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from coordination.siteprep.calculations.code_sets import declare_code_set
from coordination.siteprep.calculations.electrical.tables import SIZES
from coordination.siteprep.calculations.inputs import Inputs, Problem, declare
from coordination.siteprep.calculations.values import feet

PROTECTIONS = (
    "dual-element fuse",
    "non-time-delay fuse",
    "inverse-time breaker",
    "instantaneous breaker",
)
DUTIES = ("continuous", "5 minute", "15 minute", "30 or 60 minute", "intermittent with continuous rating")


@dataclass(frozen=True, kw_only=True)
class OtherMotor(Inputs):
    """Another motor on the same feeder."""

    name: str = declare("text", "what it drives")
    amps: Fraction = declare("amps", "its full-load amps by the table", low=0)


@dataclass(frozen=True, kw_only=True)
class OtherWires(Inputs):
    """More conductors in the same conduit."""

    size: str = declare("choice", "AWG size", choices=SIZES)
    count: int = declare("integer", "how many", low=1, high=100)


@dataclass(frozen=True, kw_only=True)
class ElectricalInputs(Inputs):
    """The pump or hoist motor and its circuit; what is unknown leaves its results unknown."""

    code_set: str = declare_code_set()
    phases: int = declare("integer", "1 or 3 phases", low=1, high=3)
    volts: Fraction = declare("volts", "supply voltage between lines", low=1, high=1000)
    horsepower: Fraction | None = declare(
        "power", "rated power of the motor", unknown=True, low=Fraction(1, 100)
    )
    nameplate_amps: Fraction | None = declare(
        "amps", "full-load amps on the nameplate", unknown=True, low=Fraction(1, 10)
    )
    service_factor: Fraction | None = declare(
        "number", "service factor on the nameplate", unknown=True, low=1, high=2
    )
    rise_40_c: bool | None = declare("flag", "nameplate temperature rise not over 40 degree C", unknown=True)
    duty: str = declare("choice", "duty the circuit is sized for", default="continuous", choices=DUTIES)
    protection: str = declare(
        "choice", "branch-circuit short-circuit protection", default="dual-element fuse", choices=PROTECTIONS
    )
    terminals: str = declare(
        "choice",
        "terminal rating; unmarked terminals count as 60 C up to 100 A",
        default="unmarked",
        choices=("unmarked", "60 C", "75 C"),
    )
    conductor: str | None = declare(
        "choice",
        "AWG size that is run, instead of the least that carries the amps",
        unknown=True,
        choices=SIZES,
    )
    one_way_length: int | None = declare(
        "length", "one-way length of the run", unknown=True, low=0, high=feet(5000)
    )
    allowed_drop: Fraction = declare(
        "percent",
        "voltage drop taken as allowed, in percent",
        default=Fraction(3),
        low=Fraction(1, 10),
        high=20,
    )
    nipple: bool = declare("flag", "the conduit is a nipple of not over 24 in", default=False)
    other_wires: tuple[OtherWires, ...] = declare(
        "record", "further conductors in the conduit", default=(), many=True, of=OtherWires
    )
    other_motors: tuple[OtherMotor, ...] = declare(
        "record", "other motors on the feeder", default=(), many=True, of=OtherMotor
    )
    battery_lowering: bool | None = declare(
        "flag", "the lift lowers on a battery when the mains fail", unknown=True
    )
    auxiliary_contact: bool | None = declare(
        "flag", "the main disconnect has an auxiliary contact that opens with it", unknown=True
    )
    third_fused_pole: bool | None = declare(
        "flag", "single phase: a third fused pole of the disconnect breaks the battery circuit", unknown=True
    )

    def cross_check(self) -> Iterator[Problem]:
        """Two-phase supplies have no table."""
        if self.phases == 2:
            yield Problem("phases", "2 phases have no table", "give 1 or 3")
