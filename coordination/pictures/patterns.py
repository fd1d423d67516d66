"""Hatches: one per state of work and one per building material.

Each tile is drawn without a transform, so that browsers and PDF renderers show the same. The states differ in
geometry, not only in ink: they stay apart in one colour, in print and for readers who see no colour.
"""

from collections.abc import Mapping
from typing import Final, Literal

from coordination.pictures.pen import Ink, Pen, element

State = Literal[
    "held", "ready", "at work", "offered", "refused", "accepted", "done", "question open", "no part"
]  # fmt: skip
STATES: Final[tuple[State, ...]] = (
    "held",
    "ready",
    "at work",
    "offered",
    "refused",
    "accepted",
    "done",
    "question open",
)
NO_PART: Final = "no part"  # no state of work: a place with which what the drawing is about has nothing to do
# How a place is outlined whose work is not to be seen yet: what waits, and what the drawing is not about.
OUTLINES: Final[Mapping[State, str]] = {"held": "4 3", NO_PART: "1 3"}
Material = Literal["wood stud", "steel stud", "block", "concrete", "unknown"]


def state_pattern(state: State) -> str:
    """Name of the hatch of a state, without the prefix of the drawing."""
    return f"state-{state.replace(' ', '-')}"


def material_pattern(material: Material) -> str:
    """Name of the hatch of a material, without the prefix of the drawing."""
    return f"material-{material.replace(' ', '-')}"


def definitions(pen: Pen) -> str:
    """All hatches as one ``defs`` element."""
    tiles = [_state_tile(pen, state) for state in (*STATES, NO_PART)]
    tiles += [
        _wood_stud(pen),
        _steel_stud(pen),
        _block(pen),
        _concrete(pen),
        _unknown(pen),
        _earth(pen),
        _grain(pen),
    ]
    return element("defs", *tiles)


def _tile(pen: Pen, name: str, width: float, height: float, *body: str) -> str:
    return element(
        "pattern", *body, id=f"{pen.prefix}-{name}", width=width, height=height, patternUnits="userSpaceOnUse"
    )


def _diagonal(pen: Pen, size: float, line: Ink, stroke: float, *, falling: bool = False) -> str:
    """A 45-degree line through a square tile, with the two corner pieces that make it continue seamlessly."""
    reach = 3.0
    if falling:
        starts = ((0.0, 0.0, size), (-reach, size - reach, 2 * reach), (size - reach, -reach, 2 * reach))
        pieces = [((x, y), (x + run, y + run)) for x, y, run in starts]
    else:
        starts = ((0.0, size, size), (-reach, reach, 2 * reach), (size - reach, size + reach, 2 * reach))
        pieces = [((x, y), (x + run, y - run)) for x, y, run in starts]
    return "".join(pen.stroke(*piece, line=line, stroke_width=stroke) for piece in pieces)


def _state_tile(pen: Pen, state: State) -> str:
    width, height, marks = _state_marks(pen, state)
    ground: Ink = "tint" if state == "accepted" else "panel"
    return _tile(pen, state_pattern(state), width, height, pen.box(0, 0, width, height, fill=ground), marks)


def _state_marks(pen: Pen, state: State) -> tuple[float, float, str]:
    """Width and height of a state's tile and what is on it: from blank (held) to full (accepted); dots for no part."""
    across = pen.line(0, 3, 7, 3, stroke_width=1.1) + pen.line(7, 9, 14, 9, stroke_width=1.1)
    upright = pen.line(1.5, 0, 1.5, 8, stroke_width=1) + pen.line(4, 0, 4, 8, stroke_width=1)
    crossed = _diagonal(pen, 8, "ink", 1.3) + _diagonal(pen, 8, "ink", 1.3, falling=True)
    tiles: dict[State, tuple[float, float, str]] = {
        "held": (600, 600, ""),
        "ready": (14, 12, across),
        "at work": (8, 8, _diagonal(pen, 8, "ink", 1)),
        "offered": (10, 10, _diagonal(pen, 10, "accent", 3.6)),
        "refused": (8, 8, crossed),
        "accepted": (600, 600, ""),  # one tile: a PDF viewer shows seams between small plain ones
        "done": (8, 8, upright),
        "question open": (16, 18, _question(pen, 5, 5) + _question(pen, 13, 14)),
        NO_PART: (12, 12, _dots(pen)),
    }
    return tiles[state]


