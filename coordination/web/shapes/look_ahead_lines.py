"""Each trade's next three weeks: what, where, on which days, and what it waits for with who owes it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from uuid import UUID

from django.utils.text import slugify
from django.utils.translation import gettext as _

from coordination.access.permissions import may
from coordination.access.visitors import Visitor
from coordination.dates.looking_ahead import Ahead, Window, ahead
from coordination.dates.queries import schedule_of
from coordination.gates.calendars import local_day
from coordination.gates.queries import look_at
from coordination.gates.sentences import names_of, of_task
from coordination.projects.models import Task
from coordination.projects.queries import standing_plan
from coordination.web.missing import MissingLine
from coordination.web.shapes.companies import trade_names
from coordination.web.shapes.due_words import behind_words
from coordination.web.shapes.task_sheets import address_for, missing_for, place_words
from coordination.web.shapes.witness_lines import WitnessLine, witness_lines
from coordination.web.texts import on_day, said

SHOWN = 3


@dataclass(frozen=True)
class DayCell:
    """One day of the strip: worked, and whether a weekend or a new week begins."""

    worked: bool
    weekend: bool
    monday: bool


@dataclass(frozen=True)
class AheadLine:
    """One task. ``more`` is how much else it waits for."""

    name: str
    place: str
    first_line: str
    state: str
    days: str
    cells: tuple[DayCell, ...]
    behind: str
    waits: tuple[MissingLine, ...]
    more: int
    href: str
    witness: tuple[str, ...] = ()


@dataclass(frozen=True)
class TradeAhead:
    """One trade with its company; ``phone`` only for those who may see it."""

    trade: str
    slug: str
    name: str
    company: str
    phone: str
    lines: tuple[AheadLine, ...]


@dataclass(frozen=True)
class Week:
    """The head of some columns: the day with which they begin, and how many there are."""

    words: str
    days: int


class LookAhead:
    """The three weeks of a project from today on, as far as the visitor may see it."""

    def __init__(self, visitor: Visitor, now: datetime) -> None:
        self.visitor, self.project = visitor, visitor.project
        today = local_day(self.project, now)
        self.window, self.scene = Window(today), look_at(self.project, now)
        self.dated, self.plan = schedule_of(self.project, today), standing_plan(self.project)
        self.address = address_for(visitor, self.scene)
        self.phones = may(visitor, "see phone numbers")

    @property
    def span(self) -> str:
        return f"{on_day(self.window.first)} – {on_day(self.window.last)} {self.window.last.year}"

    @property
    def weeks(self) -> tuple[Week, ...]:
        """The columns by week: the days from today to Sunday first."""
        found: list[Week] = []
        for day in self.window.days:
            if not found or day.weekday() == 0:
                found.append(Week(on_day(day), 0))
            found[-1] = Week(found[-1].words, found[-1].days + 1)
        return tuple(found)

    @property
    def day_heads(self) -> tuple[str, ...]:
        return tuple(str(day.day) for day in self.window.days)

    def trades(self) -> list[TradeAhead]:
        """Every trade that has work in the three weeks, in the catalogue's order."""
        names = trade_names(self.project, everybody=True)
        by_trade: dict[str, list[Task]] = {}
        for task in self.scene.holding.tasks:
            if self._is_shown(task):
                by_trade.setdefault(task.trade, []).append(task)
        order = [*(key for key in names if key in by_trade), *(key for key in by_trade if key not in names)]
        found = (self._trade(key, names.get(key, key), by_trade[key]) for key in order)
        return [trade for trade in found if trade.lines]

    def _is_shown(self, task: Task) -> bool:
        stands = task.retired_in is None and not task.is_gate and task.key in self.dated.tasks
        return stands and (may(self.visitor, "see the project") or task.trade in self.visitor.trades)

    def _trade(self, key: str, name: str, tasks: Sequence[Task]) -> TradeAhead:
        company, phone = self.scene.holding.company_of(key)
        by_key = {task.key: task for task in tasks}
        lines = (self._line(by_key[each.key], each) for each in ahead(self.dated, by_key, self.window))
        return TradeAhead(key, slugify(key), name, company, phone if self.phones else "", tuple(lines))

    def _line(self, task: Task, each: Ahead) -> AheadLine:
        ready = self.scene.ready(task)
        waits = missing_for(self.visitor, self.scene, ready.start_missing if ready.state == "held" else ())
        return AheadLine(
            name=of_task(task),
            place=place_words(task, self.plan),
            first_line=said(task.derived.get("first_line", {})),
            state=ready.state,
            days=_days(each),
            cells=tuple(self._cells(each.days)),
            behind=behind_words(self.dated, task.key, self._name_of),
            waits=tuple(waits[:SHOWN]),
            more=max(0, len(waits) - SHOWN),
            href=self.address(task),
            witness=tuple(line.sentence for line in self.witness.get(task.uid, ())),
        )

    @cached_property
    def witness(self) -> dict[UUID, list[WitnessLine]]:
        """Who may attend, by task."""
        found: dict[UUID, list[WitnessLine]] = {}
        for line in witness_lines(self.scene, self.visitor):
            found.setdefault(line.task_uid, []).append(line)
        return found

    def _cells(self, worked: frozenset[date]) -> Iterable[DayCell]:
        return (DayCell(day in worked, day.weekday() > 4, day.weekday() == 0) for day in self.window.days)

    def _name_of(self, key: str) -> str:
        return names_of(self.scene).task(key)


def _days(each: Ahead) -> str:
    """First and last day; begun work says since when."""
    first, last = each.dates.early_start, max(each.dates.early_start, each.dates.early_last_day)
    if first == last:
        return on_day(first)
    if each.dates.because == "begun":
        return _("since %(first)s, to %(last)s") % {"first": on_day(first), "last": on_day(last)}
    return f"{on_day(first)} – {on_day(last)}"
