"""Oil viscosity and loss in a line. Litres per minute, cSt, kg/m3, degrees Celsius, nanometres, pascals."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from coordination.siteprep.calculations.values import OutOfTable, Source

GRADES = Source(
    "ISO 3448",
    "mid-point viscosity at 40 C; viscosity at 100 C taken for a viscosity index of about 100",
    "memory",
    "lift crew",
)
BY_TEMPERATURE = Source("ASTM D341", "log log (v + 0.7) = A - B log T", "memory", "lift crew")
LAMINAR = Source("Hagen-Poiseuille law", "128 mu L Q / (pi d^4), f = 64/Re, below Re 2300", "practice")
TURBULENT = Source("Blasius formula", "f = 0.316 / Re^0.25, up to Re 100 000", "practice")

AT_40_AND_100_C: Mapping[str, tuple[float, float]] = {
    "VG32": (32.0, 5.4),
    "VG46": (46.0, 6.8),
    "VG68": (68.0, 8.7),
}
COLDEST, HOTTEST = 0.0, 100.0
LAMINAR_BELOW = 2300.0
TRANSITION = (2000.0, 4000.0)
BLASIUS_TO = 100_000.0


@dataclass(frozen=True, slots=True)
class Loss:
    """Loss per metre in pascals, with Reynolds number, velocity in m/s, and the law used."""

    per_metre: float
    reynolds: float
    velocity: float
    source: Source


def viscosity(grade: str, celsius: float) -> float:
    """Kinematic viscosity in cSt of an ISO VG oil of viscosity index about 100, from 0 to 100 C.

    Source: ISO 3448 grades, ASTM D341 line through 40 and 100 C. Raises OutOfTable beyond.
    """
    if grade not in AT_40_AND_100_C:
        raise OutOfTable("ISO 3448 grades", grade, ", ".join(AT_40_AND_100_C))
    if not COLDEST <= celsius <= HOTTEST:
        raise OutOfTable("viscosity by temperature", f"{celsius:g} C", "0 to 100 C here")
    warm, hot = AT_40_AND_100_C[grade]
    low, high = (math.log10(math.log10(v + 0.7)) for v in (warm, hot))
    t_low, t_high = math.log10(313.15), math.log10(373.15)
    slope = (low - high) / (t_high - t_low)
    return float(10 ** (10 ** (low - slope * (math.log10(celsius + 273.15) - t_low))) - 0.7)


def line_loss(flow: float, bore: int, centistokes: float, density: float) -> Loss:
    """Loss of ``flow`` (L/min) in a smooth line of ``bore`` (nanometres).

    Laminar below Re 2300, Blasius from there to 100 000; between 2000 and 4000 the flow may be
    either. Raises OutOfTable above.
    """
    metres, cubic = bore / 1e9, flow / 60_000
    velocity = cubic / (math.pi * metres**2 / 4)
    reynolds = velocity * metres / (centistokes * 1e-6)
    if reynolds > BLASIUS_TO:
        raise OutOfTable("Blasius formula", f"Re {reynolds:.0f}", "Re up to 100 000")
    if reynolds < LAMINAR_BELOW:
        loss = 128 * (centistokes * 1e-6 * density) * cubic / (math.pi * metres**4)
        return Loss(loss, reynolds, velocity, LAMINAR)
    friction = 0.316 / reynolds**0.25
    return Loss(friction / metres * density * velocity**2 / 2, reynolds, velocity, TURBULENT)
