"""Strength of concrete by age and by maturity. Days, hours, degrees Celsius, fractions of the 28-day strength."""

import math
from collections.abc import Mapping, Sequence
from fractions import Fraction

from coordination.siteprep.calculations.values import OutOfTable, Source

CURVE = Source(
    "ACI 209R-92", "equation 2-1 with table 2.2.1, type I moist (a 4.0, b 0.85)", "code", "engineer"
)
CURVE_MEMORY = Source(
    "ACI 209R-92", "equation 2-1 with table 2.2.1, constants of this cement and cure", "memory", "engineer"
)
NURSE_SAUL = Source(
    "ASTM C1074", "temperature-time factor (Nurse-Saul), datum temperature as chosen", "code", "engineer"
)
EQUIVALENT_AGE = Source(
    "ASTM C1074",
    "equivalent age (Arrhenius), activation and reference temperature as chosen",
    "memory",
    "engineer",
)

CONSTANTS: Mapping[tuple[str, str], tuple[Fraction, Fraction, Source]] = {
    ("type I", "moist"): (Fraction("4.0"), Fraction("0.85"), CURVE),
    ("type III", "moist"): (Fraction("2.3"), Fraction("0.92"), CURVE_MEMORY),
    ("type I", "steam"): (Fraction("1.0"), Fraction("0.95"), CURVE_MEMORY),
    ("type III", "steam"): (Fraction("0.70"), Fraction("0.98"), CURVE_MEMORY),
}
ZERO_CELSIUS = 273.15
GAS_CONSTANT = 8.314462618e-3


def fraction_at(days: float, cement: str, cure: str) -> float:
    """Share of the 28-day strength reached at ``days``: t / (a + b t). Raises OutOfTable for other cements.

    Source: ACI 209R-92, equation 2-1.
    """
    a, b, _ = constants(cement, cure)
    if days < 0:
        raise OutOfTable("ACI 209R-92 equation 2-1", f"{days:g} days", "ages from 0 days")
    return days / (float(a) + float(b) * days)


def days_to(fraction: float, cement: str, cure: str) -> float | None:
    """Age at which ``fraction`` is reached: a p / (1 - b p); None when the curve never gets there."""
    a, b, _ = constants(cement, cure)
    left = 1 - float(b) * fraction
    return float(a) * fraction / left if left > 0 else None


def constants(cement: str, cure: str) -> tuple[Fraction, Fraction, Source]:
    """Constants a (days) and b of the curve with their source. Raises OutOfTable."""
    if (cement, cure) not in CONSTANTS:
        raise OutOfTable("ACI 209R-92 table 2.2.1", f"{cement}, {cure}", "types I and III, moist and steam")
    return CONSTANTS[cement, cure]


def temperature_time(history: Sequence[tuple[float, float]], datum: float) -> float:
    """Degree-hours above ``datum`` of (hours, degrees) stretches; nothing is gained below it.

    Source: ASTM C1074, Nurse-Saul: M = sum of (Ta - T0) dt.
    """
    return sum(hours * max(0.0, celsius - datum) for hours, celsius in history)


def nurse_saul_rate(celsius: float, datum: float, reference: float) -> float:
    """Hours of curing at ``reference`` gained per hour at ``celsius``."""
    return max(0.0, celsius - datum) / (reference - datum)


def arrhenius_rate(celsius: float, activation: float, reference: float) -> float:
    """Hours at ``reference`` gained per hour at ``celsius``: exp(-Q (1/T - 1/Ts)), Q in kelvin.

    Source: ASTM C1074, equivalent age; 4,000 to 5,500 K is usual (from memory).
    """
    return math.exp(-activation * (1 / (celsius + ZERO_CELSIUS) - 1 / (reference + ZERO_CELSIUS)))
