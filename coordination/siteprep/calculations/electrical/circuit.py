"""Sizing of one motor circuit: amps, protection, switch, drop and conduit. Amps, volts, nanometres."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from coordination.siteprep.calculations.electrical.tables import (
    EMT_SQUARE_INCHES,
    FUSE_AMPS,
    FUSE_SIZES,
    SIZES,
    STANDARD_AMPS,
    STANDARD_SIZES,
    SWITCH_AMPS,
    conduit_room,
    next_standard_size,
    ohms_per_1000_ft,
    standard_size_below,
    wire_area,
)
from coordination.siteprep.calculations.values import NANOMETRES_PER_FOOT, OutOfTable, Source, Value, feet

NEC = "NEC (NFPA 70)"
BASIS = Source(NEC, "430.6(A)(1)", "code")
NAMEPLATE = Source("nameplate of the motor", "no horsepower given, table not used", "drawing", "electrical")
CONDUCTOR = Source(NEC, "430.22", "code")
DUTY = Source(NEC, "table 430.22(E), elevators", "memory", "electrical")
PROTECTION = Source(NEC, "430.52(C)(1) with table 430.52", "code")
OVERLOAD = Source(NEC, "430.32(A)(1)", "code")
SWITCH = Source(NEC, "430.110(A)", "code")
SWITCH_SIZES = Source("common practice, no source", "usual ratings of fused switches", "memory", "electrical")
FEEDER = Source(NEC, "430.62(A)", "code")
FEEDER_CONDUCTOR = Source(NEC, "430.24", "memory", "electrical")
TERMINALS = Source(NEC, "110.14(C)(1)", "code")
DROP = Source(NEC, "chapter 9, table 8; 3 % and 5 % are informational notes of 210.19 and 215.2", "code")
GROUND = Source(NEC, "table 250.122", "memory", "electrical")
GROUND_COUNTS = Source(NEC, "chapter 9, table 1, note 3", "code")

PERCENT_OF_AMPS: Mapping[str, int] = {
    "dual-element fuse": 175,
    "non-time-delay fuse": 300,
    "inverse-time breaker": 250,
    "instantaneous breaker": 800,
}
DUTY_PERCENT: Mapping[str, int] = {
    "5 minute": 85,
    "15 minute": 85,
    "30 or 60 minute": 90,
    "intermittent with continuous rating": 140,
}
GROUND_SIZES: tuple[tuple[int, str], ...] = (
    (15, "14"),
    (20, "12"),
    (60, "10"),
    (100, "8"),
    (200, "6"),
    (300, "4"),
    (400, "3"),
    (500, "2"),
    (600, "1"),
)


def conductor_amps(table_amps: Fraction, nameplate_amps: Fraction | None, duty: str) -> Value:
    """Amps the conductor must carry: 125 % of table amps, or by duty a share of the nameplate's.

    Unknown when the duty asks for a nameplate that is not given. Source: NEC 430.22 and 430.22(E).
    """
    if duty == "continuous":
        return Value(table_amps * Fraction(125, 100), "A", CONDUCTOR)
    if nameplate_amps is None:
        return Value(None, "A", DUTY)
    return Value(nameplate_amps * Fraction(DUTY_PERCENT[duty], 100), "A", DUTY)


def protection_size(amps: Fraction, kind: str) -> Value:
    """Largest branch-circuit protection: percent of table amps, then the next standard rating.

    An instantaneous breaker is set, not bought by rating: its 800 % is given without rounding.

    Source: NEC 430.52(C)(1), exception 1, and table 430.52.
    """
    wanted = amps * Fraction(PERCENT_OF_AMPS[kind], 100)
    if kind == "instantaneous breaker":
        return Value(wanted, "A", PROTECTION)
    size = next_standard_size(wanted, FUSE_AMPS if kind.endswith("fuse") else STANDARD_AMPS)
    return Value(size, "A", PROTECTION if size in STANDARD_AMPS else FUSE_SIZES)


def overload_amps(
    nameplate: Fraction | None, service_factor: Fraction | None, rise_40_c: bool | None
) -> Value:
    """Overload setting: 125 % of nameplate amps with service factor 1.15 or 40 C rise, else 115 %.

    Source: NEC 430.32(A)(1). Unknown while nameplate, or both marks, are.
    """
    marked = (service_factor is not None and service_factor >= Fraction(115, 100)) or rise_40_c is True
    if nameplate is None or (not marked and (service_factor is None or rise_40_c is None)):
        return Value(None, "A", OVERLOAD)
    return Value(nameplate * Fraction(125 if marked else 115, 100), "A", OVERLOAD)


def switch_size(table_amps: Fraction, fuse: Value) -> Value:
    """Usual fused-switch rating not below 115 % of table amps, and large enough to hold the fuse.

    Source: NEC 430.110(A); the ratings 30, 60, 100, 200, 400, 600 A from memory.
    """
    wanted = max(
        table_amps * Fraction(115, 100), Fraction(str(fuse.amount or 0)) if fuse.source != SWITCH else 0
    )
    return Value(next_standard_size(Fraction(wanted), SWITCH_AMPS), "A", SWITCH_SIZES)


def feeder_size(largest_protection: Fraction, other_amps: Fraction) -> Value:
    """Largest feeder protection: the largest branch device plus the other motors' amps, rounded down.

    Source: NEC 430.62(A).
    """
    return Value(standard_size_below(largest_protection + other_amps, FUSE_AMPS), "A", FEEDER)


def voltage_drop(phases: int, amps: Fraction, size: str, one_way: int) -> Value:
    """Volts lost on the run: 2 I R L / 1000 for one phase, sqrt(3) I R L / 1000 for three.

    Direct-current resistance of chapter 9, table 8, L in feet one way; reactance is left out.
    """
    ohms = Fraction(str(ohms_per_1000_ft(size).amount))
    length = Fraction(one_way, NANOMETRES_PER_FOOT)
    return Value(_path(phases) * float(amps * ohms * length) / 1000, "V", DROP)


def longest_run(phases: int, amps: Fraction, size: str, allowed_volts: Fraction) -> Value:
    """One-way length in nanometres at which the drop reaches ``allowed_volts``."""
    ohms = Fraction(str(ohms_per_1000_ft(size).amount))
    return Value(
        round(float(allowed_volts) * 1000 / (_path(phases) * float(amps * ohms)) * feet(1)), "length", DROP
    )


def conductor_for_drop(phases: int, amps: Fraction, least: str, one_way: int, allowed_volts: Fraction) -> str:
    """Smallest size, not under ``least``, that keeps the drop. Raises OutOfTable beyond 4/0 AWG."""
    for size in SIZES[SIZES.index(least) :]:
        if float(voltage_drop(phases, amps, size, one_way).amount or 0) <= allowed_volts:
            return size
    raise OutOfTable(
        "chapter 9, table 8", f"a drop of {float(allowed_volts):g} V", "copper up to 4/0 AWG here"
    )


def ground_size(protection_amps: Fraction) -> Value:
    """Copper equipment grounding conductor for a protective device. Source: NEC table 250.122, from memory."""
    for highest, size in GROUND_SIZES:
        if protection_amps <= highest:
            return Value(size, "AWG", GROUND)
    raise OutOfTable("table 250.122", f"{float(protection_amps):g} A", "up to 600 A here")


@dataclass(frozen=True, slots=True)
class ConduitFill:
    """Smallest EMT that holds the wires: area taken, area allowed, and the share of the whole."""

    trade_size: Value
    wires: int
    area: Value
    allowed: Value
    percent: Value


def conduit_for(wires: Mapping[str, int], *, nipple: bool = False) -> ConduitFill:
    """Smallest EMT trade size for THHN ``wires`` (size to count, grounding wires included).

    Source: NEC chapter 9, tables 1, 4 and 5. Raises OutOfTable above 2 in.
    """
    count = sum(wires.values())
    area = sum(
        (Fraction(str(wire_area(size).amount)) * number for size, number in wires.items()), Fraction(0)
    )
    for trade_size, whole in EMT_SQUARE_INCHES.items():
        allowed = conduit_room(trade_size, count, nipple=nipple)
        if area <= (allowed.amount or 0):  # type: ignore[operator]
            percent = Value(area / whole * 100, "%", allowed.source)
            taken = Value(area, "in2", GROUND_COUNTS)
            return ConduitFill(Value(trade_size, "in EMT", allowed.source), count, taken, allowed, percent)
    raise OutOfTable("chapter 9, table 4, EMT", f"{float(area):g} in2 of wire", "EMT up to 2 in here")


def _path(phases: int) -> float:
    return 2.0 if phases == 1 else math.sqrt(3)


SOURCES = (
    BASIS, NAMEPLATE, CONDUCTOR, DUTY, PROTECTION, OVERLOAD, SWITCH, SWITCH_SIZES, FEEDER, FEEDER_CONDUCTOR, TERMINALS,
    DROP, GROUND, GROUND_COUNTS, STANDARD_SIZES, FUSE_SIZES,
)  # fmt: skip
