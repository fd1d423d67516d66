"""Hoistway enclosure: rating, boards per face, when each face closes, firestops, drying of compound.

Lengths in nanometres, areas in square feet, ratings and drying in hours. The rating here is a planning
value; the building official's word and the listing used govern.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from coordination.siteprep.calculations.code_sets import NO_EN_VALUE, no_en_value
from coordination.siteprep.calculations.enclosure.boards import boards_by_area, boards_by_layout, net_area
from coordination.siteprep.calculations.enclosure.drying import DRYING, drying_hours
from coordination.siteprep.calculations.enclosure.inputs import EnclosureInputs, Face, Firestop, Opening
from coordination.siteprep.calculations.values import (
    NANOMETRES_PER_FOOT,
    Finding,
    Source,
    Value,
    at_least,
    holds,
)

__all__ = [
    "EXAMPLE",
    "SOURCES",
    "EnclosureInputs",
    "EnclosureResult",
    "Face",
    "Firestop",
    "Opening",
    "calculate",
    "drying_hours",
    "shaft_rating",
]

IBC = "IBC"
RATING = Source(IBC, "713.4, 3002.1", "code", "building")
AUTHORITY = Source("answer of the building official", "", "drawing", "building")
DOOR_RATING = Source(IBC, "table 716.1(2)", "memory", "building")
LAYERS = Source(
    "tested shaft walls (1 in liner, CH studs, 5/8 in type X)",
    "one layer for 1 h, two for 2 h; record the listing",
    "memory",
    "building",
)
GIVEN = Source("this job's input", "", "drawing", "drywall")
CLOSING = Source(
    "common practice, no source",
    "landing walls close after the doors are hung and aligned",
    "practice",
    "lift crew",
)
INSPECTION = Source(
    "IBC 2021",
    "110.3.6; IRC R109.1.5.1: board inspected before joints and fasteners are taped",
    "code",
    "building",
)
CONCEALMENT = Source(IBC, "110.3.4 and 110.3.5; IRC R109", "code", "building")
FIRESTOP = Source(IBC, "714.4, F-rating not below the wall's (ASTM E814, UL 1479)", "memory", "building")
FOREIGN = Source(IBC, "713 and 3002.9, only what serves the lift", "memory", "building")
WARMTH = Source(
    "a compound maker's guide", "at least 50 F for 48 h before and until dry", "practice", "drywall"
)
LEAST_WARMTH = Fraction(10)


@dataclass(frozen=True, slots=True)
class FaceResult:
    """One face: net area, layers, boards per layer by area and by layout, boards to order, when it closes.

    ``closes`` is "before the doors" or "after the doors".
    """

    name: str
    net_area: Value
    layers: Value
    boards_by_area: Value
    boards_per_layer: Value
    boards_to_order: Value
    closes: str


@dataclass(frozen=True, slots=True)
class EnclosureResult:
    """Rating of shaft and doors, faces, drying time per coat, findings."""

    rating: Value
    door_rating: Value
    faces: tuple[FaceResult, ...]
    boards_to_order: Value
    drying: Value
    findings: tuple[Finding, ...]


def calculate(inputs: EnclosureInputs) -> EnclosureResult:
    """Rate the shaft, count boards, order the closing, and check firestops and inspections.

    The authority's rating overrides. Raises OutOfTable for drying outside its (placeholder) table.

    Source: IBC 713.4, 714.4, 110.3; common practice for the order of closing.
    """
    rating = shaft_rating(inputs)
    faces = tuple(_face(inputs, face, rating) for face in inputs.faces)
    orders = [face.boards_to_order.amount for face in faces]
    whole = None if None in orders else sum(int(order or 0) for order in orders)
    dry = Value(None, "h", DRYING)
    if inputs.humidity is not None and inputs.temperature is not None:
        dry = drying_hours(inputs.humidity, inputs.temperature)
    return EnclosureResult(
        rating,
        _door_rating(rating),
        faces,
        Value(whole, "count", GIVEN),
        dry,
        tuple(_findings(inputs, rating)),
    )


def shaft_rating(inputs: EnclosureInputs) -> Value:
    """Hours: 2 from four storeys, else 1; not less than the floors penetrated, not more than 2.

    Unknown while storeys or floor ratings are, except where neither could change the answer.

    Source: IBC 713.4 and 3002.1.
    """
    if inputs.authority_rating is not None:
        return Value(inputs.authority_rating, "h", AUTHORITY)
    floors = inputs.floor_ratings
    by_floors = max(floors, default=Fraction(0)) if floors is not None else Fraction(0)
    by_storeys = Fraction(2 if inputs.storeys is not None and inputs.storeys >= 4 else 1)
    if min(Fraction(2), max(by_floors, by_storeys)) == 2:
        return Value(Fraction(2), "h", RATING)
    if inputs.storeys is None or floors is None or inputs.storeys < 2:
        return Value(None, "h", RATING)
    return Value(max(by_floors, by_storeys), "h", RATING)


def _door_rating(rating: Value) -> Value:
    """Hoistway door: 1 h for a 1 h shaft, 1 1/2 h for 2 h; other ratings are not in the table here."""
    hours = {Fraction(1): Fraction(1), Fraction(2): Fraction(3, 2)}
    known = None if rating.amount is None else hours.get(Fraction(rating.amount))
    return Value(known, "h", DOOR_RATING)


def _layers(face: Face, rating: Value) -> Value:
    if face.layers is not None:
        return Value(face.layers, "count", GIVEN)
    if rating.amount is None:
        return Value(None, "count", LAYERS)
    return Value(2 if Fraction(rating.amount) > 1 else 1, "count", LAYERS)


def _face(inputs: EnclosureInputs, face: Face, rating: Value) -> FaceResult:
    layers = _layers(face, rating)
    per_layer = boards_by_layout(face, inputs.board_width, inputs.board_length)
    order = None
    if layers.amount is not None:
        order = ceil(per_layer * int(layers.amount) * (1 + inputs.spare / 100))
    return FaceResult(
        face.name,
        Value(Fraction(net_area(face), NANOMETRES_PER_FOOT**2), "ft2", GIVEN),
        layers,
        Value(boards_by_area(face, inputs.board_width, inputs.board_length), "count", GIVEN),
        Value(per_layer, "count", GIVEN),
        Value(order, "count", GIVEN),
        "after the doors" if face.landing_wall else "before the doors",
    )


def _findings(inputs: EnclosureInputs, rating: Value) -> Iterator[Finding]:
    yield from no_en_value(inputs.code_set, "building")
    if rating.amount is None:
        missing = tuple(n for n in ("storeys", "floor_ratings") if getattr(inputs, n) is None)
        yield Finding("rating of the shaft", "unknown", RATING, missing=missing or ("authority_rating",))
    if inputs.storeys == 2 and inputs.authority_rating is None:
        yield Finding(
            "two storeys are read differently by officials", "warning", RATING, missing=("authority_rating",)
        )
    yield holds(
        "board inspected before tape",
        inputs.board_inspected_before_tape,
        INSPECTION,
        missing="board_inspected_before_tape",
    )
    for stop in inputs.firestops:
        yield from _firestop_findings(stop, rating)
    yield from _warmth_findings(inputs)


def _firestop_findings(stop: Firestop, rating: Value) -> Iterator[Finding]:
    yield holds(
        "listing recorded", True if stop.listing else None, FIRESTOP, missing="listing", subject=stop.name
    )
    if rating.amount is None:
        yield Finding(
            "rating of the firestop", "unknown", FIRESTOP, stop.name, stop.rating, None, "h", ("storeys",)
        )
    else:
        yield at_least(
            "rating of the firestop",
            stop.rating,
            rating.amount,
            "h",
            FIRESTOP,
            missing="rating",
            subject=stop.name,
        )
    yield holds(
        "seen before cover",
        stop.seen_before_cover,
        CONCEALMENT,
        missing="seen_before_cover",
        subject=stop.name,
    )
    if stop.kind == "penetration":
        yield holds("serves the lift", stop.serves_lift, FOREIGN, missing="serves_lift", subject=stop.name)


def _warmth_findings(inputs: EnclosureInputs) -> Iterator[Finding]:
    if inputs.temperature is None and inputs.humidity is None:
        return
    yield at_least(
        "warm enough for compound",
        inputs.temperature,
        LEAST_WARMTH,
        "degree C",
        WARMTH,
        missing="temperature",
    )
    yield at_least(
        "warm for 48 h before",
        inputs.hours_warm_before,
        Fraction(48),
        "h",
        WARMTH,
        missing="hours_warm_before",
    )


SOURCES = (
    NO_EN_VALUE["building"],
    RATING, AUTHORITY, DOOR_RATING, LAYERS, GIVEN, CLOSING, INSPECTION, CONCEALMENT, FIRESTOP, FOREIGN, WARMTH, DRYING,
)  # fmt: skip
EXAMPLE = {
    "storeys": 3,
    "floor_ratings": [1],
    "faces": [
        {"name": "rail wall, hoistway side", "width": "5 ft", "height": "34 ft"},
        {
            "name": "landing 1 wall, lobby side",
            "width": "6 ft",
            "height": "10 ft",
            "landing_wall": True,
            "openings": [{"name": "door", "width": "38 in", "height": "83 in", "x": "17 in", "y": 0}],
        },
    ],
    "board_length": "10 ft",
    "firestops": [
        {
            "name": "hydraulic line",
            "kind": "penetration",
            "serves_lift": True,
            "listing": "unknown",
            "rating": 1,
        }
    ],
    "board_inspected_before_tape": True,
    "humidity": "50 %",
    "temperature": "70 F",
    "hours_warm_before": "48 h",
}
