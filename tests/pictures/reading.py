"""Reads drawings back: positions, words and where they lie, without the code that drew them."""

import re
from dataclasses import dataclass
from itertools import combinations, pairwise
from xml.etree import ElementTree

from coordination.pictures.typeface import width_of

SVG = "{http://www.w3.org/2000/svg}"


def parse(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


def size_of(root: ElementTree.Element) -> tuple[float, float]:
    _, _, width, height = map(float, root.get("viewBox").split())
    return width, height


def marked(root: ElementTree.Element) -> list[tuple[str, int, float]]:
    """(mark, elevation, y) of everything that says at which elevation it lies."""
    return [
        (e.get("data-mark"), int(e.get("data-elevation")), float(e.get("y1")))
        for e in root.iter()
        if e.get("data-elevation")
    ]


@dataclass(frozen=True)
class Words:
    text: str
    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: "Words", slack: float = 0.5) -> bool:
        return (
            self.left + slack < other.right
            and other.left + slack < self.right
            and self.top + slack < other.bottom
            and other.top + slack < self.bottom
        )


def words_of(root: ElementTree.Element) -> list[Words]:
    found = []
    for element in root.iter(f"{SVG}text"):
        size, text = float(element.get("font-size")), element.text or ""
        width = width_of(text, size, "semibold" if element.get("font-weight") == "600" else "regular")
        x, y = float(element.get("x")), float(element.get("y"))
        left = x - {None: 0, "middle": width / 2, "end": width}[element.get("text-anchor")]
        box = (left, y - size * 0.74, left + width, y + size * 0.2)
        if turn := re.fullmatch(r"rotate\(-90 ([\d.-]+) ([\d.-]+)\)", element.get("transform") or ""):
            px, py = map(float, turn.groups())
            (x1, y1, x2, y2) = box
            box = (px + (y1 - py), py - (x2 - px), px + (y2 - py), py - (x1 - px))
        found.append(Words(text, *box))
    return found


def overlapping(root: ElementTree.Element) -> list[tuple[str, str]]:
    return [(a.text, b.text) for a, b in combinations(words_of(root), 2) if a.meets(b)]


def outside(root: ElementTree.Element) -> list[str]:
    width, height = size_of(root)
    return [w.text for w in words_of(root) if w.left < 0 or w.top < 0 or w.right > width or w.bottom > height]


def struck_through(root: ElementTree.Element) -> list[str]:
    """Words that a leader runs through."""
    leaders = [e.get("d") for e in root.iter(f"{SVG}path") if "picture-leader" in (e.get("class") or "")]
    lines = [[tuple(map(float, point.split())) for point in d[1:].split("L")] for d in leaders]
    segments = [segment for line in lines for segment in pairwise(line)]
    return [w.text for w in words_of(root) if any(_crosses(a, b, w) for a, b in segments)]


def _crosses(a: tuple[float, float], b: tuple[float, float], w: Words) -> bool:
    steps = 60
    points = ((a[0] + (b[0] - a[0]) * i / steps, a[1] + (b[1] - a[1]) * i / steps) for i in range(steps + 1))
    return any(w.left < x < w.right and w.top < y < w.bottom for x, y in points)
