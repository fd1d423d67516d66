"""Bearing of a plate on the pit slab. Lengths in nanometres, strengths in psi, loads in pounds."""

from fractions import Fraction

from coordination.siteprep.calculations.values import NANOMETRES_PER_INCH, Source, Value

BEARING = Source(
    "ACI 318-14/19", "22.8.3, bearing strength with confinement by the wider support", "code", "engineer"
)
PHI = Source("ACI 318-14/19", "21.2.1, strength reduction factor 0.65 for bearing", "memory", "engineer")
REDUCTION = Fraction(65, 100)
MOST_CONFINEMENT = Fraction(2)


def confinement(plate: tuple[int, int], edges: tuple[int, int], thickness: int | None) -> Value:
    """Factor sqrt(A2/A1), at most 2.

    A2 is the largest base, similar to the plate and concentric with it, that lies on the slab;
    ``edges`` are the distances from the plate's sides to the nearest slab edges, and the base
    spreads at most 2 sideways for 1 down through ``thickness``. Source: ACI 318 22.8.3.
    """
    factors = [Fraction(side + 2 * edge, side) for side, edge in zip(plate, edges, strict=True)]
    if thickness is not None:
        factors += [Fraction(side + 4 * thickness, side) for side in plate]
    return Value(min(*factors, MOST_CONFINEMENT), "", BEARING)


def nominal_bearing(plate: tuple[int, int], strength: Fraction, factor: Fraction) -> Value:
    """Nominal bearing strength in pounds: factor times 0.85 f'c A1. Source: ACI 318 22.8.3.2."""
    area = Fraction(plate[0] * plate[1], NANOMETRES_PER_INCH**2)
    return Value(factor * Fraction(85, 100) * strength * area, "lb", BEARING)


def design_bearing(nominal: Value) -> Value:
    """Nominal strength times 0.65. Source: ACI 318 21.2.1, from memory (older editions: 0.70)."""
    return Value(REDUCTION * Fraction(nominal.amount or 0), "lb", PHI)
