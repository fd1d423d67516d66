"""Printed tables of the NEC (NFPA 70) for a small motor circuit: amps, ohm per 1000 ft, square inches.

Look-ups take exact rows and columns only and raise OutOfTable otherwise; nothing is interpolated.
"""

from collections.abc import Mapping
from fractions import Fraction as F

from coordination.siteprep.calculations.values import OutOfTable, Source, Value

SINGLE_PHASE = Source("NEC (NFPA 70)", "table 430.248", "code")
THREE_PHASE = Source("NEC (NFPA 70)", "table 430.250", "code")
VOLTAGE_RANGES = Source(
    "NEC (NFPA 70)", "tables 430.248 and 430.250, headnotes on voltage ranges", "memory", "electrical"
)
STANDARD_SIZES = Source("NEC (NFPA 70)", "240.6(A)", "code")
FUSE_SIZES = Source("NEC (NFPA 70)", "240.6(A), additional fuse sizes", "memory", "electrical")
AMPACITY_75 = Source("NEC (NFPA 70)", "table 310.16, copper 75 C, up to 3 conductors, 30 C", "code")
AMPACITY_75_3_AWG = Source("NEC (NFPA 70)", "table 310.16, copper 75 C, 3 AWG", "memory", "electrical")
AMPACITY_60 = Source("NEC (NFPA 70)", "table 310.16, copper 60 C", "code")
AMPACITY_60_SMALL = Source("NEC (NFPA 70)", "table 310.16, copper 60 C, 14 to 10 AWG", "memory", "electrical")
RESISTANCE = Source("NEC (NFPA 70)", "chapter 9, table 8, stranded uncoated copper, 75 C", "code")
WIRE_AREA = Source("NEC (NFPA 70)", "chapter 9, table 5, THHN", "code")
CONDUIT_AREA = Source("NEC (NFPA 70)", "chapter 9, table 4, EMT", "code")
FILL = Source("NEC (NFPA 70)", "chapter 9, table 1", "code")
NIPPLE_FILL = Source("NEC (NFPA 70)", "chapter 9, table 1, note 4", "code")

SINGLE_PHASE_AMPS: Mapping[F, Mapping[int, F]] = {
    F(hp): dict(zip((115, 200, 208, 230), map(F, row.split()), strict=True))
    for hp, row in {
        "1/6": "4.4 2.5 2.4 2.2",
        "1/4": "5.8 3.3 3.2 2.9",
        "1/3": "7.2 4.1 4.0 3.6",
        "1/2": "9.8 5.6 5.4 4.9",
        "3/4": "13.8 7.9 7.6 6.9",
        "1": "16 9.2 8.8 8.0",
        "3/2": "20 11.5 11.0 10",
        "2": "24 13.8 13.2 12",
        "3": "34 19.6 18.7 17",
        "5": "56 32.2 30.8 28",
        "15/2": "80 46.0 44.0 40",
        "10": "100 57.5 55.0 50",
    }.items()
}
THREE_PHASE_AMPS: Mapping[F, Mapping[int, F]] = {
    F(hp): {
        volts: F(amps)
        for volts, amps in zip((115, 200, 208, 230, 460, 575), row.split(), strict=True)
        if amps != "-"
    }
    for hp, row in {
        "1/2": "4.4 2.5 2.4 2.2 1.1 0.9",
        "3/4": "6.4 3.7 3.5 3.2 1.6 1.3",
        "1": "8.4 4.8 4.6 4.2 2.1 1.7",
        "3/2": "12.0 6.9 6.6 6.0 3.0 2.4",
        "2": "13.6 7.8 7.5 6.8 3.4 2.7",
        "3": "- 11.0 10.6 9.6 4.8 3.9",
        "5": "- 17.5 16.7 15.2 7.6 6.1",
        "15/2": "- 25.3 24.2 22 11 9",
        "10": "- 32.2 30.8 28 14 11",
        "15": "- 48.3 46.2 42 21 17",
        "20": "- 62.1 59.4 54 27 22",
        "25": "- 78.2 74.8 68 34 27",
        "30": "- 92 88 80 40 32",
        "40": "- 120 114 104 52 41",
        "50": "- 150 143 130 65 52",
    }.items()
}
SYSTEM_VOLTS: tuple[tuple[int, int, int], ...] = (
    (110, 120, 115),
    (200, 200, 200),
    (208, 208, 208),
    (220, 240, 230),
    (440, 480, 460),
    (550, 600, 575),
)
STANDARD_AMPS = (
    *(15, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 110, 125, 150, 175),
    *(200, 225, 250, 300, 350, 400, 450, 500, 600),
)
FUSE_AMPS = (1, 3, 6, 10, *STANDARD_AMPS, 601)
SWITCH_AMPS = (30, 60, 100, 200, 400, 600)

