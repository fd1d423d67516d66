"""Strength of the pit concrete by age or maturity, the earliest day to load it, and bearing under a plate.

A computed strength plans a date. It clears nothing: cylinder tests, a maturity meter calibrated for
this mix, or the engineer's letter do.
"""

import datetime
import math
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from coordination.siteprep.calculations.code_sets import NO_EN_VALUE, no_en_value
from coordination.siteprep.calculations.concrete.bearing import (
    BEARING,
    PHI,
    confinement,
    design_bearing,
    nominal_bearing,
)
from coordination.siteprep.calculations.concrete.inputs import ConcreteInputs, Plate, Stretch
from coordination.siteprep.calculations.concrete.strength import (
    CURVE,
    CURVE_MEMORY,
    EQUIVALENT_AGE,
    GAS_CONSTANT,
    NURSE_SAUL,
    arrhenius_rate,
    constants,
    days_to,
    fraction_at,
    nurse_saul_rate,
    temperature_time,
)
from coordination.siteprep.calculations.values import Finding, Source, Value, at_most

__all__ = [
    "EXAMPLE",
    "SOURCES",
    "ConcreteInputs",
    "ConcreteResult",
    "Plate",
    "Stretch",
    "arrhenius_rate",
    "calculate",
    "confinement",
    "days_to",
    "fraction_at",
    "temperature_time",
]

LOADING = Source(
    "common practice, no source",
    "75 % before equipment loads, or the engineer's word",
    "practice",
    "engineer",
)
CLEARED_BY = ("cylinder tests", "maturity calibrated for this mix", "engineer's letter")


@dataclass(frozen=True, slots=True)
class ConcreteResult:
    """Strength now, days to the needed share, the earliest day, and bearing. ``method`` is how it was counted.

    ``cleared_by`` lists what alone may release the loading; the computed date never does.
    """

    method: str
    temperature_time: Value
    equivalent_age: Value
    fraction: Value
    strength: Value
    days_needed_at_reference: Value
    days_needed: Value
    earliest_loading: Value
    confinement_factor: Value
    nominal_bearing: Value
    design_bearing: Value
    cleared_by: tuple[str, ...]
    findings: tuple[Finding, ...]


def calculate(inputs: ConcreteInputs) -> ConcreteResult:
    """Plan the day of loading from the strength curve, with temperature counted by the method named.

    The day is the first one that starts when the needed share has been reached. Below the datum
    nothing is gained. A share the curve never reaches, or a temperature at which nothing is
    gained, leaves the date unknown with a finding.

    Source: ACI 209R-92, ASTM C1074, ACI 318 22.8.3.
    """
    source = constants(inputs.cement, inputs.cure)[2]
    history = [(float(stretch.hours), float(stretch.temperature)) for stretch in inputs.history]
    matured = _matured_days(inputs, history)
    fraction = None if matured is None else fraction_at(matured, inputs.cement, inputs.cure)
    strength = None
    if fraction is not None and inputs.design_strength is not None:
        strength = fraction * float(inputs.design_strength)
    at_reference = days_to(float(inputs.needed_fraction) / 100, inputs.cement, inputs.cure)
    days = _real_days(inputs, history, at_reference)
    datum = None if inputs.method != "Nurse-Saul" else temperature_time(history, float(inputs.datum or 0))
    return ConcreteResult(
        inputs.method,
        Value(datum, "degree C hour", NURSE_SAUL),
        Value(matured, "days", _method_source(inputs, source)),
        Value(fraction, "", source),
        Value(strength, "psi", source),
        Value(at_reference, "days", source),
        Value(days, "days", _method_source(inputs, source)),
        Value(_day(inputs.pour_date, days), "date", LOADING),
        *_bearing(inputs),
        CLEARED_BY,
        (*no_en_value(inputs.code_set, "engineer"), *_findings(inputs, at_reference, days)),
    )


def _method_source(inputs: ConcreteInputs, curve: Source) -> Source:
    return {"age": curve, "Nurse-Saul": NURSE_SAUL, "equivalent age": EQUIVALENT_AGE}[inputs.method]


def _rate(inputs: ConcreteInputs, celsius: float) -> float:
    """Hours at the reference gained in one hour at ``celsius``, by the method named."""
    reference = float(inputs.reference or 0)
    if inputs.method == "Nurse-Saul":
        return nurse_saul_rate(celsius, float(inputs.datum or 0), reference)
    if inputs.activation_kelvin is not None:
        return arrhenius_rate(celsius, float(inputs.activation_kelvin), reference)
    return arrhenius_rate(celsius, float(inputs.activation_energy or 0) / GAS_CONSTANT, reference)


