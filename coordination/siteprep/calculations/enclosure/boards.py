"""Boards on a wall face, by area and by layout. Nanometres."""

from fractions import Fraction
from math import ceil

from coordination.siteprep.calculations.enclosure.inputs import Face


def net_area(face: Face) -> int:
    """Area of the face less its openings, in square nanometres."""
    return face.width * face.height - sum(opening.width * opening.height for opening in face.openings)


def boards_by_area(face: Face, width: int, length: int) -> int:
    """Boards whose area covers one layer of the face less its openings: a number no layout can go under."""
    return ceil(Fraction(net_area(face), width * length))


def boards_by_layout(face: Face, width: int, length: int) -> int:
    """Boards of one layer hung upright from the lower left corner, offcuts not used again.

    A board that would lie wholly inside one opening, whose place is given, is left out.
    """
    columns, rows = ceil(Fraction(face.width, width)), ceil(Fraction(face.height, length))
    return sum(
        not _inside_an_opening(face, column * width, row * length, width, length)
        for column in range(columns)
        for row in range(rows)
    )


def _inside_an_opening(face: Face, x: int, y: int, width: int, length: int) -> bool:
    right, top = min(x + width, face.width), min(y + length, face.height)
    return any(
        o.x is not None
        and o.y is not None
        and o.x <= x
        and right <= o.x + o.width
        and o.y <= y
        and top <= o.y + o.height
        for o in face.openings
    )
