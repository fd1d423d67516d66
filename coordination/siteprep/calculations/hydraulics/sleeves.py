"""Sleeves where a hydraulic line passes walls and floors. Lengths in nanometres."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from coordination.siteprep.calculations.hydraulics.inputs import HydraulicInputs, Segment
from coordination.siteprep.calculations.values import OutOfTable, Source, Value, inches

SLEEVE_PIPE = Source("ASME B36.10M", "inside diameters of schedule 40 steel pipe", "memory", "plumbing")
SLEEVE_RATED = Source(
    "IBC", "714.4, firestop system with an F-rating not below the wall's", "memory", "building"
)
SLEEVE_BURIED = Source("ASME A17.1/CSA B44", "3.19, buried supply line protected", "memory", "elevator")
SLEEVE_PLAIN = Source(
    "common practice, no source", "sleeve with clear space around the line", "practice", "lift crew"
)
SLEEVE_SIZES = (SLEEVE_PIPE, SLEEVE_RATED, SLEEVE_BURIED, SLEEVE_PLAIN)

INSIDE_SCHEDULE_40: Mapping[str, int] = {
    "1": inches("1.049"),
    "1 1/4": inches("1.380"),
    "1 1/2": inches("1.610"),
    "2": inches("2.067"),
    "2 1/2": inches("2.469"),
    "3": inches("3.068"),
    "3 1/2": inches("3.548"),
    "4": inches("4.026"),
    "6": inches("6.065"),
}


@dataclass(frozen=True, slots=True)
class Sleeve:
    """One sleeve: where, for what, the least inside diameter, and the pipe that gives it. ``source`` is why."""

    place: str
    serves: str
    through: str
    least_inside: Value
    pipe: Value
    source: Source


def pipe_for(least_inside: int) -> Value:
    """Smallest schedule 40 pipe with that inside diameter. Raises OutOfTable above 6 in.

    Source: ASME B36.10M, from memory.
    """
    for size, inside in INSIDE_SCHEDULE_40.items():
        if inside >= least_inside:
            return Value(size, "in pipe", SLEEVE_PIPE)
    raise OutOfTable(
        "ASME B36.10M, schedule 40", f"{least_inside / 25_400_000:g} in inside", "1 to 6 in pipe here"
    )


def sleeve_schedule(inputs: HydraulicInputs) -> tuple[Sleeve, ...]:
    """A sleeve for the line, and one for each control conduit, wherever the route passes something."""
    return tuple(
        sleeve
        for segment in inputs.route
        if segment.through != "open"
        for sleeve in _sleeves(inputs, segment)
    )


def _sleeves(inputs: HydraulicInputs, segment: Segment) -> Iterator[Sleeve]:
    why = {"rated wall": SLEEVE_RATED, "floor": SLEEVE_RATED, "underground": SLEEVE_BURIED}.get(
        segment.through, SLEEVE_PLAIN
    )
    served = {"hydraulic line": inputs.line_outside, "control conduit": segment.control_conduit}
    for serves, outside in served.items():
        if outside is None and serves == "control conduit":
            continue
        least = None if outside is None else outside + 2 * inputs.sleeve_clearance
        pipe = Value(None, "in pipe", SLEEVE_PIPE) if least is None else pipe_for(least)
        yield Sleeve(segment.name, serves, segment.through, Value(least, "length", SLEEVE_PLAIN), pipe, why)
