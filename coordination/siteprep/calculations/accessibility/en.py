"""Car, door, gap and stopping under the EN set, and the load of an enclosed platform. Millimetres as nanometres."""

from collections.abc import Iterator
from fractions import Fraction

from coordination.siteprep.calculations.accessibility.inputs import AccessibilityInputs
from coordination.siteprep.calculations.values import Finding, Source, at_least, at_most, millimetres

CAR = Source("EN 81-70", "accessible car types 1 to 3", "memory", "elevator")
DOOR = Source("EN 81-70", "door at least 800 mm, 900 mm preferred", "memory", "elevator")
GAP = Source("EN 81-20", "car to landing sill at most 35 mm", "memory", "elevator")
STOPPING = Source("EN 81-20", "stopping within 10 mm; re-levelling within 20 mm", "memory", "elevator")
PLATFORM_LOAD = Source("EN 81-41", "250 kg for each square metre, at most 500 kg", "memory", "elevator")
SOURCES = (CAR, DOOR, GAP, STOPPING, PLATFORM_LOAD)

CAR_TYPES = {"type 1": (1000, 1300), "type 2": (1100, 1400), "type 3": (1100, 2100)}
POUND_IN_KILOGRAM = Fraction("0.45359237")
LOAD_PER_SQUARE_METRE, MOST_LOAD = 250, 500


def car_type(width: int | None, depth: int | None) -> str | None:
    """The largest car type that a car of this width and depth holds; None where it holds none or a side is unknown."""
    if width is None or depth is None:
        return None
    held = [
        name
        for name, (wide, deep) in CAR_TYPES.items()
        if width >= millimetres(wide) and depth >= millimetres(deep)
    ]
    return held[-1] if held else None


def findings(inputs: AccessibilityInputs) -> Iterator[Finding]:
    """Checks of the EN set; an enclosed platform by its load, another lift by its car."""
    least = {
        "car width": ("car_width", 1000, CAR),
        "car depth": ("car_depth", 1300, CAR),
        "door clear width": ("door_clear_width", 800, DOOR),
    }
    for key, (name, size, source) in least.items():
        yield at_least(key, getattr(inputs, name), millimetres(size), "length", source, missing=name)
    if inputs.door_clear_width is not None and millimetres(800) <= inputs.door_clear_width < millimetres(900):
        yield Finding(
            "door under the width preferred",
            "warning",
            DOOR,
            "",
            inputs.door_clear_width,
            millimetres(900),
            "length",
        )
    yield at_most("sill gap", inputs.sill_gap, millimetres(35), "length", GAP, missing="sill_gap")
    yield at_most("levelling", inputs.levelling, millimetres(10), "length", STOPPING, missing="levelling")
    if inputs.lift_class == "enclosed platform":
        yield from _platform_load(inputs)


def platform_load(area_square_metres: Fraction) -> Fraction:
    """Least rated load of an enclosed platform in pounds, for its area in square metres."""
    return LOAD_PER_SQUARE_METRE * area_square_metres / POUND_IN_KILOGRAM


def _platform_load(inputs: AccessibilityInputs) -> Iterator[Finding]:
    if inputs.car_width is None or inputs.car_depth is None:
        return
    area = Fraction(inputs.car_width * inputs.car_depth, 10**18)
    yield at_least(
        "rated load", inputs.rated_load, platform_load(area), "lb", PLATFORM_LOAD, missing="rated_load"
    )
    most = MOST_LOAD / POUND_IN_KILOGRAM
    yield at_most("class load", inputs.rated_load, most, "lb", PLATFORM_LOAD, missing="rated_load")
