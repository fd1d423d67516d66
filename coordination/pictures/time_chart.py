"""Work over time: thin drafted bars by trade on a working-day axis, gates as vertical lines, forecasts as bands.

Above the trades each gate has a line of its own: its day by the plan as a diamond, from which its vertical line goes
down through the work, and the days between which it is expected as a dashed box with a stroke at the one that is kept
eight times of ten.

Positions are working-day boundaries: 0 is the morning of the first day, a bar from 2 to 5 covers the third to the
fifth day. Line types tell critical, planned, provisional and finished work apart; no colour is needed to read them.
"""

import re
from dataclasses import dataclass
from typing import Final, Literal

from coordination.pictures.frame import Box
from coordination.pictures.pen import PRINT, SCREEN, Pen, PictureError, document, element, linked, title
from coordination.pictures.time_chart_rows import (
    Bar,
    Forecast,
    GateLine,
    Manner,
    Tick,
    TimeChart,
    table_of_chart,
)
from coordination.pictures.typeface import width_of, wrap

__all__ = [
    "Bar",
    "Forecast",
    "GateLine",
    "Manner",
    "Tick",
    "TimeChart",
    "packed",
    "table_of_chart",
    "time_chart",
]


@dataclass(frozen=True)
class _Measures:
    width: float
    labels: float
    lane: float
    size: float
    above: bool
    head: float = 26


WIDE: Final = _Measures(width=1180, labels=150, lane=19, size=12.5, above=False)
PHONE: Final = _Measures(width=390, labels=0, lane=31, size=13, above=True)
PAPER: Final = _Measures(width=720, labels=96, lane=14, size=9.5, above=False)
FORMS: Final = {"sheet": WIDE, "phone": PHONE, "paper": PAPER}
MARGIN: Final = 12.0


def time_chart(chart: TimeChart, form: Literal["sheet", "phone", "paper"], *, prefix: str) -> str:
    """The chart as SVG: ``sheet`` for desktop, ``phone`` 390 px wide with names over the bars, ``paper`` in one ink."""
    if not re.fullmatch(r"[A-Za-z][A-Za-z0-9-]*", prefix):
        raise PictureError("prefix: must begin with a letter and hold letters, digits and hyphens only")
    pen = Pen(prefix=prefix, inks=PRINT if form == "paper" else SCREEN)
    body, height = _Drawing(pen, chart, FORMS[form]).draw()
    return document(
        *body, prefix=prefix, width=FORMS[form].width, height=height, title=chart.title,
        description=chart.description, links=any(bar.href for bar in chart.bars), kind=f"time-{form}",
    )  # fmt: skip


def packed(spans: list[tuple[float, float]], gap: float) -> list[int]:
    """A lane for each span, in the order given, so that no two in a lane come nearer than ``gap``; first fit."""
    ends: list[float] = []
    lanes = []
    for start, end in spans:
        lane = next((i for i, taken in enumerate(ends) if taken + gap <= start), len(ends))
        ends[lane:] = [end, *ends[lane + 1 :]]
        lanes.append(lane)
    return lanes


