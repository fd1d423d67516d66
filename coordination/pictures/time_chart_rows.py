"""What a time chart shows, and the same in words.

Positions are working-day boundaries: 0 is the morning of the first day, a bar from 2 to 5 covers the third to the
fifth day.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from coordination.pictures.pen import PictureError
from coordination.pictures.section import Row

Manner = Literal["planned", "critical", "provisional", "done"]


@dataclass(frozen=True)
class Bar:
    """One task; ``done_to`` is the boundary up to which it is finished, ``slack`` the days it may still slip."""

    key: str
    trade: str
    name: str
    start: float
    end: float
    manner: Manner = "planned"
    done_to: float | None = None
    slack: float = 0
    href: str | None = None


@dataclass(frozen=True)
class GateLine:
    """A gate on its day, with what to say of it.

    ``low`` and ``high`` are the boundaries between which it is expected, ``sure`` the one kept eight times of ten, and
    ``sure_words`` says so; all are None or empty where nothing was forecast.
    """

    name: str
    day: float
    state_words: str = ""
    low: float | None = None
    high: float | None = None
    sure: float | None = None
    sure_words: str = ""
    href: str | None = None

    @property
    def words(self) -> str:
        """Name and state."""
        return f"{self.name}: {self.state_words}" if self.state_words else self.name

    @property
    def span(self) -> tuple[float, float]:
        """From the first to the last boundary that is drawn."""
        known = [day for day in (self.day, self.low, self.high) if day is not None]
        return min(known), max(known)


@dataclass(frozen=True)
class Forecast:
    """The days between which the end is expected, and the words for it."""

    low: float
    high: float
    words: str


@dataclass(frozen=True)
class Tick:
    """A mark on the axis; strong ones (months) are drawn through."""

    day: float
    words: str
    strong: bool = False


@dataclass(frozen=True)
class TimeChart:
    """The chart. ``trades`` gives key and name in order; ``day_words`` writes the day that begins at a boundary.

    ``gates_title`` heads the lines of the gates.
    """

    title: str
    description: str
    days: float
    trades: tuple[tuple[str, str], ...]
    bars: tuple[Bar, ...]
    ticks: tuple[Tick, ...]
    day_words: Callable[[float], str]
    manner_words: dict[Manner, str]
    gates: tuple[GateLine, ...] = ()
    forecast: Forecast | None = None
    today: tuple[float, str] | None = None
    gates_title: str = ""

    def __post_init__(self) -> None:
        known = {key for key, _ in self.trades}
        for bar in self.bars:
            if bar.trade not in known:
                raise PictureError(
                    f"bars: {bar.key!r} names the trade {bar.trade!r}, which is not among the trades"
                )
            if bar.end < bar.start:
                raise PictureError(f"bars: {bar.key!r} ends before it starts")
        if self.days <= 0:
            raise PictureError("days: must be more than zero")


def table_of_chart(chart: TimeChart) -> tuple[Row, ...]:
    """The chart in words. Cells of a task: trade, name, first day, last day, manner; of a gate: name, day, state."""
    names = dict(chart.trades)
    rows = [
        Row("task", bar.key, (names[bar.trade], bar.name, chart.day_words(bar.start),
            chart.day_words(max(bar.start, bar.end - 1)), chart.manner_words[bar.manner]), bar.href)
        for bar in sorted(chart.bars, key=lambda bar: (bar.start, bar.end, bar.key))
    ]  # fmt: skip
    rows += [Row("gate", g.name, _gate_cells(g, chart), g.href) for g in chart.gates]
    if chart.forecast:
        f = chart.forecast
        rows.append(Row("forecast", "forecast", (f.words, chart.day_words(f.low), chart.day_words(f.high))))
    return tuple(rows)


def _gate_cells(gate: GateLine, chart: TimeChart) -> tuple[str, ...]:
    """Name, day and state; where it was forecast also the first and last day expected, and the sure one in words."""
    cells = gate.name, chart.day_words(gate.day), gate.state_words
    if gate.low is None or gate.high is None:
        return cells
    return (*cells, chart.day_words(gate.low), chart.day_words(gate.high), gate.sure_words)