SIZES = ("14", "12", "10", "8", "6", "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0")


def _column(row: str) -> Mapping[str, F]:
    return dict(zip(SIZES, map(F, row.split()), strict=True))


AMPS_75 = _column("20 25 35 50 65 85 100 115 130 150 175 200 230")
AMPS_60 = _column("15 20 30 40 55 70 85 95 110 125 145 165 195")
OHMS_PER_1000_FT = _column("3.14 1.98 1.24 0.778 0.491 0.308 0.245 0.194 0.154 0.122 0.0967 0.0766 0.0608")
THHN_SQUARE_INCHES = _column(
    "0.0097 0.0133 0.0211 0.0366 0.0507 0.0824 0.0973 0.1158 0.1562 0.1855 0.2223 0.2679 0.3237"
)
EMT_SQUARE_INCHES: Mapping[str, F] = {
    "1/2": F("0.304"),
    "3/4": F("0.533"),
    "1": F("0.864"),
    "1 1/4": F("1.496"),
    "1 1/2": F("2.036"),
    "2": F("3.356"),
}
EMT_FILL_SQUARE_INCHES: Mapping[str, tuple[F, F, F]] = {
    "1/2": (F("0.161"), F("0.094"), F("0.1216")),
    "3/4": (F("0.282"), F("0.165"), F("0.2132")),
    "1": (F("0.458"), F("0.268"), F("0.3456")),
    "1 1/4": (F("0.793"), F("0.464"), F("0.5984")),
    "1 1/2": (F("1.079"), F("0.631"), F("0.8144")),
    "2": (F("1.779"), F("1.040"), F("1.3424")),
}


def full_load_amps(phases: int, horsepower: F, volts: F | int) -> Value:
    """Table current of a motor; the circuit is sized on it, not on the nameplate (430.6(A)(1)).

    ``volts`` is the supply or the motor's rating: 110-120 reads the 115 V column, 220-240 the 230,
    440-480 the 460 and 550-600 the 575 V column; 200 and 208 V have their own. Raises OutOfTable
    for a row or column that is not printed.

    Source: NEC tables 430.248 (one phase) and 430.250 (three phases).
    """
    tables = {1: (SINGLE_PHASE_AMPS, SINGLE_PHASE), 3: (THREE_PHASE_AMPS, THREE_PHASE)}
    if phases not in tables:
        raise OutOfTable("motor current tables", f"{phases} phases", "1 and 3 phases")
    rows, source = tables[phases]
    name = source.clause
    if horsepower not in rows:
        raise OutOfTable(name, f"{float(horsepower):g} hp", f"{', '.join(map(_hp, rows))} hp")
    column = next((rated for low, high, rated in SYSTEM_VOLTS if low <= volts <= high), None)
    if column is None or column not in rows[horsepower]:
        columns = ", ".join(map(str, rows[horsepower]))
        raise OutOfTable(
            name, f"{float(volts):g} V at {_hp(horsepower)} hp", f"{columns} V (and their ranges)"
        )
    return Value(rows[horsepower][column], "A", source)


def _hp(horsepower: F) -> str:
    return f"{float(horsepower):g}"


