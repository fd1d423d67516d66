# ruff: noqa: RUF009 (declare() makes a dataclass field)
"""Inputs of the enclosure calculation. Lengths in nanometres."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from coordination.siteprep.calculations.code_sets import declare_code_set
from coordination.siteprep.calculations.inputs import Inputs, Problem, declare
from coordination.siteprep.calculations.values import feet, inches


@dataclass(frozen=True, kw_only=True)
class Opening(Inputs):
    """An opening in a wall face."""

    name: str = declare("text", "what it is")
    width: int = declare("length", "its width", low=1)
    height: int = declare("length", "its height", low=1)
    x: int | None = declare("length", "its left end from the left end of the face", unknown=True, low=0)
    y: int | None = declare("length", "its lower end above the lower end of the face", unknown=True, low=0)


@dataclass(frozen=True, kw_only=True)
class Face(Inputs):
    """One side of one wall that gets board."""

    name: str = declare("text", 'which face, such as "rail wall, hoistway side"')
    width: int = declare("length", "its width", low=inches(1), high=feet(60))
    height: int = declare("length", "its height", low=inches(1), high=feet(100))
    landing_wall: bool = declare("flag", "landing doors are in this wall", default=False)
    layers: int | None = declare(
        "integer", "layers of board; by the rating if not given", unknown=True, low=1, high=4
    )
    openings: tuple[Opening, ...] = declare("record", "openings in it", default=(), many=True, of=Opening)

    def cross_check(self) -> Iterator[Problem]:
        """Openings lie on the face."""
        for number, opening in enumerate(self.openings):
            too_wide = (opening.x or 0) + opening.width > self.width
            too_high = (opening.y or 0) + opening.height > self.height
            if too_wide or too_high:
                yield Problem(
                    f"openings[{number}]", "reaches past the face", "give sizes and places within it"
                )


@dataclass(frozen=True, kw_only=True)
class Firestop(Inputs):
    """A penetration of a rated wall, or a rated joint."""

    name: str = declare("text", "what passes, or which joint")
    kind: str = declare(
        "choice",
        "penetration or kind of joint",
        choices=("penetration", "head of wall", "floor line", "door-frame annulus"),
    )
    serves_lift: bool | None = declare("flag", "penetration: it serves the lift", unknown=True)
    listing: str | None = declare("text", "number of the listed system", unknown=True)
    rating: Fraction | None = declare("duration", "its F-rating", unknown=True, low=0, high=4)
    seen_before_cover: bool | None = declare("flag", "it was seen before anything covered it", unknown=True)


@dataclass(frozen=True, kw_only=True)
class EnclosureInputs(Inputs):
    """Storeys, rating, faces, firestops; drying only for compound."""

    code_set: str = declare_code_set()
    storeys: int | None = declare(
        "integer", "storeys connected, basements counted", unknown=True, low=1, high=20
    )
    floor_ratings: tuple[Fraction, ...] | None = declare(
        "duration",
        "ratings of the floors penetrated (empty list: none rated)",
        unknown=True,
        many=True,
        low=0,
        high=4,
    )
    authority_rating: Fraction | None = declare(
        "duration", "rating the authority has named, which overrides", unknown=True, low=0, high=4
    )
    faces: tuple[Face, ...] = declare("record", "faces that get board", default=(), many=True, of=Face)
    board_width: int = declare("length", "width of a board", default=feet(4), low=inches(12), high=feet(5))
    board_length: int = declare(
        "length", "length of a board, hung upright", default=feet(8), low=feet(2), high=feet(16)
    )
    spare: Fraction = declare("percent", "boards to add for waste", default=Fraction(10), low=0, high=50)
    firestops: tuple[Firestop, ...] = declare(
        "record", "penetrations and rated joints", default=(), many=True, of=Firestop
    )
    board_inspected_before_tape: bool | None = declare(
        "flag", "the board was inspected before joints and fasteners were taped", unknown=True
    )
    humidity: Fraction | None = declare(
        "percent", "relative humidity where compound dries", unknown=True, low=0, high=100
    )
    temperature: Fraction | None = declare("temperature", "temperature there", unknown=True, low=-40, high=60)
    hours_warm_before: Fraction | None = declare(
        "duration", "how long it has been at least 50 F there", unknown=True, low=0
    )
