"""Cause and effect of the alarm and recall devices: which device does what, and whether it has been tried."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from coordination.pictures.frame import Box
from coordination.pictures.pen import PRINT, SCREEN, Pen, PictureError, document, title
from coordination.pictures.section import Row
from coordination.pictures.typeface import width_of, wrap

Mark = Literal["acts", "tried", "never", "question"]
MARKS: Final[tuple[Mark, ...]] = ("acts", "tried", "never", "question")

CELL: Final = 40.0
SIZE: Final = 13.5
HEAD: Final = 128.0
PAD: Final = 12.0


@dataclass(frozen=True)
class DeviceMatrix:
    """Causes (key, words) down, effects (key, words) across; ``mark_words`` says each mark in words."""

    title: str
    description: str
    causes: tuple[tuple[str, str], ...]
    effects: tuple[tuple[str, str], ...]
    marks: Mapping[tuple[str, str], Mark]
    mark_words: Mapping[Mark, str]
    corner: str = ""

    def __post_init__(self) -> None:
        causes, effects = dict(self.causes), dict(self.effects)
        for cause, effect in self.marks:
            if cause not in causes or effect not in effects:
                raise PictureError(f"marks: ({cause!r}, {effect!r}) names no cause and effect of the matrix")


def table_of_matrix(matrix: DeviceMatrix) -> tuple[Row, ...]:
    """One row per mark: cause, effect, mark in words."""
    return tuple(
        Row("mark", f"{c} {e}", (cause, effect, matrix.mark_words[matrix.marks[c, e]]))
        for c, cause in matrix.causes
        for e, effect in matrix.effects
        if (c, e) in matrix.marks
    )


def device_matrix(matrix: DeviceMatrix, *, prefix: str, paper: bool = False) -> str:
    """The matrix as SVG; as wide as its effects need, at least 390 px."""
    pen = Pen(prefix=prefix, inks=PRINT if paper else SCREEN)
    labels = min(240.0, max((width_of(words, SIZE) for _, words in matrix.causes), default=0) + 10)
    labels = max(labels, 390 - 2 * PAD - CELL * len(matrix.effects))
    width = 2 * PAD + labels + CELL * len(matrix.effects)
    left, top = PAD + labels, PAD + HEAD
    rows, bottom = _rows(pen, matrix, left, top, labels)
    legend, end = _legend(pen, matrix, bottom + 18, width)
    body = [
        pen.box(0, 0, width, end + PAD, fill="paper"),
        _heads(pen, matrix, left, top),
        *rows,
        *(
            pen.line(left + i * CELL, PAD, left + i * CELL, bottom, line="faint", stroke_width=0.8)
            for i in range(len(matrix.effects) + 1)
        ),
        pen.line(PAD, top, width - PAD, top, stroke_width=1.6),
        legend,
    ]
    return document(
        *body, prefix=prefix, width=width, height=end + PAD, title=matrix.title, description=matrix.description,
        links=False, kind="matrix",
    )  # fmt: skip


def _heads(pen: Pen, matrix: DeviceMatrix, left: float, top: float) -> str:
    parts = [
        pen.text(PAD, top - 8, line, SIZE * 0.92, ink="quiet")
        for line in wrap(matrix.corner, left - PAD - 6, SIZE * 0.92)[:1]
    ]
    for index, (_, words) in enumerate(matrix.effects):
        lines = wrap(words, HEAD - 12, SIZE)
        for row, line in enumerate(lines):
            x = left + index * CELL + CELL / 2 + SIZE * 0.35 + (row - (len(lines) - 1) / 2) * SIZE * 1.15
            parts.append(pen.text(x, top - 7, line, SIZE, transform=f"rotate(-90 {x:.2f} {top - 7:.2f})"))
    return "".join(parts)


def _rows(pen: Pen, matrix: DeviceMatrix, left: float, top: float, labels: float) -> tuple[list[str], float]:
    parts, y = [], top
    for cause, words in matrix.causes:
        lines = wrap(words, labels - 8, SIZE)
        height = max(CELL * 0.85, len(lines) * SIZE * 1.2 + 10)
        first = y + height / 2 - (len(lines) - 1) * SIZE * 0.6 + SIZE * 0.35
        parts += [pen.text(PAD, first + i * SIZE * 1.2, line, SIZE) for i, line in enumerate(lines)]
        for index, (effect, heading) in enumerate(matrix.effects):
            mark = matrix.marks.get((cause, effect))
            if mark:
                box = Box(left + index * CELL, y, CELL, height)
                parts.append(_group(pen, mark, box, f"{words}, {heading}: {matrix.mark_words[mark]}"))
        y += height
        parts.append(pen.line(PAD, y, left + CELL * len(matrix.effects), y, line="faint", stroke_width=0.8))
    return parts, y


def _group(pen: Pen, mark: Mark, box: Box, words: str) -> str:
    return f"<g>{title(words)}{_mark(pen, mark, box.centre, box.middle)}</g>"


def _mark(pen: Pen, mark: Mark, x: float, y: float) -> str:
    """Ring: to be tried. Filled ring: tried. Cross: must never. Question mark: not settled."""
    match mark:
        case "acts":
            return pen.shape("circle", cx=x, cy=y, r=7.5, fill="panel", line="ink", stroke_width=2)
        case "tried":
            return pen.shape("circle", cx=x, cy=y, r=7.5, fill="ink", line="ink", stroke_width=2)
        case "never":
            cross = pen.stroke((x - 6, y - 6), (x + 6, y + 6), stroke_width=2.2)
            return cross + pen.stroke((x - 6, y + 6), (x + 6, y - 6), stroke_width=2.2)
        case "question":
            return pen.text(x, y + 6, "?", 18, weight="semibold", anchor="middle", ink="accent")


def _legend(pen: Pen, matrix: DeviceMatrix, top: float, width: float) -> tuple[str, float]:
    parts, y = [], top
    used = [mark for mark in MARKS if mark in set(matrix.marks.values())]
    for mark in used:
        lines = wrap(matrix.mark_words[mark], width - 2 * PAD - 30, SIZE * 0.95)
        parts.append(_mark(pen, mark, PAD + 9, y + 8))
        parts += [
            pen.text(PAD + 28, y + 13 + i * SIZE * 1.15, line, SIZE * 0.95, ink="quiet")
            for i, line in enumerate(lines)
        ]
        y += max(22.0, len(lines) * SIZE * 1.15 + 8)
    return "".join(parts), y
