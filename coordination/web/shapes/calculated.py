"""A calculation carried out: what was put in, what came out, in words and drawings."""

import json
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from coordination.web.forms.calculations import CalculationForm, Part
from coordination.web.shapes.calculation_pictures import Picture, pictures_of
from coordination.web.shapes.calculation_results import Shown, Writer, shown


@dataclass(frozen=True)
class Calculated:
    """``given`` is the whole input as JSON text: what carries it to the next page."""

    shown: Shown
    pictures: tuple[Picture, ...]
    inputs: dict[str, Any]
    given: str


def calculated(form: CalculationForm) -> Calculated:
    """Calculate with what was typed. Raises InputErrors, OutOfTable."""
    calculation, given = form.calculation, form.given()
    inputs = calculation.read(given)
    result = calculation.calculate(inputs)
    writer = Writer(calculation, form.system, form.code_set)
    words = shown(result, writer)
    return Calculated(
        words,
        pictures_of(inputs, result, writer),
        inputs_table(form),
        json.dumps(given, sort_keys=True, ensure_ascii=False),
    )


def inputs_table(form: CalculationForm) -> dict[str, Any]:
    """What was put in, as typed, for components/table.html. What was left empty says so only where it counts."""
    rows = [line for part in form.parts for line in _lines(part, "")]
    if form.length_unit:
        rows.append([_("Plain numbers are lengths in"), form.length_unit])
    return {"caption": _("What was put in"), "columns": [_("input"), _("as typed")], "rows": rows}


def _lines(part: Part, before: str) -> list[list[str]]:
    label = f"{before}{part.label}"
    if part.kind == "rows":
        found = []
        for row in part.rows:
            name, rest = _row(row)
            found.append([f"{label}: {name}", rest])
        return found or ([[label, _("none")]] if part.ticked else [])
    if part.kind == "group":
        return [line for inner in part.parts for line in _lines(inner, f"{label}: ")]
    value = value_words(part)
    return [[label, value]] if value else []


def _row(row: Part) -> tuple[str, str]:
    """A row by its name, or by its number; and everything else in it."""
    named = next((part for part in row.parts if part.name.endswith(".name") and part.value), None)
    rest = [line for part in row.parts if part is not named for line in _lines(part, "")]
    return (named.value if named else row.label), "; ".join(f"{label} {value}" for label, value in rest)


def value_words(part: Part) -> str:
    """What was typed or chosen; empty where nothing was."""
    if part.ticked:
        return _("none")
    if part.choices:
        return ", ".join(words for value, words, chosen in part.choices if chosen and value)
    return ", ".join(line.strip() for line in part.value.splitlines() if line.strip())
