"""All calculations by name: read inputs from a mapping, calculate, explain."""

import dataclasses
from collections.abc import Callable, Mapping
from dataclasses import MISSING, dataclass
from fractions import Fraction
from types import ModuleType
from typing import Any

from coordination.siteprep.calculations import (
    accessibility,
    alarm,
    backing,
    brackets,
    concrete,
    electrical,
    enclosure,
    hoistway_survey,
    hydraulics,
    machine_room,
    pit,
)
from coordination.siteprep.calculations.inputs import Inputs, Spec, read, specs
from coordination.siteprep.calculations.measures import UNITS, kept_unit
from coordination.siteprep.calculations.output import as_json
from coordination.siteprep.calculations.values import Source


@dataclass(frozen=True, slots=True)
class Calculation:
    """One calculation: its name, what it takes and gives, and where its values come from."""

    name: str
    module: ModuleType
    inputs: type[Inputs]
    result: type
    calculate: Callable[[Any], Any]
    sources: tuple[Source, ...]
    example: Mapping[str, object]

    def read(self, given: Mapping[str, object]) -> Inputs:
        """Inputs from a mapping as JSON gives it. Raises InputErrors, naming each field and what is right."""
        return read(self.inputs, given)

    def run(self, given: Mapping[str, object]) -> Any:
        """Result as JSON types. Raises InputErrors, or OutOfTable where a table has no entry."""
        return as_json(self.calculate(self.read(given)))

    def explain(self) -> dict[str, Any]:
        """What it does, its inputs with kinds and units, its results, its sources, and an example."""
        return {
            "name": self.name,
            "about": _paragraphs(self.module.__doc__),
            "rules": _paragraphs(self.calculate.__doc__),
            "lengths": LENGTHS_NOTE,
            "inputs": _inputs(self.inputs),
            "results": {f.name: str(f.type) for f in dataclasses.fields(self.result)},
            "results about": _paragraphs(self.result.__doc__),
            "results note": RESULTS_NOTE,
            "example result": self.run(self.example),
            "sources": [as_json(source) for source in self.sources],
            "example": self.example,
        }


LENGTHS_NOTE = (
    'Write lengths with their unit ("14 in", "9\' 4 1/2\\"", "2857 mm", "2.857 m"), or give the key '
    '"length_unit" (in, ft, mm, cm, m) and plain numbers. Other measures are plain numbers in the unit '
    'shown or texts with a unit. An input that may be unknown is left out, null or "unknown". Units and '
    "choices are read without regard to capitals; choices also without spaces and hyphens, and by the short "
    "names of the trade (LU/LA, SPF, DF-L). true and false may be yes and no."
)
RESULTS_NOTE = (
    'A value is {"amount", "unit", "source"}; "unknown" as an amount means that an input is missing, and a '
    "finding names which. Lengths are whole nanometres with mm and in beside them, pressures and forces have their "
    'SI value beside them. A finding has a key, an outcome ("met", "not met", "warning", "unknown"), what was found, '
    "the limit, and the source of the limit. Nothing outside a printed table is extrapolated: it is refused by name."
)


def _inputs(cls: type[Inputs]) -> dict[str, Any]:
    return {name: _explained(spec, default) for name, spec, default in specs(cls)}


def _explained(spec: Spec, default: object) -> dict[str, Any]:
    shown: dict[str, Any] = {
        "kind": f"list of {spec.kind}s" if spec.many else spec.kind,
        "meaning": spec.help,
    }
    if spec.kind == "length":
        shown["unit"] = "text with unit"
    elif spec.kind in UNITS or spec.kind == "temperature":
        shown["unit"] = kept_unit(spec.kind)
        shown["other units"] = list(UNITS.get(spec.kind, {"C": 1, "F": 1, "K": 1}))
    if spec.choices:
        shown["choices"] = list(spec.choices)
    for name, limit in (("at least", spec.low), ("at most", spec.high)):
        if limit is not None:
            shown[name] = _limit(spec, limit)
    if default is MISSING:
        shown["needed"] = True
    elif default is None:
        shown["may be unknown"] = True
    else:
        shown["default"] = _default(spec, default)
    if spec.of is not None:
        shown["fields"] = _inputs(spec.of)
    return shown


def _default(spec: Spec, default: Any) -> Any:
    if isinstance(default, tuple) and spec.kind == "length":
        return [_limit(spec, each) for each in default]
    return _limit(spec, default) if isinstance(default, int | Fraction) else as_json(default)


def _limit(spec: Spec, limit: Any) -> Any:
    if spec.kind == "length" and not isinstance(limit, bool):
        return f"{float(Fraction(limit) / 25_400_000):g} in"
    return as_json(limit)


def _paragraphs(text: str | None) -> str:
    return " ".join((text or "").split())


def _calculation(name: str, module: ModuleType, inputs: type[Inputs], result: type) -> Calculation:
    return Calculation(name, module, inputs, result, module.calculate, module.SOURCES, module.EXAMPLE)


CALCULATIONS: Mapping[str, Calculation] = {
    calculation.name: calculation
    for calculation in (
        _calculation("brackets", brackets, brackets.BracketInputs, brackets.BracketResult),
        _calculation("backing", backing, backing.BackingInputs, backing.BackingResult),
        _calculation(
            "hoistway_survey", hoistway_survey, hoistway_survey.SurveyInputs, hoistway_survey.SurveyResult
        ),
        _calculation(
            "machine_room", machine_room, machine_room.MachineRoomInputs, machine_room.MachineRoomResult
        ),
        _calculation("electrical", electrical, electrical.ElectricalInputs, electrical.ElectricalResult),
        _calculation("concrete", concrete, concrete.ConcreteInputs, concrete.ConcreteResult),
        _calculation("alarm", alarm, alarm.AlarmInputs, alarm.AlarmResult),
        _calculation("hydraulics", hydraulics, hydraulics.HydraulicInputs, hydraulics.HydraulicResult),
        _calculation("enclosure", enclosure, enclosure.EnclosureInputs, enclosure.EnclosureResult),
        _calculation(
            "accessibility",
            accessibility,
            accessibility.AccessibilityInputs,
            accessibility.AccessibilityResult,
        ),
        _calculation("pit", pit, pit.PitInputs, pit.PitResult),
    )
}
