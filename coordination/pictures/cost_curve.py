"""What each day of a visit costs: a stepped curve over days, with the share of runs in which the trip is wasted below.

Positions are numbered days from 0 on; the caller names them. Costs are in any unit of money, its words are given.
"""

import re
from dataclasses import dataclass
from typing import Final, Literal

from coordination.pictures.pen import PRINT, SCREEN, Pen, PictureError, document, title
from coordination.pictures.time_chart import packed
from coordination.pictures.typeface import width_of

MARGIN: Final = 14
Form = Literal["sheet", "phone", "paper"]


@dataclass(frozen=True)
class CurveDay:
    """One day that can be booked: its mean cost, the share of runs in which the site is not ready, its words."""

    cost: float
    wasted: float
    words: str


@dataclass(frozen=True)
class Flag:
    """A day that is marked on the curve, by its place among the days."""

    place: int
    words: str
    strong: bool = False


@dataclass(frozen=True)
class CostCurve:
    """The whole picture. ``levels`` are costs with their words for the scale, the least first."""

    title: str
    description: str
    days: tuple[CurveDay, ...]
    levels: tuple[tuple[float, str], ...]
    flags: tuple[Flag, ...]
    cost_words: str
    wasted_words: str
    day_names: tuple[str, ...]


@dataclass(frozen=True)
class _Measures:
    width: float
    size: float
    height: float
    band: float


FORMS: Final = {
    "sheet": _Measures(920, 15, 220, 56),
    "phone": _Measures(358, 14, 190, 50),
    "paper": _Measures(660, 11, 130, 36),
}


def cost_curve(curve: CostCurve, form: Form = "sheet", prefix: str = "cost") -> str:
    """The picture as SVG. Raises PictureError for a curve without days or scale, or a flag beside it."""
    if not curve.days or len(curve.levels) < 2:
        raise PictureError("days, levels: at least one day and two levels")
    if any(not 0 <= flag.place < len(curve.days) for flag in curve.flags):
        raise PictureError("flags: each at one of the days")
    if not re.fullmatch(r"[A-Za-z][A-Za-z0-9-]*", prefix):
        raise PictureError("prefix: must begin with a letter and hold letters, digits and hyphens only")
    pen = Pen(prefix=prefix, inks=PRINT if form == "paper" else SCREEN)
    body, height = _Drawing(pen, curve, FORMS[form]).draw()
    return document(
        *body, prefix=prefix, width=FORMS[form].width, height=height, title=curve.title,
        description=curve.description, links=False, kind=f"cost-{form}",
    )  # fmt: skip