class _Drawing:
    def __init__(self, pen: Pen, chart: TimeChart, measures: _Measures) -> None:
        self.pen, self.chart, self.m = pen, chart, measures
        self.left = MARGIN + measures.labels
        self.right = measures.width - MARGIN
        self.gates = sorted(chart.gates, key=lambda gate: (gate.day, gate.name))
        self.top = MARGIN + measures.size * 2.4

    def x(self, day: float) -> float:
        """Page x of a boundary."""
        return self.left + (self.right - self.left) * day / self.chart.days

    def _gate_lines(self, top: float) -> tuple[str, list[float], float]:
        """The gates' own band beginning at ``top``, where each one's vertical line begins, and its lower edge."""
        label, height = self._trade_name(self.chart.gates_title, top)
        first = top + (height if self.m.above else 4)
        parts, middles = [label] if self.chart.gates_title else [], []
        for index, gate in enumerate(self.gates):
            lane = first + index * self.m.lane
            middles.append(lane + (self.m.lane - 9 if self.m.above else self.m.lane / 2))
            parts.append(self._gate(gate, lane, middles[-1]))
        bottom = max(first + len(self.gates) * self.m.lane, top + height) + 5
        parts.append(self.pen.line(MARGIN, bottom, self.right, bottom, line="ink", stroke_width=0.9))
        return "".join(parts), middles, bottom

    def _gate(self, gate: GateLine, top: float, middle: float) -> str:
        size, x = self.m.size, self.x(gate.day)
        left, right = (self.x(day) for day in gate.span)
        at = self._beside(left - 7, right + 7, width_of(gate.words, size, "semibold"))
        baseline = top + size * 1.05 if self.m.above else middle + size * 0.35
        diamond = f"M{x:.2f} {middle - 6:.2f}l6 6l-6 6l-6 -6z"
        parts = [
            self._expected(gate, middle),
            self.pen.shape("path", d=diamond, fill="panel", line="ink", stroke_width=1.4),
            self.pen.backed_text(at, baseline, gate.words, size, weight="semibold"),
        ]
        told = [gate.words, self.chart.day_words(gate.day), gate.sure_words]
        words = ", ".join(filter(None, told))
        return linked(element("g", title(words), *parts, class_="picture-gate"), gate.href, words)

    def _expected(self, gate: GateLine, middle: float) -> str:
        """The days between which the gate is expected, and a stroke at the sure one."""
        if gate.low is None or gate.high is None:
            return ""
        left, right = self.x(gate.low), self.x(gate.high)
        dashes = {"stroke_width": 1, "stroke_dasharray": "3 2"}
        box = self.pen.box(left, middle - 4, max(right - left, 1), 8, fill="tint", line="quiet", **dashes)
        if gate.sure is None:
            return box
        x = self.x(gate.sure)
        return box + self.pen.line(x, middle - 8, x, middle + 8, stroke_width=1.8)

    def _poles(self, middles: list[float], bottom: float) -> str:
        """From each gate's diamond down through all the work."""
        return "".join(
            self.pen.line(
                self.x(gate.day), y, self.x(gate.day), bottom, stroke_width=1, stroke_dasharray="12 3 2 3"
            )
            for gate, y in zip(self.gates, middles, strict=True)
        )

    def _fitted(self, name: str) -> str:
        """The name as far as the sheet is wide; the table and the bar's own title have all of it."""
        most = self.right - self.left
        if width_of(name, self.m.size) <= most:
            return name
        length = next(n for n in range(len(name), 0, -1) if width_of(f"{name[:n]}…", self.m.size) <= most)
        return f"{name[:length].rstrip()}…"

    def _beside(self, start: float, end: float, width: float) -> float:
        """Where a name begins: over its bar on a phone, else right of it, or left where the sheet ends."""
        if self.m.above:
            return max(min(start, self.right - width), self.left)
        return end + 8 if end + 8 + width <= self.right else max(start - 8 - width, MARGIN)

    def _axis(self, bottom: float) -> str:
        parts, free, size = [], 0.0, self.m.size * 0.9
        for tick in sorted(self.chart.ticks, key=lambda t: t.day):
            x = self.x(tick.day)
            if tick.strong:
                parts.append(self.pen.line(x, self.top - 4, x, bottom, line="faint", stroke_width=0.8))
            else:
                parts.append(self.pen.line(x, self.top - 4, x, self.top + 2, line="quiet", stroke_width=0.8))
            if not tick.words:
                continue
            width = width_of(tick.words, size)
            if x + 2 >= free and x + 2 + width <= self.right:
                parts.append(self.pen.text(x + 2, self.top - 7, tick.words, size, ink="quiet"))
                free = x + width + 10
        return "".join(parts) + self.pen.line(self.left, self.top, self.right, self.top, stroke_width=1.2)

    def _forecast(self, bottom: float) -> str:
        forecast = self.chart.forecast
        if forecast is None:
            return ""
        left, right = self.x(forecast.low), self.x(forecast.high)
        band = self.pen.box(
            left, self.top, max(right - left, 2), bottom - self.top, fill="accent", fill_opacity=0.12
        )
        edges = "".join(
            self.pen.line(x, self.top, x, bottom, line="accent", stroke_width=0.9, stroke_dasharray="3 3")
            for x in (left, right)
        )
        width = width_of(forecast.words, self.m.size)
        x = min(max((left + right - width) / 2, self.left), self.right - width)
        return (
            band
            + edges
            + self.pen.text(x, bottom + self.m.size * 1.2, forecast.words, self.m.size, ink="accent")
        )

    def _today(self, bottom: float) -> str:
        if self.chart.today is None:
            return ""
        day, words = self.chart.today
        x, size = self.x(day), self.m.size
        width = width_of(words, size, "semibold")
        at = min(max(x - width / 2, self.left), self.right - width)
        line = self.pen.line(x, self.top - 4, x, bottom + size * 1.4, line="accent", stroke_width=2)
        return line + self.pen.backed_text(
            at, bottom + size * 2.6, words, size, weight="semibold", ink="accent"
        )

    def _spans(self, bars: list[Bar]) -> list[tuple[float, float, float]]:
        """For each bar the page span of bar and name together, and where the name begins."""
        found = []
        for bar in bars:
            start, end = self.x(bar.start), self.x(max(bar.end + bar.slack, bar.start))
            end = max(end, start + 6)
            width = width_of(self._fitted(bar.name), self.m.size)
            at = self._beside(start, end, width)
            found.append((min(start, at), max(end, at + width), at))
        return found

    def _trade(self, name: str, bars: list[Bar], top: float) -> tuple[str, float]:
        """One trade's band beginning at ``top``, and its lower edge."""
        bars = sorted(bars, key=lambda bar: (bar.start, bar.end, bar.key))
        spans = self._spans(bars)
        order = sorted(range(len(bars)), key=lambda i: spans[i])
        lanes = dict(zip(order, packed([spans[i][:2] for i in order], 14), strict=True))
        label, label_height = self._trade_name(name, top)
        first = top + (label_height if self.m.above else 4)
        parts = [label]
        for index, bar in enumerate(bars):
            parts.append(self._bar(bar, first + lanes[index] * self.m.lane, spans[index][2]))
        lane_height = (max(lanes.values(), default=0) + 1) * self.m.lane
        bottom = max(first + lane_height, top + label_height) + 5
        parts.append(self.pen.line(MARGIN, bottom, self.right, bottom, line="faint", stroke_width=0.7))
        return "".join(parts), bottom

    def _trade_name(self, name: str, top: float) -> tuple[str, float]:
        size = self.m.size * 1.06
        if self.m.above:
            return self.pen.backed_text(MARGIN, top + size * 1.3, name, size, weight="semibold"), size * 1.7
        lines = wrap(name, self.m.labels - 12, size, "semibold")
        texts = [
            self.pen.text(MARGIN, top + 4 + size * (1 + 1.2 * i), line, size, weight="semibold")
            for i, line in enumerate(lines)
        ]
        return "".join(texts), size * 1.2 * len(lines) + 6

    def _bar(self, bar: Bar, top: float, name_x: float) -> str:
        size, middle = self.m.size, top + (self.m.lane - 9 if self.m.above else self.m.lane / 2)
        baseline = top + size * 1.05 if self.m.above else middle + size * 0.35
        box = Box(self.x(bar.start), middle - 3.5, max(self.x(bar.end) - self.x(bar.start), 0), 7)
        parts = [self._slack(bar, middle), self._body(bar, box)]
        parts.append(self.pen.backed_text(name_x, baseline, self._fitted(bar.name), size))
        words = f"{bar.name}: {self.chart.day_words(bar.start)}, {self.chart.manner_words[bar.manner]}"
        group = element(
            "g", title(words), *parts, class_=f"picture-bar picture-bar-{bar.manner}", data_task=bar.key
        )
        return linked(group, bar.href, words)

    def _body(self, bar: Bar, box: Box) -> str:
        if box.width < 0.5:
            x, y = box.x, box.middle
            diamond = f"M{x:.2f} {y - 6:.2f}l6 6l-6 6l-6 -6z"
            return self.pen.shape(
                "path",
                d=diamond,
                fill="ink" if bar.manner in ("critical", "done") else "panel",
                line="ink",
                stroke_width=1.2,
            )
        ends = "".join(
            self.pen.line(x, box.y - 2.5, x, box.bottom + 2.5, stroke_width=1.1) for x in (box.x, box.right)
        )
        match bar.manner:
            case "critical":
                body = self.pen.box(box.x, box.middle - 2.6, box.width, 5.2, fill="ink")
            case "done":
                body = self.pen.box(
                    box.x, box.y, box.width, box.height, fill="tint", line="quiet", stroke_width=0.9
                )
            case "provisional":
                body = self.pen.box(
                    box.x,
                    box.y,
                    box.width,
                    box.height,
                    fill="panel",
                    line="quiet",
                    stroke_width=1.1,
                    stroke_dasharray="4 3",
                )
            case _:
                body = self.pen.box(
                    box.x, box.y, box.width, box.height, fill="panel", line="ink", stroke_width=1.1
                )
        if bar.done_to is not None and bar.manner != "done":
            done = max(0.0, min(self.x(bar.done_to), box.right) - box.x)
            body += self.pen.box(box.x, box.y, done, box.height, fill="tint", line="quiet", stroke_width=0.9)
        return body + ends

    def _slack(self, bar: Bar, y: float) -> str:
        if bar.slack <= 0:
            return ""
        start, end = self.x(bar.end), self.x(bar.end + bar.slack)
        dots = self.pen.line(start, y, end, y, line="quiet", stroke_width=1.2, stroke_dasharray="1.5 3")
        return dots + self.pen.line(end, y - 4, end, y + 4, line="quiet", stroke_width=1)

    def draw(self) -> tuple[list[str], float]:
        """Parts and height."""
        gates, y = "", self.top + 6
        middles: list[float] = []
        if self.gates:
            gates, middles, y = self._gate_lines(y)
        bands = []
        for key, name in self.chart.trades:
            bars = [bar for bar in self.chart.bars if bar.trade == key]
            if bars:
                band, y = self._trade(name, bars, y)
                bands.append(band)
        height = y + self.m.size * 3.2 + MARGIN
        ground = self.pen.box(0, 0, self.m.width, height, fill="paper")
        behind = [ground, self._forecast(y), self._axis(y), self._poles(middles, y), self._today(y)]
        return [*behind, gates, *bands], height
