"""Clear working space in front of live parts, NEC (NFPA 70) 110.26(A). Lengths in nanometres."""

import math
from collections.abc import Mapping
from fractions import Fraction

from coordination.siteprep.calculations.values import OutOfTable, Source, Value, feet, inches, millimetres

DEPTH = Source("NEC (NFPA 70)", "110.26(A)(1), table", "code")
DEPTH_TO_1000_VOLTS = Source("NEC (NFPA 70)", "110.26(A)(1), table, row 601-1000 V", "memory", "electrical")
WIDTH = Source("NEC (NFPA 70)", "110.26(A)(2)", "memory", "electrical")
HEIGHT = Source("NEC (NFPA 70)", "110.26(A)(3)", "memory", "electrical")
TO_GROUND = Source("NEC (NFPA 70)", "article 100, voltage to ground", "memory", "electrical")

EN_SPACE = Source(
    "EN 81-20",
    "5.2.6.3.2.1, 0.70 m before a panel, 0.50 m or its width wide, 2.10 m high",
    "memory",
    "elevator",
)
EN_DEPTH, EN_LEAST_WIDTH, EN_LEAST_HEIGHT = millimetres(700), millimetres(500), millimetres(2100)
LEAST_WIDTH = inches(30)
LEAST_HEIGHT = inches(78)

DEPTHS: tuple[tuple[int, tuple[int, int, int], Source], ...] = (
    (150, (feet(3), feet(3), feet(3)), DEPTH),
    (600, (feet(3), feet("3.5"), feet(4)), DEPTH),
    (1000, (feet(3), feet(4), feet(5)), DEPTH_TO_1000_VOLTS),
)
CONDITIONS: Mapping[str, int] = {"nothing": 1, "grounded": 2, "live": 3}

GROUNDINGS = (
    "grounded wye",
    "grounded centre tap",
    "grounded two wire",
    "high leg delta",
    "corner grounded delta",
    "ungrounded",
)


def clear_depth(volts_to_ground: Fraction | float, condition: int) -> Value:
    """Least depth of working space before live parts.

    ``condition`` 1: nothing live or grounded opposite; 2: grounded parts opposite (concrete, brick
    and tile count as grounded); 3: live parts on both sides. A voltage exactly at the end of a row
    belongs to that row. Raises OutOfTable above 1000 V and for other conditions.

    Source: NEC 110.26(A)(1), table; row 601-1000 V from memory.
    """
    if condition not in (1, 2, 3):
        raise OutOfTable("NEC 110.26(A)(1)", f"condition {condition}", "conditions 1 to 3")
    if volts_to_ground >= 0:
        for highest, depths, source in DEPTHS:
            if volts_to_ground <= highest:
                return Value(depths[condition - 1], "length", source)
    raise OutOfTable("NEC 110.26(A)(1)", f"{float(volts_to_ground):g} V to ground", "0 to 1000 V to ground")


def clear_width(equipment_width: int) -> Value:
    """Least width of the space: 30 in or the equipment's width, whichever is larger."""
    return Value(max(LEAST_WIDTH, equipment_width), "length", WIDTH)


def clear_height(equipment_height: int) -> Value:
    """Least height of the space: 6 ft 6 in or the equipment's height, whichever is larger."""
    return Value(max(LEAST_HEIGHT, equipment_height), "length", HEIGHT)


def en_space(equipment_width: int, equipment_height: int) -> tuple[Value, Value, Value]:
    """Depth, width and height of the area before a panel under the EN set; volts make no difference there.

    Source: EN 81-20, 5.2.6.3.2.1, from memory.
    """
    wide, high = max(EN_LEAST_WIDTH, equipment_width), max(EN_LEAST_HEIGHT, equipment_height)
    return (
        Value(EN_DEPTH, "length", EN_SPACE),
        Value(wide, "length", EN_SPACE),
        Value(high, "length", EN_SPACE),
    )


def volts_to_ground(line_volts: Fraction | float, grounding: str) -> float:
    """Highest volts to ground of a supply, from its volts between lines.

    On an ungrounded supply it is the greatest voltage between any two lines (NEC article 100,
    from memory); a corner-grounded delta has full line voltage to ground. Raises OutOfTable for an
    unknown grounding.
    """
    line = float(line_volts)
    factors = {
        "grounded wye": 1 / math.sqrt(3),
        "grounded centre tap": 0.5,
        "grounded two wire": 1.0,
        "high leg delta": math.sqrt(3) / 2,
        "corner grounded delta": 1.0,
        "ungrounded": 1.0,
    }
    if grounding not in factors:
        raise OutOfTable("grounding of the supply", grounding, ", ".join(GROUNDINGS))
    return line * factors[grounding]
