"""As planned against as built: how the end moved window by window, and each gate's planned and built day.

Days are numbers on one axis of calendar days. A cause is a thin bar from where the end stood to where it stood then:
full and to the right when it came later, outlined and to the left when time was gained.
"""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from coordination.pictures.pen import PRINT, SCREEN, Pen, PictureError, document, element, title
from coordination.pictures.time_chart import Tick
from coordination.pictures.typeface import width_of, wrap

Form = Literal["sheet", "phone", "paper"]


@dataclass(frozen=True)
class Step:
    """One cause: its words, and by how many days it moved the end."""

    words: str
    days: float


@dataclass(frozen=True)
class Steps:
    """One window: its words, and the steps in it."""

    words: str
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class EndChart:
    """How the end moved from ``planned`` to ``expected``; ``low`` and ``high`` bound the axis."""

    title: str
    description: str
    planned: float
    planned_words: str
    expected: float
    expected_words: str
    windows: tuple[Steps, ...]
    ticks: tuple[Tick, ...]
    low: float
    high: float

    def __post_init__(self) -> None:
        _in_order(self.low, self.high)


@dataclass(frozen=True)
class GatePair:
    """A gate's planned and built day; ``cleared`` or still expected."""

    name: str
    planned: float
    built: float
    cleared: bool
    words: str


@dataclass(frozen=True)
class GateChart:
    """Gates by their planned day, one under the other."""

    title: str
    description: str
    gates: tuple[GatePair, ...]
    ticks: tuple[Tick, ...]
    low: float
    high: float

    def __post_init__(self) -> None:
        _in_order(self.low, self.high)


def _in_order(low: float, high: float) -> None:
    if high <= low:
        raise PictureError("high: must be more than low")


@dataclass(frozen=True)
class _Measures:
    width: float
    labels: float
    lane: float
    size: float


FORMS: Final = {
    "sheet": _Measures(1180, 300, 26, 13),
    "phone": _Measures(390, 0, 46, 13),
    "paper": _Measures(720, 210, 17, 9.5),
}
MARGIN: Final = 12.0


def end_chart(chart: EndChart, form: Form, *, prefix: str) -> str:
    """How the end moved, as SVG."""
    frame = _Frame(chart.low, chart.high, form, prefix)
    rows: list[str] = []
    frame.row(rows, chart.planned_words, frame.diamond(chart.planned, full=False), strong=True)
    at = chart.planned
    for window in chart.windows:
        frame.heading(rows, window.words)
        for step in window.steps:
            frame.row(rows, step.words, frame.bar(at, at + step.days))
            at += step.days
    frame.row(rows, chart.expected_words, frame.diamond(chart.expected, full=True), strong=True)
    return frame.whole(rows, chart.ticks, chart.title, chart.description, "end")


def gate_chart(chart: GateChart, form: Form, *, prefix: str) -> str:
    """Planned and built days of the gates, as SVG."""
    frame = _Frame(chart.low, chart.high, form, prefix)
    rows: list[str] = []
    for gate in chart.gates:
        marks = frame.between(gate.planned, gate.built)
        marks += frame.diamond(gate.planned, full=False) + frame.diamond(
            gate.built, full=gate.cleared, heavy=True
        )
        frame.row(rows, gate.name, marks, said=gate.words)
    return frame.whole(rows, chart.ticks, chart.title, chart.description, "gates")


