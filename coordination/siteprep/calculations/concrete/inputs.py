# ruff: noqa: RUF009 (declare() makes a dataclass field)
"""Inputs of the concrete calculation."""

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from coordination.siteprep.calculations.code_sets import declare_code_set
from coordination.siteprep.calculations.inputs import Inputs, Problem, declare
from coordination.siteprep.calculations.values import feet

METHODS = ("age", "Nurse-Saul", "equivalent age")


@dataclass(frozen=True, kw_only=True)
class Stretch(Inputs):
    """A stretch of time at one temperature of the concrete."""

    hours: Fraction = declare("duration", "how long", low=0, high=24 * 365)
    temperature: Fraction = declare(
        "temperature", "mean temperature of the concrete in it", low=-40, high=100
    )


@dataclass(frozen=True, kw_only=True)
class Plate(Inputs):
    """The plate under rails or jack, and the slab around it."""

    width: int = declare("length", "one side of the plate", low=1, high=feet(20))
    depth: int = declare("length", "other side of the plate", low=1, high=feet(20))
    edge_at_width: int = declare(
        "length", "from the plate to the nearest slab edge, in the direction of its width", low=0
    )
    edge_at_depth: int = declare(
        "length", "from the plate to the nearest slab edge, in the direction of its depth", low=0
    )
    slab_thickness: int | None = declare("length", "thickness of the slab", unknown=True, low=1)
    load: Fraction | None = declare(
        "force", "factored load on the plate, from the job's drawing", unknown=True, low=0
    )


@dataclass(frozen=True, kw_only=True)
class ConcreteInputs(Inputs):
    """Cement, cure, method and temperatures; the plate only for bearing."""

    code_set: str = declare_code_set()
    cement: str = declare("choice", "cement", default="type I", choices=("type I", "type III"))
    cure: str = declare("choice", "cure", default="moist", choices=("moist", "steam"))
    design_strength: Fraction | None = declare(
        "strength", "specified 28-day strength", unknown=True, low=500, high=20000
    )
    needed_fraction: Fraction = declare(
        "percent",
        "share of the design strength needed for loading, in percent (75 is a placeholder of practice)",
        default=Fraction(75),
        low=1,
        high=100,
    )
    age: Fraction | None = declare(
        "age", 'age to tell the strength at, always with its unit: "7 d" or "168 h"', unknown=True, low=0
    )
    pour_date: datetime.date | None = declare("date", "day of the pour", unknown=True)
    method: str = declare("choice", "how temperature is counted", default="age", choices=METHODS)
    history: tuple[Stretch, ...] = declare(
        "record", "temperature from the pour on, in order", default=(), many=True, of=Stretch
    )
    expected_temperature: Fraction | None = declare(
        "temperature", "temperature taken after the history", unknown=True, low=-40, high=100
    )
    datum: Fraction | None = declare(
        "temperature",
        "Nurse-Saul: datum temperature (0 C and -10 C are both in use: say which)",
        unknown=True,
        low=-20,
        high=10,
    )
    reference: Fraction | None = declare(
        "temperature",
        "temperature the strength curve belongs to (20 C and 23 C are both in use: say which)",
        unknown=True,
        low=10,
        high=30,
    )
    activation_kelvin: Fraction | None = declare(
        "number", "equivalent age: Q = E/R in kelvin, about 5000", unknown=True, low=1000, high=10000
    )
    activation_energy: Fraction | None = declare(
        "energy", "equivalent age: activation energy instead of Q", unknown=True, low=10, high=100
    )
    plate: Plate | None = declare("record", "plate for the bearing check", unknown=True, of=Plate)

    def cross_check(self) -> Iterator[Problem]:
        """Each method names its own constants; none is assumed."""
        if self.method != "age" and self.reference is None:
            yield Problem(
                "reference", "is missing", f"{self.method} needs the reference temperature, 20 C or 23 C"
            )
        if self.method == "Nurse-Saul" and self.datum is None:
            yield Problem("datum", "is missing", "Nurse-Saul needs the datum temperature, 0 C or -10 C")
        if self.datum is not None and self.reference is not None and self.datum >= self.reference:
            yield Problem("datum", "is not below the reference", "give a datum below it")
        given = (self.activation_kelvin is not None) + (self.activation_energy is not None)
        if self.method == "equivalent age" and given != 1:
            yield Problem(
                "activation_kelvin",
                "or activation_energy must be given, one of them",
                "about 5000 K, or 40 to 45 kJ/mol",
            )
        if self.method == "age" and (self.history or self.expected_temperature is not None):
            yield Problem(
                "method", '"age" does not count temperatures', "choose Nurse-Saul or equivalent age"
            )
