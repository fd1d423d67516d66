"""The first sheet of a gate report: what it says, measured, so that it stays one sheet and nothing is cut.

What has no room is counted with the page on which it stands; the drawing gets what the words leave, and where that
is too little it stands on a later sheet. Lengths are millimetres, sizes of letters points.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from coordination.handover.let_go import standing_words
from coordination.handover.reading import Reader, Snapshot
from coordination.handover.summary import Sum, counts, listed, missing_lines, open_lines, sums
from coordination.handover.title_block import in_rows, long_pairs, revisions, title_block
from coordination.pictures.typeface import Weight, width_of, wrap

POINT = 25.4 / 72
# What the first sheet holds between its frames, and how wide: report.css, .first.
TALL, WIDE = {"letter": 249.0, "a4": 266.5}, {"letter": 181.0, "a4": 175.1}
QR = 28.0
# Lines of a list and rounds that are tried, from all that there may be to the least.
TRIED = ((9, 3), (7, 2), (5, 1))
DRAWN, LEAST_DRAWN, MOST_DRAWN = 70, 45, 150
SPARE = 3.0


def first_page(
    snapshot: Snapshot, reader: Reader, head: Mapping[str, str], code: str, *, address: str
) -> dict[str, Any]:
    """What the first sheet says; ``height`` is the drawing's, 0 where the words leave it no room."""
    missing, still = missing_lines(snapshot, reader), open_lines(snapshot, reader)
    rounds = revisions(snapshot, reader)
    column = list_width(head["paper"])
    found: dict[str, Any] = {
        "block": in_rows(title_block(snapshot, reader, code)),
        "long": long_pairs(snapshot, reader),
        "sums": sums(snapshot, reader),
        "counts": " ".join(filter(None, (counts(snapshot), standing_words(snapshot)))),
        "address": address,
    }
    for most, shown in TRIED:
        found["missing"], found["still"] = (listed(lines, column, most) for lines in (missing, still))
        found["rounds"], found["earlier_rounds"] = rounds[:shown], rounds if len(rounds) > shown else []
        room = room_for_drawing(found, head)
        if room >= DRAWN:
            break
    return {**found, "height": room if room >= LEAST_DRAWN else 0}


def room_for_drawing(first: Mapping[str, Any], head: Mapping[str, str]) -> int:
    """Whole millimetres of height that the words of the first page leave for the drawing."""
    paper = head["paper"]
    words = _top(first, head, WIDE[paper]) + _lists(first) + _limits(head, WIDE[paper])
    foot = _rounds(first["rounds"], WIDE[paper] + 10) + _block(first, WIDE[paper] + 10)
    return int(min(MOST_DRAWN, TALL[paper] - words - foot - SPARE))


def list_width(paper: str) -> float:
    """Points: how wide a line of one of the two lists may be."""
    return (WIDE[paper] / 2 - 3 - 4) / POINT


def tall(words: str, width: float, size: float, spacing: float, weight: Weight = "regular") -> float:
    """How high ``words`` stand in lines of ``width``."""
    return len(wrap(words, width / POINT, size, weight)) * size * spacing * POINT


def _top(first: Mapping[str, Any], head: Mapping[str, str], width: float) -> float:
    beside = width - QR
    heading = tall(head["title"], beside, 20, 1.1, "semibold") + 1
    lead = tall(head["lead"], beside, 9.5, 1.34) + 1
    checked = tall(f"{head['checked']} {first['address']}", beside, 8.5, 1.34, "semibold") + 2
    numbers = _rows_of_sums(first["sums"], beside) * 19 * 1.1 * POINT + 0.6
    told = tall(first["counts"], beside, 8.5, 1.34) + 1
    return max(heading + lead + checked + numbers + told, 26.0) + 3.5


def _rows_of_sums(found: Sequence[Sum], width: float) -> int:
    rows, used = 1, 0.0
    for each in found:
        wide = (width_of(str(each.number), 19, "semibold") + width_of(f" {each.word}", 10.5)) * POINT + 7.6
        if used and used + wide > width:
            rows, used = rows + 1, 0.0
        used += wide
    return rows


def _lists(first: Mapping[str, Any]) -> float:
    lines = max(first["missing"].height, first["still"].height) + 1
    return lines * 8.5 * 1.3 * POINT + 3


def _limits(head: Mapping[str, str], width: float) -> float:
    return tall(head["limits"], width - 3.3, 7.6, 1.28) + 1.5


def _rounds(rounds: Sequence[Mapping[str, str]], width: float) -> float:
    why = width - 18 - 42 - 5
    lines = [max(1, len(wrap(each["why"], why / POINT, 8))) for each in rounds]
    return sum(number * 8 * 1.2 * POINT + 1.6 for number in (1, *lines)) + 0.5


def _block(first: Mapping[str, Any], width: float) -> float:
    """The title block: labels of 14 and 13 mm, three cells of the same width beside them, one of the whole width."""
    cell = (width - 21 - 2 * 17) / 3 - 5.5
    high = sum(
        max(max(tall(name, 12.5, 7.5, 1.35), tall(words, cell, 8.5, 1.2, "semibold")) for name, words in row)
        + 2
        for row in first["block"]
    )
    for name, words in first["long"]:
        high += max(tall(name, 13.5, 7.5, 1.35), tall(words, width - 21 - 6, 8, 1.2, "semibold")) + 2
    return high + 2 * 7.5 * 1.35 * POINT + 2.5