class _Frame:
    """The axis, and rows under it; a row is drawn at the height where the frame has come to."""

    def __init__(self, low: float, high: float, form: Form, prefix: str) -> None:
        if not re.fullmatch(r"[A-Za-z][A-Za-z0-9-]*", prefix):
            raise PictureError("prefix: must begin with a letter and hold letters, digits and hyphens only")
        self.pen = Pen(prefix=prefix, inks=PRINT if form == "paper" else SCREEN)
        self.m, self.form, self.prefix, self.low, self.high = FORMS[form], form, prefix, low, high
        self.left, self.right = MARGIN + self.m.labels, self.m.width - MARGIN
        self.top = MARGIN + self.m.size * 2.4
        self.y = self.top + 8

    def x(self, day: float) -> float:
        return self.left + (self.right - self.left) * (day - self.low) / (self.high - self.low)

    @property
    def middle(self) -> float:
        """The height of the marks in the row to come: beside the words, on a phone under them."""
        return self.y + (self.m.lane - 12 if not self.m.labels else self.m.lane / 2)

    def bar(self, begin: float, end: float) -> str:
        """From where the end stood to where it stands: full when later, outlined when gained."""
        x, width = self.x(min(begin, end)), abs(self.x(end) - self.x(begin))
        later = end >= begin
        box = self.pen.box(
            x,
            self.middle - 4,
            max(width, 1.5),
            8,
            fill="ink" if later else "panel",
            line="ink",
            stroke_width=1.1,
        )
        ends = "".join(
            self.pen.line(self.x(at), self.middle - 7, self.x(at), self.middle + 7, stroke_width=1)
            for at in (begin, end)
        )
        return box + ends

    def diamond(self, day: float, *, full: bool, heavy: bool = False) -> str:
        x, y, r = self.x(day), self.middle, 7
        return self.pen.shape(
            "path", d=f"M{x:.2f} {y - r:.2f}l{r} {r}l-{r} {r}l-{r} -{r}z", fill="ink" if full else "panel", line="ink",
            stroke_width=2 if heavy and not full else 1.2,
        )  # fmt: skip

    def between(self, one: float, other: float) -> str:
        return self.pen.line(self.x(one), self.middle, self.x(other), self.middle, stroke_width=1.1)

    def heading(self, rows: list[str], words: str) -> None:
        """A line of words over the rows that follow."""
        self.y += 4
        rows.append(self.pen.line(MARGIN, self.y, self.right, self.y, line="faint", stroke_width=0.7))
        for line in wrap(words, self.right - MARGIN, self.m.size, "semibold"):
            self.y += self.m.size * 1.45
            rows.append(self.pen.text(MARGIN, self.y, line, self.m.size, weight="semibold"))
        self.y += 5

    def row(self, rows: list[str], words: str, marks: str, *, strong: bool = False, said: str = "") -> None:
        """A row of words and marks that were drawn for it."""
        room = (self.m.labels or self.right - MARGIN) - 12
        weight: Literal["semibold", "regular"] = "semibold" if strong else "regular"
        lines = _shortened(wrap(words, room, self.m.size, weight), 1 if not self.m.labels else 2)
        begin = self.y + (self.m.size * 1.1 if not self.m.labels else self.m.lane / 2 + self.m.size * 0.35)
        if len(lines) > 1:
            begin -= self.m.size * 0.55
        texts = [
            self.pen.backed_text(MARGIN, begin + self.m.size * 1.1 * n, line, self.m.size, weight=weight)
            for n, line in enumerate(lines)
        ]
        rows.append(element("g", title(said or words), marks, *texts, class_="picture-row"))
        self.y += self.m.lane + (4 if len(lines) > 1 else 0)

    def whole(self, rows: list[str], ticks: Sequence[Tick], name: str, description: str, kind: str) -> str:
        bottom = self.y + 6
        height = bottom + MARGIN
        ground = self.pen.box(0, 0, self.m.width, height, fill="paper")
        return document(
            ground, self._axis(ticks, bottom), *rows, prefix=self.prefix, width=self.m.width, height=height,
            title=name, description=description, links=False, kind=f"{kind}-{self.form}",
        )  # fmt: skip

    def _axis(self, ticks: Sequence[Tick], bottom: float) -> str:
        parts, free, size = [], 0.0, self.m.size * 0.9
        for tick in sorted(ticks, key=lambda tick: tick.day):
            x = self.x(tick.day)
            if not self.left - 1 <= x <= self.right:
                continue
            line: Literal["faint", "quiet"] = "faint" if tick.strong else "quiet"
            lower = bottom if tick.strong else self.top + 3
            parts.append(self.pen.line(x, self.top - 4, x, lower, line=line, stroke_width=0.8))
            width = width_of(tick.words, size)
            if x + 2 >= free and x + 2 + width <= self.right:
                parts.append(self.pen.text(x + 2, self.top - 7, tick.words, size, ink="quiet"))
                free = x + width + 10
        return "".join(parts) + self.pen.line(self.left, self.top, self.right, self.top, stroke_width=1.2)


def _shortened(lines: Sequence[str], most: int) -> list[str]:
    """At most so many lines; the whole words stand in the table behind the picture."""
    return [*lines] if len(lines) <= most else [*lines[: most - 1], lines[most - 1].rstrip(" ,;") + "…"]
