"""Gates and tasks with their dates, float and why each date is what it is; and the chart of the same."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

from coordination.dates.baselines import Drift
from coordination.dates.forecasting import Outlook
from coordination.dates.queries import DatedPlan
from coordination.gates.queries import Scene
from coordination.pictures.time_chart import Bar, GateLine, Manner, Tick, TimeChart
from coordination.projects.models import Task
from coordination.projects.shared_names import in_place, sharing_a_name
from coordination.scheduling.calendars import WorkCalendar
from coordination.scheduling.critical_path import Dates
from coordination.web.shapes.due_words import behind_words
from coordination.web.shapes.why_words import why_words
from coordination.web.texts import on_day, said
from coordination.web.words import LOOKS

Address = Callable[[Task], str]
EDGE = 2  # boundaries left free at the right of the chart
MOST_SLACK = 15.0
DAYS_BACK = 10  # working days before today that the chart of a running job shows


@dataclass(frozen=True)
class DateLine:
    """One task or gate: its days, its float in words, what sets its first day.

    ``trade`` with the place of the work; ``month`` is that of its first day.
    """

    key: str
    name: str
    trade: str
    state: str
    month: str
    days: str
    float_words: str
    behind: str
    latest: str
    critical: bool
    done: bool
    why: str
    moved: str
    later: bool
    href: str


class Dating:
    """What the lines and the chart are made from."""

    def __init__(
        self,
        scene: Scene,
        dated: DatedPlan,
        *,
        trades: Mapping[str, str],
        drift: Iterable[Drift],
        today: date,
        address: Address,
        outlook: Outlook | None = None,
        places: Mapping[str, str] | None = None,
    ) -> None:
        self.outlook, self.places = outlook, places or {}
        self.scene, self.dated, self.trades, self.today, self.address = scene, dated, trades, today, address
        self.rows = {task.key: task for task in scene.holding.tasks if task.key in dated.tasks}
        self.drift = {each.task: each.days for each in drift}
        self.calendar: WorkCalendar = dated.schedule.network.calendars["site"]
        self.origin = self._origin()
        self.repeated = sharing_a_name(self.rows.values())

    def gates(self) -> list[DateLine]:
        """The gates by day."""
        return self._lines(row for row in self.rows.values() if row.is_gate)

    def tasks(self) -> list[DateLine]:
        """The work by its first day."""
        return self._lines(row for row in self.rows.values() if not row.is_gate)

    def chart(self) -> TimeChart | None:
        """The bars by trade, from ``origin`` on; None while there is no work."""
        shown = [row for row in self.rows.values() if row.finished_on is None or self._ends(row) > 0]
        bars = [self._bar(row) for row in shown if not row.is_gate]
        if not bars:
            return None
        gates = [self._gate(row) for row in shown if row.is_gate]
        ends = [*(bar.end + bar.slack for bar in bars), *(gate.span[1] for gate in gates)]
        days = max(ends) + EDGE
        today = self._boundary(self.today)
        used = {bar.trade for bar in bars}
        return TimeChart(
            title=_("Work over time"),
            description=_("Each trade's work on working days, with the gates as vertical lines."),
            days=days,
            trades=tuple((key, name) for key, name in self.trades.items() if key in used),
            bars=tuple(bars),
            ticks=self._ticks(days),
            day_words=self._day_at,
            manner_words=manner_words(),
            gates=tuple(gates),
            today=(today, _("today")) if 0 <= today <= days else None,
            gates_title=_("Gates"),
        )

    def _gate(self, row: Task) -> GateLine:
        """A gate to come with the days between which it is expected: P10, P90, and P80 as the sure one."""
        sure = self.outlook.sure.get(row.key) if self.outlook and not row.finished_on else None
        if sure is None:
            return GateLine(line_name(row), self._ends(row), self._word(row), href=self.address(row) or None)
        low, most, high = (sure.at(share).last_day for share in (0.1, 0.8, 0.9))
        return GateLine(
            name=line_name(row),
            day=self._ends(row),
            state_words=self._word(row),
            low=self._evening(low),
            high=self._evening(high),
            sure=self._evening(most),
            sure_words=_("8 of 10 by %(day)s") % {"day": _day(most)},
            href=self.address(row) or None,
        )

    def _evening(self, day: date) -> float:
        """The boundary at the end of ``day``, not before the chart begins."""
        return max(0.0, self._boundary(day + timedelta(days=1)))

    def _lines(self, rows: Iterable[Task]) -> list[DateLine]:
        found = sorted(rows, key=lambda row: (self.dated.tasks[row.key].early_last_day, row.key))
        if found and not found[0].is_gate:
            found.sort(key=lambda row: (self.dated.tasks[row.key].early_start, row.key))
        return [self._line(row) for row in found]

    def _line(self, row: Task) -> DateLine:
        dates = self.dated.tasks[row.key]
        moved = self.drift.get(row.key, 0)
        return DateLine(
            key=row.key,
            name=line_name(row),
            trade=self._by_whom_and_where(row),
            state=self._state(row),
            month=date_format(dates.early_start, pgettext("date format", "F Y")),
            days=_day(dates.early_last_day) if row.is_gate else _span(dates),
            float_words="" if row.finished_on else float_words(dates.total_float),
            behind=behind_words(self.dated, row.key, self._name_of),
            latest=on_day(dates.late_last_day) if dates.total_float and not row.finished_on else "",
            done=row.finished_on is not None,
            critical=dates.critical and row.finished_on is None,
            why=why_words(dates, self._name_of),
            moved=_moved(moved),
            later=moved > 0,
            href=self.address(row),
        )

    def _name_of(self, key: str) -> str:
        return self._bar_name(self.rows[key]) if key in self.rows else key

    def _by_whom_and_where(self, row: Task) -> str:
        trade = self.trades.get(row.trade, row.trade)
        place = "" if row.is_gate else self.places.get(row.place, "")
        return f"{trade}, {place}" if place else trade

    def _state(self, row: Task) -> str:
        if row.is_gate:
            key = row.derived["milestone_of"]
            return self.scene.assessment.gates[key].state
        return self.scene.assessment.tasks[row.key].state

    def _word(self, row: Task) -> str:
        return str(LOOKS[self._state(row)].word)

    def _origin(self) -> date:
        """Where the chart begins: the first day, or two weeks back where the job has begun before."""
        going_on = any(row.finished_on is None for row in self.rows.values())
        back = self.calendar.add(self.today, -DAYS_BACK) if going_on else self.dated.start
        return max(self.dated.start, back)

    def _ends(self, row: Task) -> float:
        return self._boundary(self.dated.tasks[row.key].early_boundary)

    def _bar(self, row: Task) -> Bar:
        dates = self.dated.tasks[row.key]
        start, end = max(0.0, self._boundary(dates.early_start)), self._ends(row)
        slack = max(0.0, self._boundary(dates.late_boundary) - end)
        return Bar(
            key=row.key,
            trade=row.trade,
            name=self._bar_name(row),
            start=start,
            end=max(start, end),
            manner=_manner(row, dates),
            done_to=self._boundary(self.today) if row.begun_on and not row.finished_on else None,
            slack=0 if row.finished_on or dates.critical else min(slack, MOST_SLACK),
            href=self.address(row) or None,
        )

    def _bar_name(self, row: Task) -> str:
        """With its place where several bars have the same name."""
        place = self.places.get(row.place, "") if row.key in self.repeated else ""
        return in_place(line_name(row), place)

    def _boundary(self, day: date) -> float:
        return float(self.calendar.count(self.origin, day))

    def _day_at(self, boundary: float) -> str:
        return _day(self.calendar.add(self.origin, int(boundary)))

    def _ticks(self, days: float) -> tuple[Tick, ...]:
        """A strong mark at the first working day of each month, a small one at each Monday's."""
        found, day = [], self.origin
        while (boundary := self._boundary(day)) <= days:
            if day.day == 1:
                found.append(Tick(boundary, date_format(day, pgettext("date format", "M Y")), strong=True))
            elif day.weekday() == 0:
                found.append(Tick(boundary, ""))
            day += timedelta(days=1)
        return tuple(found)


