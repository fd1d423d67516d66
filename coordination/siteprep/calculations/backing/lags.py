"""Lag screws in wood: withdrawal and lateral design values. Inches inside, pounds out, psi for strengths.

Formulas of the NDS (National Design Specification for Wood Construction), chapter 12. Spacing, edge
and end distances are taken as kept (4 D, 1.5 D and 4 to 7 D, from memory).
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from coordination.siteprep.calculations.values import OutOfTable, Source

WITHDRAWAL = Source("NDS", "12.2.1, W = 1800 G^1.5 D^0.75 per inch of thread", "code", "engineer")
LATERAL = Source("NDS", "12.3.1, yield-limit equations, single shear, steel side plate", "code", "engineer")
LATERAL_5_8 = Source(
    "NDS",
    "12.3.1, yield-limit equations; root of a 5/8 in lag 0.471 in (appendix L)",
    "memory",
    "engineer",
)
COMBINED = Source("NDS", "12.4.1, combined lateral and withdrawal loads", "memory", "engineer")
DENSITY = Source("NDS", "table 12.3.3A, specific gravity", "code", "engineer")
DENSITY_LVL = Source(
    "product reports of laminated veneer lumber", "equivalent specific gravity 0.50", "memory", "engineer"
)
DURATION = Source("NDS", "table 2.3.2, load duration", "memory", "engineer")
END_GRAIN = Source("NDS", "12.5.2, end grain factor 0.75 for withdrawal", "code", "engineer")
PENETRATION = Source("NDS", "12.1.4.6, at least 4 D", "code", "engineer")

SPECIFIC_GRAVITY: Mapping[str, Fraction] = {
    "southern pine": Fraction("0.55"),
    "douglas fir-larch": Fraction("0.50"),
    "LVL": Fraction("0.50"),
    "hem-fir": Fraction("0.43"),
    "spruce-pine-fir": Fraction("0.42"),
    "spruce-pine-fir south": Fraction("0.36"),
}
DURATION_FACTORS: Mapping[str, Fraction] = {
    "permanent": Fraction("0.9"),
    "normal": Fraction(1),
    "construction": Fraction("1.25"),
    "wind or seismic": Fraction("1.6"),
}
PLATES: Mapping[str, tuple[float, float]] = {
    "14 gauge": (0.075, 61_850.0),
    "11 gauge": (0.120, 61_850.0),
    "1/4 in A36": (0.25, 87_000.0),
}


@dataclass(frozen=True, slots=True)
class Lag:
    """A lag screw: nominal and root diameter in inches, bending yield strength in psi."""

    diameter: Fraction
    root: float
    yield_strength: float


LAGS: Mapping[str, Lag] = {
    "1/4": Lag(Fraction(1, 4), 0.173, 70_000.0),
    "5/16": Lag(Fraction(5, 16), 0.227, 60_000.0),
    "3/8": Lag(Fraction(3, 8), 0.265, 45_000.0),
    "1/2": Lag(Fraction(1, 2), 0.371, 45_000.0),
    "5/8": Lag(Fraction(5, 8), 0.471, 45_000.0),
}


def withdrawal_per_inch(size: str, gravity: Fraction) -> float:
    """Pounds per inch of thread in the main member, tip excluded, side grain, normal load duration.

    Source: NDS 12.2.1. Raises OutOfTable for other sizes.
    """
    lag = _lag(size)
    return float(1800 * float(gravity) ** 1.5 * float(lag.diameter) ** 0.75)


def lateral(size: str, gravity: Fraction, plate: str, penetration: Fraction, *, across_grain: bool) -> float:
    """Pounds per lag in single shear under a steel plate, normal load duration.

    ``penetration`` in inches; less than 4 D raises OutOfTable, as do unlisted sizes and plates.
    Six yield modes with the root diameter; dowel bearing of the wood from the nominal one.

    Source: NDS 12.3.1; table 12K follows from it after rounding to 10 lb.
    """
    lag = _lag(size)
    if plate not in PLATES:
        raise OutOfTable("steel side plates", plate, ", ".join(PLATES))
    if penetration < 4 * lag.diameter:
        raise OutOfTable(
            "NDS 12.1.4.6",
            f"{float(penetration):g} in penetration",
            f"at least {float(4 * lag.diameter):g} in (4 D)",
        )
    thickness, steel = PLATES[plate]
    wood = _wood_bearing(gravity, lag.diameter, across_grain)
    reductions = _reductions(lag.root, across_grain)
    modes = _yield_modes((lag.root, lag.yield_strength), (wood, float(penetration)), (steel, thickness))
    return min(mode / reduction for mode, reduction in zip(modes, reductions, strict=True))


def lateral_source(size: str) -> Source:
    """What the lateral value of a lag of ``size`` rests on."""
    return LATERAL_5_8 if size == "5/8" else LATERAL


def combined(withdrawal: float, sideways: float, pull: float, shear: float) -> float:
    """Resistance of a lag in the direction of ``pull`` and ``shear`` together, from both by themselves.

    Source: NDS 12.4.1: W p Z / (W p cos^2 a + Z sin^2 a), a from the wood's surface.
    """
    whole = pull**2 + shear**2
    if whole == 0:
        return min(withdrawal, sideways)
    return withdrawal * sideways / (withdrawal * shear**2 / whole + sideways * pull**2 / whole)


def _lag(size: str) -> Lag:
    if size not in LAGS:
        raise OutOfTable("lag screws", f"{size} in", ", ".join(LAGS))
    return LAGS[size]


def _wood_bearing(gravity: Fraction, diameter: Fraction, across_grain: bool) -> float:
    """Dowel bearing strength in psi. Source: NDS 12.3.3: 11200 G along, 6100 G^1.45 / sqrt D across the grain."""
    if across_grain:
        return float(6100 * float(gravity) ** 1.45 / math.sqrt(float(diameter)))
    return 11_200 * float(gravity)


def _reductions(root: float, across_grain: bool) -> tuple[float, ...]:
    """Reduction terms of the six modes. Source: NDS table 12.3.1B and its note on threaded fasteners."""
    angle = 1.25 if across_grain else 1.0
    if root < 0.25:
        return ((2.2 if root <= 0.17 else 10 * root + 0.5) * angle,) * 6
    return tuple(term * angle for term in (4.0, 4.0, 3.6, 3.2, 3.2, 3.2))


def _yield_modes(
    screw: tuple[float, float], main: tuple[float, float], side: tuple[float, float]
) -> tuple[float, ...]:
    """Modes Im, Is, II, IIIm, IIIs, IV before reduction. Source: NDS 12.3.1, equations 12.3-1 to 12.3-6."""
    d, f_yb = screw
    f_em, l_m = main
    f_es, l_s = side
    r_e, r_t = f_em / f_es, l_m / l_s
    root = math.sqrt(r_e + 2 * r_e**2 * (1 + r_t + r_t**2) + r_t**2 * r_e**3)
    k1 = (root - r_e * (1 + r_t)) / (1 + r_e)
    k2 = -1 + math.sqrt(2 * (1 + r_e) + 2 * f_yb * (1 + 2 * r_e) * d**2 / (3 * f_em * l_m**2))
    k3 = -1 + math.sqrt(2 * (1 + r_e) / r_e + 2 * f_yb * (2 + r_e) * d**2 / (3 * f_em * l_s**2))
    return (
        d * l_m * f_em,
        d * l_s * f_es,
        k1 * d * l_s * f_es,
        k2 * d * l_m * f_em / (1 + 2 * r_e),
        k3 * d * l_s * f_em / (2 + r_e),
        d**2 * math.sqrt(2 * f_em * f_yb / (3 * (1 + r_e))),
    )


SOURCES = (WITHDRAWAL, LATERAL, LATERAL_5_8, COMBINED, DENSITY, DENSITY_LVL, DURATION, END_GRAIN, PENETRATION)
