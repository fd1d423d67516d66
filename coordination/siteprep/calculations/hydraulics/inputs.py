# ruff: noqa: RUF009 (declare() makes a dataclass field)
"""Inputs of the hydraulic-line calculation."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from coordination.siteprep.calculations.hydraulics.flow import AT_40_AND_100_C
from coordination.siteprep.calculations.inputs import Inputs, Problem, declare
from coordination.siteprep.calculations.values import feet, inches

THROUGH = ("open", "wall", "rated wall", "floor", "underground")


@dataclass(frozen=True, kw_only=True)
class Segment(Inputs):
    """One stretch of the route from the tank to the jack."""

    name: str = declare("text", "where it runs")
    length: int = declare("length", "its length", low=0, high=feet(1000))
    through: str = declare(
        "choice", "what it passes at its end, which gets a sleeve", default="open", choices=THROUGH
    )
    control_conduit: int | None = declare(
        "length", "outside diameter of a control conduit beside it", unknown=True, low=0, high=inches(8)
    )


@dataclass(frozen=True, kw_only=True)
class HydraulicInputs(Inputs):
    """Oil, flow, line, route. Give the grade and temperature, or the viscosity itself."""

    grade: str | None = declare("choice", "ISO viscosity grade", unknown=True, choices=tuple(AT_40_AND_100_C))
    oil_temperature: Fraction | None = declare("temperature", "temperature of the oil", unknown=True)
    viscosity: Fraction | None = declare(
        "viscosity",
        "kinematic viscosity at the working temperature, instead of the grade",
        unknown=True,
        low=Fraction(1, 100),
    )
    dynamic_viscosity: Fraction | None = declare(
        "dynamic viscosity", "dynamic viscosity, instead of the grade", unknown=True, low=Fraction(1, 100)
    )
    density: Fraction = declare(
        "density",
        "density of the oil (870 kg/m3 is usual, from memory)",
        default=Fraction(870),
        low=500,
        high=2000,
    )
    flow: Fraction | None = declare("flow", "flow of the pump", unknown=True, low=Fraction(1, 1000))
    bore: int | None = declare(
        "length", "inside diameter of the line", unknown=True, low=inches("1/16"), high=inches(12)
    )
    line_outside: int | None = declare(
        "length",
        "outside diameter of the line or its protection, for sleeves",
        unknown=True,
        low=inches("1/16"),
        high=inches(12),
    )
    length: int | None = declare(
        "length", "length of the line, when no route is given", unknown=True, low=0, high=feet(1000)
    )
    route: tuple[Segment, ...] = declare(
        "record", "the route in stretches", default=(), many=True, of=Segment
    )
    fittings_length: int = declare(
        "length", "equivalent length of bends and fittings", default=0, low=0, high=feet(1000)
    )
    allowed_loss: Fraction | None = declare(
        "strength", "loss the maker allows in the line", unknown=True, low=Fraction(1, 100)
    )
    tank_volume: Fraction | None = declare("volume", "oil in the tank", unknown=True, low=0)
    jack_volume: Fraction = declare("volume", "oil in the jack", default=Fraction(0), low=0)
    containment_share: Fraction = declare(
        "percent", "share of the oil that must be contained", default=Fraction(100), low=100, high=200
    )
    containment_volume: Fraction | None = declare(
        "volume", "what sill, tray or pit holds", unknown=True, low=0
    )
    sleeve_clearance: int = declare(
        "length", "clear space around the line inside a sleeve", default=inches("1/2"), low=0, high=inches(6)
    )

    def cross_check(self) -> Iterator[Problem]:
        """One way to say the viscosity, one to say the length."""
        ways = [self.grade is not None, self.viscosity is not None, self.dynamic_viscosity is not None]
        if sum(ways) > 1:
            yield Problem(
                "viscosity",
                "is given in more than one way",
                "give grade and oil_temperature, or one viscosity",
            )
        if self.route and self.length is not None:
            yield Problem("length", "is given beside a route", "give the route or the length, not both")
