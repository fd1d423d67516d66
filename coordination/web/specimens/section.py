"""A made-up building, to show the drawing component with a real drawing."""

from coordination.pictures.hoistway import Appearance, hoistway_section
from coordination.pictures.section import (
    FOOT,
    INCH,
    Landing,
    MachineRoom,
    Opening,
    Place,
    Plate,
    Rails,
    Section,
    SectionWords,
    Shaft,
    Sump,
    TitleBlock,
)

NAMES = {
    "pit depth": "pit depth",
    "hoistway depth": "hoistway depth",
    "travel": "travel",
    "overhead": "overhead",
    "story": "story",
    "sill": "sill",
    "opening": "opening",
    "lintel": "lintel",
    "sill backing": "sill backing",
    "bracket": "bracket",
    "rail gauge": "rail gauge",
    "backing": "backing",
    "sump offset": "sump offset",
    "sump width": "sump width",
    "sump depth": "sump depth",
    "plate width": "plate width",
    "room height": "room height",
    "room depth": "room depth",
    "route height": "route height",
    "route length": "route length",
}
PLACES = (
    Place(
        "hoistway-top", "hoistway top", "Hoistway top", "question open", "question open", "sprinkler here?"
    ),
    Place("landing-2", "landing", "Landing 2", "held", "held", "opening guarded", landing="2"),
    Place("rail-wall", "rail wall", "Rail wall", "offered", "offered to you", "backing, 5 views"),
    Place("landing-1", "landing", "Landing 1", "accepted", "accepted", "doors hung 3 March", landing="1"),
    Place("pit", "pit", "Pit", "done", "done", "poured 12 February"),
    Place("machine-room", "machine room", "Machine room", "refused", "refused", "auxiliary contact not seen"),
)


def drawing(variant: str = "sheet") -> str:
    """The drawing, as the pages get it."""
    return hoistway_section(_section(), Appearance(variant, "specimen"))  # type: ignore[arg-type]


def _section() -> Section:
    door = (Opening("front", 7 * FOOT),)
    return Section(
        words=SectionWords(
            "Hoistway section",
            "A made-up building with two landings.",
            "front",
            "rear",
            "bracket above pit floor",
            _feet,
            NAMES,
        ),
        title_block=TitleBlock(
            "Otter Bend rowing club, upper hall",
            "First sheet",
            ("next gate", "Ready for rails", "3 things missing"),
            ("visit 1", "Mon 23 March", "8 in 10; confirm by 11 March"),
            ("governs", "Drawing revision C", "of the elevator maker"),
            "Open hoistway: every opening guarded and owned. Ready is never permission to enter.",
        ),
        shaft=Shaft(5 * FOOT, -14 * INCH, 23 * FOOT, "wood stud", "wood stud"),
        landings=(Landing("1", "1", 0, door), Landing("2", "2", 12 * FOOT, door)),
        rails=Rails("side", tuple(range(-2 * INCH, 22 * FOOT, 66 * INCH)), 22 * FOOT),
        places=PLACES,
        machine_room=MachineRoom(0, 8 * FOOT, 8 * FOOT, 0, 3 * FOOT),
        sump=Sump(50 * INCH, 10 * INCH, 12 * INCH),
        plate=Plate(24 * INCH, 20 * INCH),
    )


def _feet(length: int) -> str:
    whole, inches = divmod(round(length / INCH), 12)
    return f"{whole}' {inches}\""
