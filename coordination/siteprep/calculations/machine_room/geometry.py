"""Rectangles and door swings on a plan, exact in whole nanometres. x runs east, y runs north."""

from dataclasses import dataclass
from itertools import pairwise

from coordination.siteprep.calculations.values import Nanometres

SIDES = ("north", "east", "south", "west")


@dataclass(frozen=True, slots=True)
class Rectangle:
    """An axis-parallel rectangle from its west-south corner (``x``, ``y``) to its east-north corner."""

    x: Nanometres
    y: Nanometres
    east: Nanometres
    north: Nanometres

    def overlaps(self, other: "Rectangle") -> bool:
        """Whether both share area; touching edges do not overlap."""
        return self.x < other.east and other.x < self.east and self.y < other.north and other.y < self.north

    def inside(self, other: "Rectangle") -> bool:
        """Whether it lies in ``other``, edges included."""
        return (
            other.x <= self.x and self.east <= other.east and other.y <= self.y and self.north <= other.north
        )

    def along(self, side: str) -> tuple[int, int]:
        """Its extent along a front that faces ``side``."""
        return (self.x, self.east) if side in {"north", "south"} else (self.y, self.north)

    def before(self, side: str, depth: int, along: tuple[int, int]) -> "Rectangle":
        """The rectangle of ``depth`` in front of its ``side`` with the given extent along it."""
        low, high = along
        return {
            "north": Rectangle(low, self.north, high, self.north + depth),
            "south": Rectangle(low, self.y - depth, high, self.y),
            "east": Rectangle(self.east, low, self.east + depth, high),
            "west": Rectangle(self.x - depth, low, self.x, high),
        }[side]


@dataclass(frozen=True, slots=True)
class Swing:
    """A quarter disc swept by a door leaf: hinge, radius, and the directions of its two straight edges."""

    hinge_x: Nanometres
    hinge_y: Nanometres
    radius: Nanometres
    toward_x: int
    toward_y: int

    def square(self) -> Rectangle:
        """The square around the quarter disc."""
        x, y = self.hinge_x + self.toward_x * self.radius, self.hinge_y + self.toward_y * self.radius
        return Rectangle(
            min(x, self.hinge_x), min(y, self.hinge_y), max(x, self.hinge_x), max(y, self.hinge_y)
        )

    def overlaps(self, rectangle: Rectangle) -> bool:
        """Whether the leaf sweeps through area of ``rectangle``; touching is clear. Exact."""
        square = self.square()
        if not square.overlaps(rectangle):
            return False
        near_x = max(rectangle.x, square.x) if self.toward_x > 0 else min(rectangle.east, square.east)
        near_y = max(rectangle.y, square.y) if self.toward_y > 0 else min(rectangle.north, square.north)
        return (near_x - self.hinge_x) ** 2 + (near_y - self.hinge_y) ** 2 < self.radius**2


def reachable(
    room: Rectangle, bodies: list[Rectangle], width: int, start: Rectangle, goals: list[Rectangle]
) -> list[bool]:
    """For each goal: whether a square of ``width`` can move from ``start`` until its centre lies in the goal.

    The square moves freely inside ``room`` without overlapping ``bodies``; ``start`` holds the
    centres it may begin at. Exact: the free centres are split at every coordinate where anything
    changes, lines between touching cells included.
    """
    half, rest = width // 2, width - width // 2
    free = Rectangle(room.x + half, room.y + half, room.east - rest, room.north - rest)
    grown = [Rectangle(b.x - rest, b.y - rest, b.east + half, b.north + half) for b in bodies]
    marks = [free, start, *grown, *goals]
    xs = _cells(sorted({v for r in marks for v in (r.x, r.east) if free.x <= v <= free.east}))
    ys = _cells(sorted({v for r in marks for v in (r.y, r.north) if free.y <= v <= free.north}))
    open_cells = {
        (i, j)
        for i, x in enumerate(xs)
        for j, y in enumerate(ys)
        if not any(2 * g.x < x < 2 * g.east and 2 * g.y < y < 2 * g.north for g in grown)
    }
    visited = _flood({cell for cell in open_cells if _holds(start, xs[cell[0]], ys[cell[1]])}, open_cells)
    return [any(_holds(goal, xs[i], ys[j]) for i, j in visited) for goal in goals]


def _cells(values: list[int]) -> list[int]:
    """Twice the coordinates of every value and of every middle between two values, in order."""
    return sorted([2 * value for value in values] + [a + b for a, b in pairwise(values)])


def _holds(rectangle: Rectangle, twice_x: int, twice_y: int) -> bool:
    return (
        2 * rectangle.x <= twice_x <= 2 * rectangle.east and 2 * rectangle.y <= twice_y <= 2 * rectangle.north
    )


def _flood(begin: set[tuple[int, int]], cells: set[tuple[int, int]]) -> set[tuple[int, int]]:
    visited, waiting = set(begin), list(begin)
    while waiting:
        i, j = waiting.pop()
        for cell in ((i + 1, j), (i - 1, j), (i, j + 1), (i, j - 1)):
            if cell in cells and cell not in visited:
                visited.add(cell)
                waiting.append(cell)
    return visited
