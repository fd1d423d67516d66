"""How sure days are, in words first, then in figures."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.dates.forecasting import Outlook, Sureness
from coordination.dates.visiting import WORK
from coordination.dates.what_if import SURE
from coordination.projects.models import Task
from coordination.scheduling.forecast import END, Quantile
from coordination.web.shapes.visit_lines import NAMES
from coordination.web.shapes.what_if import day_words
from coordination.web.texts import on_day, said

MOST_DRIVERS = 6
Day = Callable[[date], date]


@dataclass(frozen=True)
class ShareDay:
    """A day that a share of the runs keeps, and the days between which it lies for certain enough."""

    day: str
    between: str


@dataclass(frozen=True)
class SureLine:
    """One gate or visit: in words, by share, and how many runs keep the planned day."""

    key: str
    name: str
    words: str
    shares: tuple[ShareDay, ...]
    planned: str
    chance: str
    href: str


@dataclass(frozen=True)
class DriverLine:
    """A task that sets a day: in how many of a hundred runs, and by how many days it moves it."""

    name: str
    runs: str
    swing: str
    href: str


class Surely:
    """What lines are made from: an outlook, the rows of its tasks, their addresses."""

    def __init__(
        self, outlook: Outlook, rows: Mapping[str, Task], address: Callable[[Task], str] = lambda task: ""
    ) -> None:
        self.outlook, self.rows, self.address = outlook, rows, address

    def gates(self) -> list[SureLine]:
        """The gates to come by their day, and the last day of work."""
        dated = self.outlook.dated
        coming = [gate for gate in dated.gates if self.outlook.of_gate(gate)]
        coming.sort(key=lambda gate: (dated.gates[gate], gate))
        lines = [self._gate(gate) for gate in coming]
        end = self.outlook.sure.get(END)
        if end is None or dated.end is None:
            return lines
        words = _("8 of 10 runs are through by %(day)s")
        name = _("Last day of work")
        return [*lines, self._line(("", name, words, ""), end, dated.end, _same)]

    def visits(self) -> list[SureLine]:
        """The visits to come, each by the first day on which the crew finds everything ready."""
        return [line for visit in WORK if (line := self.visit(visit)) is not None]

    def visit(self, visit: str) -> SureLine | None:
        sure = self.outlook.of_visit(visit)
        if sure is None:
            return None
        words = _("8 of 10 runs are ready for the crew by %(day)s")
        told = (visit, str(NAMES[visit]), words, "")
        return self._line(told, sure, self.outlook.ready[visit], self.outlook.first_crew_day)

    def gate(self, gate: str) -> SureLine | None:
        return self._gate(gate) if self.outlook.of_gate(gate) else None

    def drivers(self, sure: Sureness | None) -> list[DriverLine]:
        """What moves the day most, the widest first; what only lies on the way comes after."""
        if sure is None:
            return []
        swings, shares = dict(sure.swings), dict(sure.driving)
        order = [key for key, days in sure.swings if shares.get(key)]
        order += [key for key, _share in sure.driving if key not in swings]
        return [self._driver(key, shares[key], swings.get(key)) for key in order[:MOST_DRIVERS]]

    def _gate(self, gate: str) -> SureLine:
        key = self.outlook.dated.milestones[gate]
        row = self.rows.get(key)
        name = said(row.derived["text"]) if row else gate
        sure, planned = self.outlook.sure[key], self.outlook.dated.gates[gate]
        told = (gate, name, _("8 of 10 runs clear it by %(day)s"), self.address(row) if row else "")
        return self._line(told, sure, planned, _same)

    def _line(self, told: tuple[str, str, str, str], sure: Sureness, planned: date, day_of: Day) -> SureLine:
        key, name, words, href = told
        evening = planned if day_of is _same else planned - timedelta(days=1)
        return SureLine(
            key=key,
            name=name,
            words=words % {"day": day_words(day_of(sure.at(SURE).last_day))},
            shares=tuple(_share(each, day_of) for each in sure.quantiles),
            planned=day_words(planned),
            chance=runs_words(sure.chance_by(evening)),
            href=href,
        )

    def _driver(self, key: str, share: float, swing: float | None) -> DriverLine:
        row = self.rows.get(key)
        days = round(swing) if swing else 0
        words = ngettext("%(n)d day", "%(n)d days", days) % {"n": days} if days else _("less than a day")
        return DriverLine(
            name=said(row.derived["text"]) if row else key,
            runs=runs_words(share),
            swing=words,
            href=self.address(row) if row else "",
        )


def runs_words(share: float) -> str:
    """A share of the runs, in whole ones of a hundred; never nought or all where it is not."""
    runs = min(max(round(share * 100), 1 if share > 0 else 0), 99 if share < 1 else 100)
    return _("%(n)d of 100 runs") % {"n": runs}


def _share(quantile: Quantile, day_of: Day) -> ShareDay:
    low, high = day_of(quantile.low), day_of(quantile.high)
    between = "" if low == high else _("%(low)s – %(high)s") % {"low": on_day(low), "high": on_day(high)}
    return ShareDay(day_words(day_of(quantile.last_day)), between)


def _same(day: date) -> date:
    return day
