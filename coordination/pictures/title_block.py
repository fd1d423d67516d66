"""The title block along the foot of a sheet."""

from coordination.pictures.frame import Box
from coordination.pictures.notes import Line, height_of, set_lines, write_lines
from coordination.pictures.pen import Pen
from coordination.pictures.section import TitleBlock

PAD = 12.0
_SHARES = (0.31, 0.23, 0.23, 0.23)


def _cells(block: TitleBlock, width: float, size: float) -> list[list[Line]]:
    widths = [share * width - 2 * PAD for share in _SHARES]
    first = set_lines(block.project, widths[0], size * 1.5, "semibold")
    first += set_lines(block.sheet, widths[0], size)
    first += set_lines(block.view, widths[0], size * 0.92, ink="quiet")
    cells = [first]
    for (heading, words, small), inside in zip(
        (block.next_gate, block.next_visit, block.governs), widths[1:], strict=True
    ):
        cell = set_lines(heading, inside, size * 0.92, ink="quiet")
        cell += set_lines(words, inside, size * 1.2, "semibold")
        cells.append(cell + set_lines(small, inside, size * 0.92, ink="quiet"))
    return cells


def _caution(block: TitleBlock, width: float, size: float) -> list[Line]:
    return set_lines(block.caution, width - 2 * PAD - 30, size, "semibold")


def block_height(block: TitleBlock, width: float, size: float) -> float:
    """Height that the title block needs at ``width``."""
    tallest = max(height_of(cell) for cell in _cells(block, width, size))
    caution = _caution(block, width, size)
    return tallest + 2 * PAD + (height_of(caution) + 1.2 * PAD if caution else 0)


def title_block(pen: Pen, block: TitleBlock, box: Box, size: float) -> str:
    """The block drawn into ``box``: four cells, and the caution under them across the whole width."""
    caution = _caution(block, box.width, size)
    foot = height_of(caution) + 1.2 * PAD if caution else 0
    parts = [pen.box(box.x, box.y, box.width, box.height, fill="panel", line="ink", stroke_width=1.6)]
    x = box.x
    for index, (cell, share) in enumerate(zip(_cells(block, box.width, size), _SHARES, strict=True)):
        if index:
            parts.append(pen.line(x, box.y, x, box.bottom - foot, stroke_width=1))
        parts.append(write_lines(pen, cell, x + PAD, box.y + PAD))
        x += share * box.width
    if caution:
        parts += _caution_row(pen, caution, box, foot)
    return "".join(parts)


def _caution_row(pen: Pen, caution: list[Line], box: Box, foot: float) -> list[str]:
    top = box.bottom - foot
    mark_x, mark_y = box.x + PAD + 9, top + foot / 2
    triangle = f"M{mark_x - 9:.2f} {mark_y + 8:.2f}h18l-9 -16z"
    return [
        pen.line(box.x, top, box.right, top, stroke_width=1),
        pen.shape("path", d=triangle, line="accent", stroke_width=1.8, stroke_linejoin="round"),
        pen.line(mark_x, mark_y - 2.5, mark_x, mark_y + 2.5, line="accent", stroke_width=1.8),
        pen.shape("circle", cx=mark_x, cy=mark_y + 5.2, r=1.1, fill="accent"),
        write_lines(pen, caution, box.x + PAD + 28, top + 0.5 * PAD),
    ]