def ampacity(size: str, terminal_celsius: int) -> Value:
    """Amps a copper conductor of ``size`` may carry at 60 or 75 degree C terminals.

    Up to three current-carrying conductors, 30 degree C ambient. Raises OutOfTable.

    Source: NEC table 310.16; 3 AWG at 75 C and 14 to 10 AWG at 60 C from memory.
    """
    _known_size("table 310.16", size)
    if terminal_celsius == 75:
        return Value(AMPS_75[size], "A", AMPACITY_75_3_AWG if size == "3" else AMPACITY_75)
    if terminal_celsius == 60:
        return Value(AMPS_60[size], "A", AMPACITY_60_SMALL if size in SIZES[:3] else AMPACITY_60)
    raise OutOfTable("table 310.16", f"{terminal_celsius} degree C terminals", "60 and 75 degree C")


def conductor_for(amps: F, terminal_celsius: int) -> str:
    """Smallest copper size, 14 AWG or larger, whose ampacity is not below ``amps``. Raises OutOfTable."""
    for size in SIZES:
        if (ampacity(size, terminal_celsius).amount or 0) >= amps:  # type: ignore[operator]
            return size
    raise OutOfTable("table 310.16", f"{float(amps):g} A", "copper up to 4/0 AWG here")


def ohms_per_1000_ft(size: str) -> Value:
    """Direct-current resistance of stranded uncoated copper at 75 C (solid wire is about 2 % lower)."""
    _known_size("chapter 9, table 8", size)
    return Value(OHMS_PER_1000_FT[size], "ohm per 1000 ft", RESISTANCE)


def wire_area(size: str) -> Value:
    """Cross-section of a THHN conductor with insulation, square inches. Raises OutOfTable."""
    _known_size("chapter 9, table 5", size)
    return Value(THHN_SQUARE_INCHES[size], "in2", WIRE_AREA)


def conduit_room(trade_size: str, wires: int, *, nipple: bool = False) -> Value:
    """Square inches that ``wires`` conductors may fill of an EMT: 53 % for one, 31 % two, 40 % more.

    A nipple (not over 24 in) may be filled to 60 %. Raises OutOfTable for other trade sizes.

    Source: NEC chapter 9, tables 1 and 4, as printed (53 and 31 % columns rounded there).
    """
    if trade_size not in EMT_SQUARE_INCHES:
        raise OutOfTable("chapter 9, table 4, EMT", trade_size, ", ".join(EMT_SQUARE_INCHES))
    if wires < 1:
        raise OutOfTable("chapter 9, table 1", f"{wires} conductors", "1 or more")
    if nipple:
        return Value(EMT_SQUARE_INCHES[trade_size] * F(60, 100), "in2", NIPPLE_FILL)
    return Value(EMT_FILL_SQUARE_INCHES[trade_size][min(wires, 3) - 1], "in2", FILL)


def next_standard_size(amps: F, sizes: tuple[int, ...] = STANDARD_AMPS) -> int:
    """The standard rating equal to ``amps`` or the next above it. Raises OutOfTable above the last."""
    for size in sizes:
        if size >= amps:
            return size
    raise OutOfTable("240.6(A)", f"{float(amps):g} A", f"{sizes[0]} to {sizes[-1]} A")


def standard_size_below(amps: F, sizes: tuple[int, ...] = STANDARD_AMPS) -> int:
    """The standard rating equal to ``amps`` or the next below it. Raises OutOfTable below the first."""
    for size in reversed(sizes):
        if size <= amps:
            return size
    raise OutOfTable("240.6(A)", f"{float(amps):g} A", f"{sizes[0]} to {sizes[-1]} A")


def _known_size(table: str, size: str) -> None:
    if size not in SIZES:
        raise OutOfTable(table, f"{size} AWG", f"{', '.join(SIZES)} AWG")


SOURCES = (
    SINGLE_PHASE, THREE_PHASE, VOLTAGE_RANGES, AMPACITY_75, AMPACITY_75_3_AWG, AMPACITY_60, AMPACITY_60_SMALL,
    RESISTANCE, WIRE_AREA, CONDUIT_AREA, FILL, NIPPLE_FILL,
)  # fmt: skip
