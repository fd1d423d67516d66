"""Hydraulic line: loss, longest route for an allowed loss, oil to contain, and the sleeves of a remote room.

Flow in L/min, viscosity in cSt, losses in psi, volumes in litres, lengths in nanometres. Planning
values: the lift maker's line size and limits govern.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from coordination.siteprep.calculations.hydraulics.flow import (
    BY_TEMPERATURE,
    GRADES,
    LAMINAR,
    TRANSITION,
    TURBULENT,
    Loss,
    line_loss,
    viscosity,
)
from coordination.siteprep.calculations.hydraulics.inputs import HydraulicInputs, Segment
from coordination.siteprep.calculations.hydraulics.sleeves import SLEEVE_SIZES, Sleeve, sleeve_schedule
from coordination.siteprep.calculations.measures import PSI_IN_PASCAL
from coordination.siteprep.calculations.values import Finding, Source, Value, at_least, at_most

__all__ = [
    "EXAMPLE",
    "SOURCES",
    "HydraulicInputs",
    "HydraulicResult",
    "Segment",
    "Sleeve",
    "calculate",
    "line_loss",
    "viscosity",
]

GIVEN = Source("this job's data sheet", "", "drawing", "lift crew")
VELOCITY = Source("trade sheet on hydraulic lines", "pressure lines 2 to 5.5 m/s", "practice", "lift crew")
CONTAINMENT = Source(
    "common practice, no source", "room or tray holds all oil; share as given", "practice", "plumbing"
)
MOST_VELOCITY = 5.5


@dataclass(frozen=True, slots=True)
class HydraulicResult:
    """Viscosity, flow, losses over the route, the longest route, oil to contain, sleeves, findings."""

    viscosity: Value
    velocity: Value
    reynolds: Value
    regime: str
    loss_per_100_ft: Value
    route_length: Value
    equivalent_length: Value
    loss: Value
    longest_route: Value
    oil_volume: Value
    containment: Value
    sleeves: tuple[Sleeve, ...]
    findings: tuple[Finding, ...]


def calculate(inputs: HydraulicInputs) -> HydraulicResult:
    """Loss by the laminar or Blasius law, the longest route that keeps the allowed loss, oil and sleeves.

    Equivalent lengths of fittings count as route. Differences in height are pressure, not loss, and
    are left out. Raises OutOfTable outside 0 to 100 C or above Re 100 000.
    """
    oil = _viscosity(inputs)
    loss = _loss(inputs, oil)
    route = _route(inputs)
    whole = None if route is None else route + inputs.fittings_length
    total = None if loss is None or whole is None else _psi(loss.per_metre * whole / 1e9)
    law = LAMINAR if loss is None else loss.source
    volume = _volume(inputs)
    return HydraulicResult(
        oil,
        Value(loss.velocity if loss else None, "m/s", law),
        Value(loss.reynolds if loss else None, "", law),
        "unknown" if loss is None else _regime(loss),
        Value(_per_100_ft(loss), "psi per 100 ft", law),
        Value(route, "length", GIVEN),
        Value(whole, "length", GIVEN),
        Value(total, "psi", law),
        Value(_longest(inputs, loss), "length", law),
        Value(volume, "L", GIVEN),
        Value(volume and volume * inputs.containment_share / 100, "L", CONTAINMENT),
        sleeve_schedule(inputs),
        tuple(_findings(inputs, loss, total, volume)),
    )


def _psi(pascals: float) -> float:
    return pascals / float(PSI_IN_PASCAL)


def _per_100_ft(loss: Loss | None) -> float | None:
    return None if loss is None else _psi(loss.per_metre * 30.48)


def _viscosity(inputs: HydraulicInputs) -> Value:
    if inputs.viscosity is not None:
        return Value(inputs.viscosity, "cSt", GIVEN)
    if inputs.dynamic_viscosity is not None:
        return Value(inputs.dynamic_viscosity * 1000 / inputs.density, "cSt", GIVEN)
    if inputs.grade is None or inputs.oil_temperature is None:
        return Value(None, "cSt", BY_TEMPERATURE)
    return Value(viscosity(inputs.grade, float(inputs.oil_temperature)), "cSt", BY_TEMPERATURE)


def _loss(inputs: HydraulicInputs, oil: Value) -> Loss | None:
    if oil.amount is None or inputs.flow is None or inputs.bore is None:
        return None
    return line_loss(float(inputs.flow), inputs.bore, float(oil.amount), float(inputs.density))


def _regime(loss: Loss) -> str:
    low, high = TRANSITION
    if low <= loss.reynolds < high:
        return "transition"
    return "laminar" if loss.reynolds < low else "turbulent"


def _route(inputs: HydraulicInputs) -> int | None:
    if inputs.route:
        return sum(segment.length for segment in inputs.route)
    return inputs.length


def _longest(inputs: HydraulicInputs, loss: Loss | None) -> int | None:
    if loss is None or inputs.allowed_loss is None:
        return None
    metres = float(inputs.allowed_loss * PSI_IN_PASCAL) / loss.per_metre
    return max(0, round(metres * 1e9) - inputs.fittings_length)


def _volume(inputs: HydraulicInputs) -> Fraction | None:
    """Oil in tank, jack and line; unknown while the tank's is."""
    if inputs.tank_volume is None:
        return None
    line = Fraction(0)
    route = _route(inputs)
    if inputs.bore is not None and route is not None:
        area = Fraction(355, 113) * Fraction(inputs.bore, 10**8) ** 2 / 4
        line = area * Fraction(route, 10**8)
    return inputs.tank_volume + inputs.jack_volume + line


def _findings(
    inputs: HydraulicInputs, loss: Loss | None, total: float | None, volume: Fraction | None
) -> Iterator[Finding]:
    if loss is None:
        missing = tuple(
            name for name in ("grade", "oil_temperature", "flow", "bore") if getattr(inputs, name) is None
        )
        yield Finding("line loss", "unknown", LAMINAR, missing=missing)
    else:
        if _regime(loss) == "transition":
            yield Finding(
                "flow may be laminar or turbulent", "warning", loss.source, "", loss.reynolds, TRANSITION[1]
            )
        yield at_most("velocity in the line", loss.velocity, MOST_VELOCITY, "m/s", VELOCITY, missing="flow")
    if inputs.allowed_loss is not None:
        yield at_most("loss over the route", total, float(inputs.allowed_loss), "psi", GIVEN, missing="route")
    if inputs.containment_volume is not None and volume is not None:
        needed = volume * inputs.containment_share / 100
        yield at_least(
            "containment", inputs.containment_volume, needed, "L", CONTAINMENT, missing="containment_volume"
        )


SOURCES = (GRADES, BY_TEMPERATURE, LAMINAR, TURBULENT, GIVEN, VELOCITY, CONTAINMENT, *SLEEVE_SIZES)
EXAMPLE = {
    "grade": "VG32",
    "oil_temperature": "50 F",
    "flow": "8 gpm",
    "bore": "0.62 in",
    "line_outside": "3/4 in",
    "allowed_loss": "60 psi",
    "fittings_length": "6 ft",
    "tank_volume": "30 gal",
    "jack_volume": "4 gal",
    "route": [
        {"name": "machine room to wall", "length": "6 ft", "through": "rated wall"},
        {"name": "under slab to hoistway", "length": "18 ft", "through": "underground"},
    ],
}
