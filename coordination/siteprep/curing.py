"""How long the pit cures before its strength is worth testing: a planning figure that clears nothing."""

import math
from collections.abc import Iterator
from fractions import Fraction

from coordination.siteprep.calculations import concrete
from coordination.siteprep.calculations.concrete.strength import constants
from coordination.siteprep.fact_types import Facts
from coordination.siteprep.figure import Figure
from coordination.siteprep.sources import Source

PRACTICE_DAYS = 7
REFERENCE = Fraction(23)
_NEEDED = ("pit.strength_needed", "pit.strength_specified", "pit.cure_temperature")
_CHOSEN = ("pit.cement", "pit.maturity_datum")


def cure_days(facts: Facts) -> Iterator[Figure]:
    """Yield the calendar days from pour to test: worked out where the facts allow it, else the seven of practice.

    Source: ACI 209R-92 equation 2-1 for the curve, ASTM C1074 (Nurse-Saul) for the temperature.
    """
    worked = _worked(facts)
    if worked is None:
        yield Figure("cure_days", "pit", PRACTICE_DAYS, "day")
    else:
        yield Figure("cure_days", "pit", worked, "day", source=_source(facts))


def still_open(facts: Facts) -> tuple[str, ...]:
    """Return the unknown facts by which a worked-out figure would change; none while it is practice's own."""
    stated = facts.value("pit.strength_specified") is not None
    return tuple(key for key in (*_NEEDED, *_CHOSEN) if stated and facts.value(key) is None)


def _worked(facts: Facts) -> int | None:
    needed, specified, warmth = (facts.value(key) for key in _NEEDED)
    if not (isinstance(needed, float) and isinstance(specified, float) and isinstance(warmth, float)):
        return None
    if needed > specified:
        return None
    days = concrete.calculate(
        concrete.ConcreteInputs(
            cement=str(facts.reckoned("pit.cement")),
            needed_fraction=Fraction(100) * Fraction(needed) / Fraction(specified),
            method="Nurse-Saul",
            datum=Fraction(int(str(facts.reckoned("pit.maturity_datum")))),
            reference=REFERENCE,
            expected_temperature=Fraction(warmth),
        )
    ).days_needed.amount
    return math.ceil(days - 1e-9) if isinstance(days, float | int) else None


def _source(facts: Facts) -> Source:
    cement, datum = facts.reckoned("pit.cement"), facts.reckoned("pit.maturity_datum")
    return Source(
        "ACI 209R-92 equation 2-1 with ASTM C1074 Nurse-Saul",
        f"{cement} moist, datum {datum} C, reference {REFERENCE} C",
        constants(str(cement), "moist")[2].status,
        "contractor",
    )