def _matured_days(inputs: ConcreteInputs, history: list[tuple[float, float]]) -> float | None:
    """Age at the reference temperature: of the age asked for, or of the whole history when none is."""
    if inputs.method == "age":
        return None if inputs.age is None else float(inputs.age) / 24
    left = sum(hours for hours, _ in history) if inputs.age is None else float(inputs.age)
    gained = 0.0
    for hours, celsius in history:
        used = min(hours, left)
        gained += used * _rate(inputs, celsius)
        left -= used
    if left > 0:
        if inputs.expected_temperature is None:
            return None
        gained += left * _rate(inputs, float(inputs.expected_temperature))
    return gained / 24


def _real_days(
    inputs: ConcreteInputs, history: list[tuple[float, float]], needed: float | None
) -> float | None:
    """Days from the pour until ``needed`` days at the reference are gained; None when unknown or never."""
    if needed is None or inputs.method == "age":
        return needed
    left, passed = needed * 24, 0.0
    for hours, celsius in history:
        rate = _rate(inputs, celsius)
        if hours * rate >= left:
            return (passed + left / rate) / 24 if left > 0 else passed / 24
        left -= hours * rate
        passed += hours
    if inputs.expected_temperature is None:
        return None
    rate = _rate(inputs, float(inputs.expected_temperature))
    return (passed + left / rate) / 24 if rate > 0 else None


def _day(pour: datetime.date | None, days: float | None) -> str | None:
    if pour is None or days is None:
        return None
    return (pour + datetime.timedelta(days=math.ceil(days - 1e-9))).isoformat()


def _bearing(inputs: ConcreteInputs) -> tuple[Value, Value, Value]:
    if inputs.plate is None:
        return Value(None, "", BEARING), Value(None, "lb", BEARING), Value(None, "lb", PHI)
    plate = (inputs.plate.width, inputs.plate.depth)
    factor = confinement(
        plate, (inputs.plate.edge_at_width, inputs.plate.edge_at_depth), inputs.plate.slab_thickness
    )
    if inputs.design_strength is None:
        return factor, Value(None, "lb", BEARING), Value(None, "lb", PHI)
    nominal = nominal_bearing(plate, inputs.design_strength, Fraction(factor.amount or 0))
    return factor, nominal, design_bearing(nominal)


def _findings(inputs: ConcreteInputs, at_reference: float | None, days: float | None) -> Iterator[Finding]:
    source = constants(inputs.cement, inputs.cure)[2]
    if at_reference is None:
        yield Finding("needed share never reached", "not met", source, found=inputs.needed_fraction, unit="%")
    elif days is None and inputs.expected_temperature is None:
        yield Finding("earliest loading", "unknown", NURSE_SAUL, missing=("history", "expected_temperature"))
    elif days is None:
        yield Finding(
            "no strength gained at the expected temperature",
            "not met",
            NURSE_SAUL,
            found=inputs.expected_temperature,
            unit="degree C",
        )
    if inputs.pour_date is None:
        yield Finding("earliest loading", "unknown", LOADING, missing=("pour_date",))
    if inputs.plate is not None:
        design = _bearing(inputs)[2]
        if design.amount is None:
            yield Finding("bearing under the plate", "unknown", BEARING, missing=("design_strength",))
        else:
            yield at_most(
                "bearing under the plate", inputs.plate.load, design.amount, "lb", PHI, missing="plate.load"
            )


SOURCES = (CURVE, CURVE_MEMORY, NURSE_SAUL, EQUIVALENT_AGE, LOADING, BEARING, PHI, NO_EN_VALUE["engineer"])
EXAMPLE = {
    "cement": "type I",
    "cure": "moist",
    "design_strength": "4000 psi",
    "needed_fraction": "75 %",
    "pour_date": "2026-03-02",
    "method": "Nurse-Saul",
    "datum": "-10 C",
    "reference": "23 C",
    "history": [{"hours": "48 h", "temperature": "60 F"}, {"hours": 24, "temperature": "50 F"}],
    "expected_temperature": "55 F",
    "plate": {
        "width": "12 in",
        "depth": "12 in",
        "edge_at_width": "8 in",
        "edge_at_depth": "8 in",
        "slab_thickness": "12 in",
        "load": "60000 lb",
    },
}