class _Drawing:
    def __init__(self, pen: Pen, curve: CostCurve, measures: _Measures) -> None:
        self.pen, self.curve, self.m = pen, curve, measures
        scale = max(width_of(words, measures.size * 0.9) for _, words in curve.levels)
        self.left = MARGIN + max(scale, width_of("100 %", measures.size * 0.9)) + 10
        self.right = measures.width - MARGIN
        spans = [self._flag_span(flag) for flag in curve.flags]
        self.lanes = packed(spans, 12)
        self.top = MARGIN + measures.size * (1.5 + 1.4 * (max(self.lanes, default=-1) + 1))
        self.foot = self.top + measures.height
        self.shares = self.foot + measures.size * 2.6
        self.bottom = self.shares + measures.band

    def x(self, place: float) -> float:
        """Page x of the middle of a day."""
        return self.left + (self.right - self.left) * (place + 0.5) / len(self.curve.days)

    def y(self, cost: float) -> float:
        """Page y of a cost, linear from the least level to the greatest."""
        low, high = self.curve.levels[0][0], self.curve.levels[-1][0]
        return self.foot - (cost - low) / (high - low) * self.m.height

    def draw(self) -> tuple[list[str], float]:
        """Parts and height."""
        height = self.bottom + self.m.size * 1.8 + MARGIN
        ground = self.pen.box(0, 0, self.m.width, height, fill="paper")
        parts = [ground, self._scale(), self._shares(), self._days(), self._curve(), self._flags()]
        return [*parts, self._names()], height

    def _scale(self) -> str:
        size, parts = self.m.size * 0.9, []
        for cost, words in self.curve.levels:
            y = self.y(cost)
            parts.append(self.pen.line(self.left, y, self.right, y, line="faint", stroke_width=0.7))
            parts.append(
                self.pen.text(self.left - 8, y + size * 0.35, words, size, anchor="end", ink="quiet")
            )
        return "".join(parts)

    def _names(self) -> str:
        """What the two scales count, on top of everything."""
        size = self.m.size * 0.9
        upper = self.pen.backed_text(self.left, MARGIN + size * 0.8, self.curve.cost_words, size, ink="quiet")
        y = self.shares - size * 0.5
        return upper + self.pen.backed_text(self.left, y, self.curve.wasted_words, size, ink="quiet")

    def _curve(self) -> str:
        """One step for each day, and a dot with its words."""
        half = (self.right - self.left) / len(self.curve.days) / 2
        points = [
            (self.x(place) + side, self.y(day.cost))
            for place, day in enumerate(self.curve.days)
            for side in (-half, half)
        ]
        line = self.pen.stroke(*points, line="ink", stroke_width=2)
        radius = min(half * 0.7, 3.0)
        dots = [
            self.pen.shape(
                "circle", title(day.words), cx=self.x(place), cy=self.y(day.cost), r=radius, fill="ink"
            )
            for place, day in enumerate(self.curve.days)
        ]
        return line + "".join(dots)

    def _shares(self) -> str:
        """A bar for each day, as high as the share of runs in which the trip is wasted."""
        size, half = self.m.size * 0.9, (self.right - self.left) / len(self.curve.days) / 2
        parts = []
        for share, words in ((1.0, "100 %"), (0.0, "0 %")):
            y = self.bottom - share * self.m.band
            parts.append(self.pen.line(self.left, y, self.right, y, line="faint", stroke_width=0.7))
            parts.append(
                self.pen.text(self.left - 8, y + size * 0.35, words, size, anchor="end", ink="quiet")
            )
        for place, day in enumerate(self.curve.days):
            height = day.wasted * self.m.band
            parts.append(
                self.pen.box(
                    self.x(place) - half * 0.8, self.bottom - height, half * 1.6, height,
                    fill="tint", line="quiet", stroke_width=0.6,
                )
            )  # fmt: skip
        return "".join(parts)

    def _days(self) -> str:
        """Names of days below, as many as stand clear of each other."""
        size, free, parts = self.m.size * 0.9, 0.0, []
        for place, words in enumerate(self.curve.day_names):
            width = width_of(words, size)
            start = min(max(self.x(place) - width / 2, MARGIN), self.right - width)
            if start >= free:
                x = self.x(place)
                parts.append(
                    self.pen.line(x, self.bottom, x, self.bottom + 4, line="quiet", stroke_width=0.8)
                )
                parts.append(self.pen.text(start, self.bottom + size * 1.5, words, size, ink="quiet"))
                free = start + width + 14
        return "".join(parts)

    def _flag_span(self, flag: Flag) -> tuple[float, float]:
        width = width_of(flag.words, self.m.size, "semibold")
        start = min(max(self.x(flag.place) - width / 2, self.left), self.right - width)
        return start, start + width

    def _flags(self) -> str:
        parts, size = [], self.m.size
        for flag, lane in zip(self.curve.flags, self.lanes, strict=True):
            x, y = self.x(flag.place), MARGIN + size * (2.4 + 1.4 * lane)
            ink: Literal["accent", "ink"] = "accent" if flag.strong else "ink"
            dashes = None if flag.strong else "5 3"
            parts.append(
                self.pen.line(x, y + 4, x, self.bottom, line=ink, stroke_width=1.4, stroke_dasharray=dashes)
            )
            cost = self.y(self.curve.days[flag.place].cost)
            diamond = f"M{x:.2f} {cost - 6:.2f}l6 6l-6 6l-6 -6z"
            parts.append(
                self.pen.shape(
                    "path", d=diamond, fill="accent" if flag.strong else "panel", line=ink, stroke_width=1.4
                )
            )
            start, _end = self._flag_span(flag)
            parts.append(self.pen.backed_text(start, y, flag.words, size, weight="semibold", ink=ink))
        return "".join(parts)