def manner_words() -> dict[Manner, str]:
    return {
        "planned": _("planned"),
        "critical": _("no float: a day lost here is lost at the end"),
        "provisional": _("provisional: hangs on a question"),
        "done": _("done"),
    }


def line_name(row: Task) -> str:
    return said(row.derived["text"])


def float_words(days: int | None) -> str:
    """How long the work may wait; behind what was promised where it is negative."""
    if days is None:
        return ""
    if days < 0:
        return ngettext("%(n)s day behind", "%(n)s days behind", -days) % {"n": -days}
    return ngettext("%(n)s day", "%(n)s days", days) % {"n": days} if days else _("none")


def _manner(row: Task, dates: Dates) -> Manner:
    if row.finished_on is not None:
        return "done"
    if dates.critical:
        return "critical"
    return "provisional" if row.provisional else "planned"


def _moved(days: int) -> str:
    if not days:
        return ""
    if days > 0:
        return ngettext("%(n)s day later", "%(n)s days later", days) % {"n": days}
    return ngettext("%(n)s day earlier", "%(n)s days earlier", -days) % {"n": -days}


def _span(dates: Dates) -> str:
    if dates.early_start >= dates.early_last_day:
        return _day(dates.early_last_day)
    return f"{on_day(dates.early_start)} – {_day(dates.early_last_day)}"


def _day(day: date) -> str:
    return f"{on_day(day)} {day.year}"