def _dots(pen: Pen) -> str:
    places = ((3.0, 3.0), (9.0, 9.0))
    return "".join(pen.shape("circle", cx=x, cy=y, r=0.7, fill="faint") for x, y in places)


def _question(pen: Pen, x: float, y: float) -> str:
    hook = f"M{x - 2} {y - 1.6}q0 -2.2 2.1 -2.2q2.1 0 2.1 1.9q0 1.2 -1.2 1.8q-.9 .5 -.9 1.6"
    return pen.shape("path", d=hook, line="accent", stroke_width=1.3) + pen.shape(
        "circle", cx=x + 0.1, cy=y + 3.5, r=0.85, fill="accent"
    )


def _wood_stud(pen: Pen) -> str:
    body = pen.box(0, 0, 8, 8, fill="panel") + _diagonal(pen, 8, "faint", 0.9, falling=True)
    return _tile(pen, "material-wood-stud", 8, 8, body)


def _steel_stud(pen: Pen) -> str:
    lines = pen.line(0, 2, 10, 2, line="faint", stroke_width=0.9) + pen.line(
        0, 8, 10, 8, line="faint", stroke_width=0.9
    )
    return _tile(pen, "material-steel-stud", 10, 12, pen.box(0, 0, 10, 12, fill="panel"), lines)


def _block(pen: Pen) -> str:
    body = pen.box(0, 0, 12, 12, fill="panel") + _diagonal(pen, 12, "quiet", 0.8)
    return _tile(pen, "material-block", 12, 12, body, pen.line(0, 6, 12, 6, line="quiet", stroke_width=0.8))


def _concrete(pen: Pen) -> str:
    stones = [
        pen.shape("path", d="M3 11l3-4 1.4 3.8z", line="quiet", stroke_width=0.7),
        pen.shape("path", d="M12 5l2.6-2.4 .8 3.2z", line="quiet", stroke_width=0.7),
        *(
            pen.shape("circle", cx=x, cy=y, r=0.8, fill="quiet")
            for x, y in ((2.0, 3.0), (9.0, 2.0), (7.5, 14.0), (14.0, 11.0))
        ),
    ]
    return _tile(pen, "material-concrete", 17, 16, pen.box(0, 0, 17, 16, fill="panel"), *stones)


def _unknown(pen: Pen) -> str:
    return _tile(
        pen,
        "material-unknown",
        16,
        18,
        pen.box(0, 0, 16, 18, fill="panel"),
        _question(pen, 5, 5),
        _question(pen, 13, 14),
    )


def _earth(pen: Pen) -> str:
    """Three strokes one way, three the other, as earth is drafted."""
    rising = (((0.0, 9.0), (9.0, 0.0)), ((3.5, 9.0), (9.0, 3.5)), ((7.0, 9.0), (9.0, 7.0)))
    falling = (((11.0, 10.0), (20.0, 19.0)), ((11.0, 13.5), (16.5, 19.0)), ((11.0, 17.0), (13.0, 19.0)))
    lines = "".join(pen.stroke(*points, line="quiet", stroke_width=0.9) for points in rising + falling)
    return _tile(pen, "earth", 20, 20, lines)


def _grain(pen: Pen) -> str:
    waves = pen.shape("path", d="M2 0q1.6 7 0 14M5 0q-1.4 7 0 14", line="accent", stroke_width=0.6)
    return _tile(pen, "wood", 7, 14, pen.box(0, 0, 7, 14, fill="wood"), waves)
