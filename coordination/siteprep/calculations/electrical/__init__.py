"""Motor circuit of the lift: amps, conductor, fuse, switch, feeder, voltage drop, conduit.

Amps, volts, feet and AWG sizes of the NEC (NFPA 70); lengths in nanometres. Planning values for one
motor: the electrician, the lift maker's data and the adopted edition govern.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from coordination.siteprep.calculations.code_sets import NO_EN_VALUE, no_en_value
from coordination.siteprep.calculations.electrical import circuit, tables
from coordination.siteprep.calculations.electrical.circuit import (
    ConduitFill,
    conductor_amps,
    conductor_for_drop,
    conduit_for,
    feeder_size,
    ground_size,
    longest_run,
    overload_amps,
    protection_size,
    switch_size,
    voltage_drop,
)
from coordination.siteprep.calculations.electrical.inputs import ElectricalInputs, OtherMotor, OtherWires
from coordination.siteprep.calculations.electrical.tables import (
    ampacity,
    conductor_for,
    conduit_room,
    full_load_amps,
    next_standard_size,
    ohms_per_1000_ft,
    standard_size_below,
    wire_area,
)
from coordination.siteprep.calculations.values import Finding, Source, Value, at_most, outcome

__all__ = [
    "EXAMPLE",
    "SOURCES",
    "ElectricalInputs",
    "ElectricalResult",
    "OtherMotor",
    "OtherWires",
    "ampacity",
    "calculate",
    "conductor_amps",
    "conductor_for",
    "conductor_for_drop",
    "conduit_for",
    "conduit_room",
    "feeder_size",
    "full_load_amps",
    "longest_run",
    "next_standard_size",
    "ohms_per_1000_ft",
    "overload_amps",
    "protection_size",
    "standard_size_below",
    "switch_size",
    "voltage_drop",
    "wire_area",
]

BATTERY = Source("NEC (NFPA 70)", "620.91(C), auxiliary contact of the disconnect", "memory", "electrical")
THIRD_POLE = Source(
    "common practice, no source",
    "third fused pole on single phase; ask maker and authority",
    "practice",
    "elevator",
)


@dataclass(frozen=True, slots=True)
class ElectricalResult:
    """Sizes of the circuit. ``drop_percent`` is of the supply; ``battery_ways`` are the ways to lower on a battery."""

    full_load_amps: Value
    conductor_amps: Value
    terminal_rating: Value
    conductor: Value
    protection: Value
    overload: Value
    disconnect_least_amps: Value
    disconnect: Value
    feeder_protection: Value
    feeder_conductor_amps: Value
    voltage_drop: Value
    drop_percent: Value
    longest_run: Value
    conductor_for_drop: Value
    ground: Value
    conduit: ConduitFill | None
    battery_ways: tuple[str, ...]
    findings: tuple[Finding, ...]


def calculate(inputs: ElectricalInputs) -> ElectricalResult:
    """Size the circuit from table amps; from the nameplate, with a warning, where horsepower is unknown.

    Branch protection rounds up to the next standard rating, the feeder rounds down. A drop just
    equal to the allowed one is met. Raises OutOfTable where a printed table has no entry.

    Source: NEC (NFPA 70) 430, 310.16, 240.6(A), chapter 9.
    """
    amps = _amps(inputs)
    if amps.amount is None:
        return _unknown(inputs, amps)
    return _sized(inputs, amps, Fraction(str(amps.amount)))


def _amps(inputs: ElectricalInputs) -> Value:
    if inputs.horsepower is not None:
        return full_load_amps(inputs.phases, inputs.horsepower, inputs.volts)
    if inputs.nameplate_amps is not None:
        return Value(inputs.nameplate_amps, "A", circuit.NAMEPLATE)
    return Value(None, "A", circuit.BASIS)


def _sized(inputs: ElectricalInputs, shown: Value, amps: Fraction) -> ElectricalResult:
    carried = conductor_amps(amps, inputs.nameplate_amps, inputs.duty)
    protection = protection_size(amps, inputs.protection)
    terminals = _terminals(inputs, carried, protection)
    size = None if carried.amount is None else conductor_for(Fraction(str(carried.amount)), terminals)
    wire = Value(size, "AWG", ampacity(size, terminals).source if size else circuit.CONDUCTOR)
    least = Value(amps * Fraction(115, 100), "A", circuit.SWITCH)
    held = protection if inputs.protection.endswith("fuse") else Value(0, "A", circuit.SWITCH)
    others = [motor.amps for motor in inputs.other_motors]
    run = _run(inputs, amps, inputs.conductor or size)
    ground = ground_size(_rating(amps, inputs, protection))
    return ElectricalResult(
        shown,
        carried,
        Value(terminals, "degree C", circuit.TERMINALS),
        wire,
        protection,
        overload_amps(inputs.nameplate_amps, inputs.service_factor, inputs.rise_40_c),
        least,
        switch_size(amps, held),
        feeder_size(Fraction(str(protection.amount)), sum(others, Fraction(0))),
        _feeder_amps([amps, *others]),
        *run,
        ground,
        _conduit(inputs, run[3].amount or size, ground),
        _battery_ways(inputs),
        (*_conductor_findings(inputs, carried, terminals), *_findings(inputs, run[1])),
    )


def _terminals(inputs: ElectricalInputs, carried: Value, protection: Value) -> int:
    if inputs.terminals != "unmarked":
        return int(inputs.terminals.split()[0])
    return 60 if Fraction(str(carried.amount or 0)) <= 100 else 75


def _rating(amps: Fraction, inputs: ElectricalInputs, protection: Value) -> Fraction:
    """Rating the grounding conductor goes by; for an instantaneous breaker that of a dual-element fuse."""
    if inputs.protection == "instantaneous breaker":
        return Fraction(str(protection_size(amps, "dual-element fuse").amount))
    return Fraction(str(protection.amount))


def _feeder_amps(motors: list[Fraction]) -> Value:
    return Value(sum(motors, Fraction(0)) + max(motors) * Fraction(25, 100), "A", circuit.FEEDER_CONDUCTOR)


def _run(inputs: ElectricalInputs, amps: Fraction, size: str | None) -> tuple[Value, Value, Value, Value]:
    """Drop in volts and percent, longest run, and the size that keeps the allowed drop."""
    allowed = inputs.volts * inputs.allowed_drop / 100
    blank = Value(None, "V", circuit.DROP), Value(None, "%", circuit.DROP)
    if size is None:
        return (*blank, Value(None, "length", circuit.DROP), Value(None, "AWG", circuit.DROP))
    longest = longest_run(inputs.phases, amps, size, allowed)
    if inputs.one_way_length is None:
        return (*blank, longest, Value(None, "AWG", circuit.DROP))
    drop = voltage_drop(inputs.phases, amps, size, inputs.one_way_length)
    percent = Value(float(drop.amount or 0) / float(inputs.volts) * 100, "%", circuit.DROP)
    larger = conductor_for_drop(inputs.phases, amps, size, inputs.one_way_length, allowed)
    return drop, percent, longest, Value(larger, "AWG", circuit.DROP)


def _conduit(inputs: ElectricalInputs, size: object, ground: Value) -> ConduitFill | None:
    """The conduit of the circuit and of the other wires; of those alone while the circuit is unknown."""
    circuit_wires = [(str(size), 2 if inputs.phases == 1 else 3), (str(ground.amount), 1)] if size else []
    wires: dict[str, int] = {}
    for name, count in [*circuit_wires, *((w.size, w.count) for w in inputs.other_wires)]:
        wires[name] = wires.get(name, 0) + count
    return conduit_for(wires, nipple=inputs.nipple) if wires else None


def _conductor_findings(inputs: ElectricalInputs, carried: Value, terminals: int) -> Iterator[Finding]:
    """Whether the conductor that is run carries the amps."""
    if inputs.conductor is not None:
        most = ampacity(inputs.conductor, terminals)
        yield at_most(
            "conductor carries the amps",
            carried.amount,
            most.amount,
            "A",
            most.source,
            missing="nameplate_amps",
        )


def _battery_ways(inputs: ElectricalInputs) -> tuple[str, ...]:
    """An open switch must cut off the battery as well; with the switch closed a mains failure may not."""
    if inputs.battery_lowering is False:
        return ()
    return ("auxiliary contact", "third fused pole") if inputs.phases == 1 else ("auxiliary contact",)


def _findings(inputs: ElectricalInputs, percent: Value) -> Iterator[Finding]:
    yield from no_en_value(inputs.code_set, "electrical")
    if inputs.horsepower is None:
        yield Finding("sized on nameplate", "warning", circuit.BASIS, missing=("horsepower",))
    limit = inputs.allowed_drop
    if percent.amount is None:
        yield Finding("voltage drop", "unknown", circuit.DROP, "", None, limit, "%", ("one_way_length",))
    else:
        met = float(percent.amount) <= float(limit)
        yield Finding("voltage drop", outcome(met), circuit.DROP, "", percent.amount, limit, "%")
    yield from _battery_findings(inputs)


def _battery_findings(inputs: ElectricalInputs) -> Iterator[Finding]:
    if inputs.battery_lowering is None:
        yield Finding("battery cut off by the disconnect", "unknown", BATTERY, missing=("battery_lowering",))
    elif inputs.battery_lowering and inputs.auxiliary_contact:
        yield Finding("battery cut off by the disconnect", "met", BATTERY, found="auxiliary contact")
    elif inputs.battery_lowering and inputs.phases == 1 and inputs.third_fused_pole:
        yield Finding("battery cut off by the disconnect", "warning", THIRD_POLE, found="third fused pole")
    elif inputs.battery_lowering:
        missing = ("auxiliary_contact",) if inputs.auxiliary_contact is None else ()
        cut_off = None if missing else False
        yield Finding("battery cut off by the disconnect", outcome(cut_off), BATTERY, missing=missing)


def _unknown(inputs: ElectricalInputs, amps: Value) -> ElectricalResult:
    no_amps = [
        Value(None, "A", s) for s in (circuit.CONDUCTOR, circuit.PROTECTION, circuit.OVERLOAD, circuit.SWITCH)
    ]
    carried, protection, overload, switch = no_amps
    ground = Value(None, "AWG", circuit.GROUND)
    return ElectricalResult(
        amps,
        carried,
        Value(None, "degree C", circuit.TERMINALS),
        Value(None, "AWG", circuit.CONDUCTOR),
        protection,
        overload,
        switch,
        switch,
        Value(None, "A", circuit.FEEDER),
        Value(None, "A", circuit.FEEDER_CONDUCTOR),
        *_run(inputs, Fraction(0), None),
        ground,
        _conduit(inputs, None, ground),
        _battery_ways(inputs),
        (
            *no_en_value(inputs.code_set, "electrical"),
            Finding("motor current", "unknown", circuit.BASIS, missing=("horsepower", "nameplate_amps")),
            *_battery_findings(inputs),
        ),
    )


SOURCES = (*circuit.SOURCES, *tables.SOURCES, BATTERY, THIRD_POLE, NO_EN_VALUE["electrical"])
EXAMPLE = {
    "phases": 1,
    "volts": 230,
    "horsepower": "5 hp",
    "nameplate_amps": 26,
    "service_factor": 1.15,
    "terminals": "75 C",
    "one_way_length": "80 ft",
    "battery_lowering": True,
    "auxiliary_contact": True,
}
