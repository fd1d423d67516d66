"""A series of readings as the inputs of a calculation: a plumb survey, and temperatures of a slab over days.

Lengths are nanometres, temperatures degrees Celsius. What comes out is what the calculation reads from JSON.
"""

from collections.abc import Mapping
from datetime import datetime
from itertools import pairwise
from typing import Any

from coordination.siteprep.curing import REFERENCE
from coordination.siteprep.fact_types import Facts
from coordination.siteprep.lengths import exact_length
from coordination.siteprep.series import Cell, Number

# Column of a plumb survey -> the line measured from and the wall measured to.
MEASURED = {
    "left-a": ("A", "left"),
    "front-a": ("A", "front"),
    "rear-a": ("A", "rear"),
    "front-b": ("B", "front"),
    "rear-b": ("B", "rear"),
    "right-b": ("B", "right"),
}
BETWEEN_LINES = "a-to-b"


class TooLittleRead(ValueError):
    """The series lacks a reading without which nothing can be calculated; ``missing`` is a key."""

    def __init__(self, missing: str) -> None:
        super().__init__(missing)
        self.missing = missing


def survey_inputs(
    values: Mapping[Cell, Number],
    levels: Mapping[str, str],
    facts: Facts,
    *,
    boarded: bool = False,
    plumb_limit: Number | None = None,
) -> dict[str, Any]:
    """The inputs of the hoistway survey. The point between the two lines is the origin, x to the right, y to the rear.

    ``levels`` are the words for each row. The lines are taken as far apart as the least reading between them, so that
    no width is found that is not there. Raises TooLittleRead without it, or with fewer than two readings to walls.
    """
    between = [int(value) for (_row, column), value in values.items() if column == BETWEEN_LINES]
    if not between:
        raise TooLittleRead("line A to line B")
    apart = min(between)
    readings = [
        {
            "level": levels.get(row, row),
            "line": MEASURED[column][0],
            "wall": MEASURED[column][1],
            "distance": exact_length(int(value)),
        }
        for (row, column), value in values.items()
        if column in MEASURED
    ]
    if len(readings) < 2:
        raise TooLittleRead("readings to the walls")
    lines = (("A", -(apart // 2)), ("B", apart - apart // 2))
    return {
        "stage": "after board" if boarded else "open framing",
        "lines": [{"name": name, "x": exact_length(x), "y": exact_length(0)} for name, x in lines],
        "readings": readings,
        **_length("envelope_width", facts.value("lift.hoistway_width")),
        **_length("envelope_depth", facts.value("lift.hoistway_depth")),
        **_length("plumb_limit", plumb_limit),
    }


def _length(key: str, value: object) -> dict[str, str]:
    return {key: exact_length(int(value))} if isinstance(value, int | float) else {}


def maturity_inputs(values: Mapping[Cell, Number], facts: Facts) -> dict[str, Any]:
    """The inputs of the strength of concrete by Nurse-Saul.

    Rows are moments like 2026-03-02T07:00. Of several probes the coldest counts; between two readings their mean;
    nothing is counted before the first one. Raises TooLittleRead with fewer than two moments.

    Source: ASTM C1074, temperature-time factor over intervals at the mean temperature of each.
    """
    coldest: dict[str, float] = {}
    for (moment, _probe), value in values.items():
        coldest[moment] = min(float(value), coldest.get(moment, float(value)))
    moments = sorted(coldest)
    if len(moments) < 2:
        raise TooLittleRead("two moments")
    history = [
        {"hours": f"{_hours(one, other):g} h", "temperature": f"{(coldest[one] + coldest[other]) / 2:.6g} C"}
        for one, other in pairwise(moments)
    ]
    return {
        "cement": str(facts.reckoned("pit.cement")),
        "method": "Nurse-Saul",
        "datum": f"{facts.reckoned('pit.maturity_datum')} C",
        "reference": f"{REFERENCE} C",
        "pour_date": moments[0][:10],
        "history": history,
        "expected_temperature": f"{coldest[moments[-1]]:.6g} C",
        **_strength(facts),
    }


def _hours(one: str, other: str) -> float:
    return (datetime.fromisoformat(other) - datetime.fromisoformat(one)).total_seconds() / 3600


def _strength(facts: Facts) -> dict[str, str]:
    """Specified and needed strength, where the job states them."""
    specified, needed = facts.value("pit.strength_specified"), facts.value("pit.strength_needed")
    if not isinstance(specified, int | float):
        return {}
    told = {"design_strength": f"{specified:.6g} psi"}
    if isinstance(needed, int | float) and needed <= specified:
        told["needed_fraction"] = f"{100 * needed / specified:.6g} %"
    return told
