"""The week on one page: what was done, what comes next, what holds up and who owes it, which days moved."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import Any, Final
from zoneinfo import ZoneInfo

from django.utils.functional import Promise
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from coordination.dates.baselines import dates_of
from coordination.dates.forecasting import Outlook, Sureness, outlook_of
from coordination.dates.looking_ahead import Window, ahead
from coordination.dates.models import Baseline, Visit
from coordination.dates.queries import needed_by, visits
from coordination.gates.queries import Scene
from coordination.gates.sentences import (
    TRADES,
    Names,
    missing_thing,
    owner_words,
    party_words,
    trade_words,
)
from coordination.gates.visits import blocking
from coordination.handover.let_go import LetGo, let_go
from coordination.handover.reading import Reader
from coordination.handover.sheet_paper import head_of, one_page, reader_of, sheet_order
from coordination.handover.whole import values_of
from coordination.paper import Order
from coordination.projects.models import Gate, Question, Task
from coordination.readiness import Missing

WEEK: Final = timedelta(days=7)
SURE: Final = 0.8
# Style and how many lines a list may have, the roomiest first: one page is read, two are not.
DENSITIES = (("", 9), ("tight", 8), ("dense", 8), ("dense", 5))
VISITS: dict[str, str | Promise] = {
    "rails": gettext_lazy("Rails, jack and doors"),
    "return": gettext_lazy("Return to adjust, and joint pre-test"),
    "inspection": gettext_lazy("Inspection day"),
}


@dataclass(frozen=True)
class Held:
    """One thing that holds up, and who owes it."""

    what: str
    who: str


@dataclass(frozen=True)
class DayLine:
    """A gate or visit to come: its day by the plan, the day that 8 of 10 runs keep, and what moved."""

    name: str
    by_plan: str
    sure: str
    moved: str


@dataclass(frozen=True)
class Asking:
    """An open question: who decides it, by which day."""

    what: str
    who: str
    by: str
    late: bool


@dataclass(frozen=True)
class Week:
    """The status of one site on one day, for the contractor or for the owner."""

    since: str
    until: str
    done: tuple[str, ...]
    begun: tuple[str, ...]
    gates: tuple[str, ...]
    coming: tuple[str, ...]
    held: tuple[Held, ...]
    more_held: int
    days: tuple[DayLine, ...]
    compared: str
    questions: tuple[Asking, ...]
    more_questions: int
    let_go: tuple[LetGo, ...] = ()


def week_of(scene: Scene, today: date, reader: Reader, *, for_owner: bool, most: int = 9) -> Week:
    """Lists have ``most`` lines, and say how many more there are. For the owner no company or person is named.

    What was let go is not among it: that is frozen with the whole site, and never cut short.
    """
    return _Week(scene, today, reader, for_owner, most).week()


def week_orders(scene: Scene, today: date, *, language: str, paper: str, for_owner: bool) -> Iterator[Order]:
    """The page at one density after the other. Whoever calls speaks the language and the words of the site."""
    whole = values_of(scene)
    reader = reader_of(whole, language)
    title = _("Week to %(day)s") % {"day": reader.day(today.isoformat())}
    head = head_of(whole, reader, title)
    made_at = datetime.combine(today, time(), ZoneInfo(whole["project"]["zone"]))
    context: dict[str, Any] = {"head": head, "size": paper, "for_owner": for_owner}
    granted = tuple(let_go(whole, reader, named=not for_owner))
    for density, most in DENSITIES:
        week = replace(week_of(scene, today, reader, for_owner=for_owner, most=most), let_go=granted)
        told = {**context, "week": week, "density": density}
        yield sheet_order("paper/weekly.html", told, {}, title=title, language=language, made_at=made_at)


def week_pdf(scene: Scene, today: date, *, language: str, paper: str, for_owner: bool) -> bytes:
    """As dense as it takes to get onto one page. Raises PaperError."""
    return one_page(week_orders(scene, today, language=language, paper=paper, for_owner=for_owner))


class _Week:
    """One week while it is written."""

    def __init__(self, scene: Scene, today: date, reader: Reader, for_owner: bool, most: int) -> None:
        self.scene, self.today, self.reader, self.for_owner = scene, today, reader, for_owner
        self.most = most
        self.holding, self.names = scene.holding, Names(scene.holding)
        self.since = today - WEEK
        self.outlook: Outlook = outlook_of(self.holding.project, today)
        self.work = [task for task in self.holding.tasks if task.retired_in is None and not task.is_gate]

    def week(self) -> Week:
        held = list(self._held())
        questions = list(self._questions())
        compared, was = self._last_week()
        return Week(
            since=self.reader.day(self.since.isoformat()),
            until=self.reader.day(self.today.isoformat()),
            done=tuple(self._work(task) for task in self.work if self._within(task.finished_on)),
            begun=tuple(
                self._work(task) for task in self.work if self._within(task.begun_on) and not task.finished_on
            ),
            gates=tuple(self._gates_of_the_week()),
            coming=tuple(self._coming()),
            held=tuple(held[: self.most]),
            more_held=max(0, len(held) - self.most),
            days=(*self._visits(was), *self._gates(was)),
            compared=compared,
            questions=tuple(questions[: self.most]),
            more_questions=max(0, len(questions) - self.most),
        )

    def _within(self, day: date | None) -> bool:
        return day is not None and self.since < day <= self.today

    def _work(self, task: Task) -> str:
        who = "" if self.for_owner else self.holding.company_of(task.trade)[0] or trade_words(task.trade)
        return ", ".join(filter(None, [capfirst(self.names.task(task.key)), self._place(task), who]))

    def _place(self, task: Task) -> str:
        """Where it is, where the same work is done at several places."""
        same = [each for each in self.work if each.entry == task.entry]
        return task.place.replace("-", " ") if len(same) > 1 else ""

    def _gates_of_the_week(self) -> Iterator[str]:
        for row in self.holding.clearings:
            name = next(self.names.gate(gate.key) for gate in self.holding.gates if gate.pk == row.gate_id)
            if self._within(self._local(row.cleared_at)):
                yield _("cleared: %(gate)s") % {"gate": name}
            if row.reopened_at and self._within(self._local(row.reopened_at)):
                yield _("reopened: %(gate)s") % {"gate": name}

    def _local(self, moment: datetime) -> date:
        return moment.astimezone(self.reader.zone).date()

    def _coming(self) -> Iterator[str]:
        """Work that lies in the next seven days, by its first day."""
        keys = [
            task.key
            for task in self.work
            if task.finished_on is None and task.key in self.outlook.dated.tasks
        ]
        limit = self.today + WEEK
        for each in ahead(self.outlook.dated, keys, Window(self.today)):
            days = sorted(day for day in each.days if day <= limit)
            if days:
                task = self.holding.task_by_key[each.key]
                told = {"what": self._work(task), "day": self.reader.day(days[0].isoformat())}
                yield _("%(what)s, from %(day)s") % told

    def _held(self) -> Iterator[Held]:
        """What blocks the next visit, then what the next gate still misses; each thing once."""
        found: dict[tuple[str, str], Missing] = {}
        coming = [visit.key for visit in visits(self.holding.project) if visit.day >= self.today]
        for item in [*(each for key in coming[:1] for each in blocking(self.scene, key)), *self._next_gate()]:
            found.setdefault((item.kind, item.subject), item)
        for item in found.values():
            yield Held(capfirst(missing_thing(item, self.names)), self._who(item))

    def _next_gate(self) -> Iterable[Missing]:
        for gate in sorted(self.holding.gate_by_key.values(), key=lambda row: (row.order, row.key)):
            if self.scene.assessment.gates[gate.key].state != "cleared":
                return self.scene.assessment.gates[gate.key].missing
        return ()

    def _who(self, item: Missing) -> str:
        if not self.for_owner:
            return ", ".join(filter(None, [owner_words(item), item.phone]))
        of_a_trade = item.trade in TRADES and item.kind not in {"authority document missing", "not reviewed"}
        return trade_words(item.trade) if of_a_trade else party_words(item.trade)

    def _last_week(self) -> tuple[str, dict[str, date]]:
        """With which kept dates this week is compared: the newest that stood a week ago, else the first."""
        rows = Baseline.objects.filter(project=self.holding.project).order_by("number")
        row = rows.filter(taken_on__lte=self.since).last() or rows.filter(taken_on__lt=self.today).first()
        if row is None:
            return _("No dates were kept before this week, so nothing is compared."), {}
        day = self.reader.day(row.taken_on.isoformat())
        words = _("Compared with the dates as they were kept on %(day)s.") % {"day": day}
        return words, {key: last for key, (_first, last) in dates_of(row).items()}

    def _gates(self, was: dict[str, date]) -> Iterator[DayLine]:
        dated = self.outlook.dated
        for gate in sorted(self.holding.gate_by_key.values(), key=lambda row: (row.order, row.key)):
            if self.scene.assessment.gates[gate.key].state != "cleared" and gate.key in dated.gates:
                yield self._gate(gate, dated.gates[gate.key], was)

    def _gate(self, gate: Gate, day: date, was: dict[str, date]) -> DayLine:
        milestone = self.outlook.dated.milestones.get(gate.key, "")
        moved = self._moved(was.get(milestone), self.outlook.dated.tasks, milestone)
        name = _("Gate: %(gate)s") % {"gate": self.names.gate(gate.key)}
        return DayLine(
            name, self.reader.day(day.isoformat()), self._sure(self.outlook.of_gate(gate.key)), moved
        )

    def _moved(self, before: date | None, tasks: Any, key: str) -> str:
        if before is None or key not in tasks:
            return ""
        days = (tasks[key].early_last_day - before).days
        if not days:
            return _("as before")
        if days > 0:
            return ngettext("%(n)d day later", "%(n)d days later", days) % {"n": days}
        return ngettext("%(n)d day sooner", "%(n)d days sooner", -days) % {"n": -days}

    def _visits(self, was: dict[str, date]) -> Iterator[DayLine]:
        for visit in visits(self.holding.project):
            if visit.day >= self.today:
                yield self._visit(visit)

    def _visit(self, visit: Visit) -> DayLine:
        name = _("Visit: %(visit)s") % {"visit": VISITS.get(visit.key, visit.key)}
        booked = _("booked %(day)s") % {"day": self.reader.day(visit.day.isoformat())}
        earlier = Visit.objects.filter(project=self.holding.project, key=visit.key, moved_at__isnull=False)
        last = earlier.order_by("-moved_at").first()
        moved = ""
        if last is not None and last.moved_at and self._within(self._local(last.moved_at)):
            moved = _("was booked for %(day)s") % {"day": self.reader.day(last.day.isoformat())}
        return DayLine(name, booked, self._sure(self.outlook.of_visit(visit.key)), moved)

    def _sure(self, sure: Sureness | None) -> str:
        return self.reader.day(sure.at(SURE).last_day.isoformat()) if sure else ""

    def _questions(self) -> Iterator[Asking]:
        days = needed_by(self.holding.project, self.today)
        rows = [row for row in self.holding.questions if self._is_open(row)]
        for row in sorted(rows, key=lambda row: (days.get(row.fact, self.today), row.fact)):
            by = days.get(row.fact, self.today)
            yield Asking(
                self.reader.text(row.derived.get("text", {})) or row.fact,
                party_words(row.derived.get("decides", "")),
                self.reader.day(by.isoformat()),
                by <= self.today,
            )

    def _is_open(self, row: Question) -> bool:
        entry = self.holding.newest_entry.get(row.fact)
        return entry is None or entry.state != "known"
