"""The brief at the start: what this site is, the order of work, and for each trade one sheet of what it must do.

Made from the standing plan and its dates: what is asked, not what was done; with what was let go before.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from coordination.dates.queries import DatedPlan, needed_by, schedule_of
from coordination.gates.queries import Scene
from coordination.gates.sentences import party_words, trade_words
from coordination.handover.let_go import LetGo, let_go, of_tasks
from coordination.handover.reading import Reader, kind_words, source_words
from coordination.handover.sheet_paper import head_of, reader_of, sheet_order, stood_at
from coordination.handover.site_drawing import NAME, site_drawing
from coordination.handover.whole import Whole, values_of
from coordination.paper import Order
from coordination.projects.queries import standing_plan
from coordination.siteprep.plan import Plan, Requirement, Task

# What tells one site from another, in the order in which it is read.
ABOUT = (
    "lift.class",
    "lift.drive",
    "landings",
    "pit.depth",
    "pit.ground",
    "pit.sump",
    "hoistway.width",
    "hoistway.depth",
    "hoistway.overhead",
    "hoistway.rail_wall",
    "hoistway.rating",
    "machine_room.place",
    "power.volts",
    "power.phases",
    "building.stage",
)
COUNTED = frozenset({"", "count"})


@dataclass(frozen=True)
class Fact:
    """One fact of the site; ``sure`` False where it is only assumed, or not known."""

    what: str
    value: str
    sure: bool


@dataclass(frozen=True)
class Step:
    """One package in the order of work, with its days and trades."""

    name: str
    days: str
    trades: str


@dataclass(frozen=True)
class Need:
    """What a task must show: kind, words, tolerance, who looks at it."""

    kind: str
    text: str
    tolerance: str
    looked_at: str


@dataclass(frozen=True)
class Work:
    """One task on a trade's sheet."""

    name: str
    place: str
    first_line: str
    days: str
    provisional: bool
    needs: tuple[Need, ...]
    passed_to: str


@dataclass(frozen=True)
class TradeSheet:
    """All that one trade must do."""

    name: str
    company: str
    phone: str
    works: tuple[Work, ...]
    dimensions: tuple[tuple[str, str, int], ...]
    sources: tuple[str, ...]
    cautions: tuple[str, ...]
    open_questions: tuple[str, ...]
    let_go: tuple[LetGo, ...] = ()

    @property
    def pairs(self) -> list[list[tuple[int, Work]]]:
        """Numbered, two side by side."""
        numbered = list(enumerate(self.works, start=1))
        return [numbered[place : place + 2] for place in range(0, len(numbered), 2)]

    @property
    def density(self) -> str:
        """By about how many lines it takes, so that a trade's sheet is one sheet."""
        needs = sum(3 + len(work.needs) for work in self.works)
        lines = needs + len(self.dimensions) // 2 + len(self.sources) + 2 * len(self.cautions)
        lines += 4 * len(self.let_go)
        return next((name for most, name in ((40, "tight"), (62, "dense")) if lines <= most), "full")


@dataclass(frozen=True)
class Asking:
    """An open question: who decides, by which day, how to go on before the answer."""

    what: str
    who: str
    by: str
    meanwhile: str


@dataclass(frozen=True)
class Brief:
    """The whole brief."""

    facts: tuple[Fact, ...]
    steps: tuple[Step, ...]
    gates: tuple[tuple[str, str], ...]
    questions: tuple[Asking, ...]
    cautions: tuple[str, ...]
    let_go: tuple[LetGo, ...]
    sheets: tuple[TradeSheet, ...]


def brief_of(scene: Scene, today: date, reader: Reader, whole: Whole) -> Brief:
    """The brief as the plan stands. Whoever calls speaks the language and the words of the site."""
    return _Brief(scene, today, reader, whole).all()


def brief_order(scene: Scene, today: date, *, language: str, paper: str, phones: bool = True) -> Order:
    """The brief as a paper, each trade on a page of its own."""
    whole = values_of(scene)
    reader = reader_of(whole, language)
    title = _("Site-preparation brief")
    drawing = site_drawing(whole, reader, title, states=False)
    context: dict[str, Any] = {
        "head": head_of(whole, reader, title),
        "brief": brief_of(scene, today, reader, whole),
        "drawing": drawing,
        "drawing_name": NAME,
        "size": paper,
        "phones": phones,
    }
    resources: dict[str, Any] = {NAME: drawing.svg} if drawing else {}
    return sheet_order(
        "paper/brief.html", context, resources, title=title, language=language, made_at=stood_at(whole)
    )


class _Brief:
    """One brief while it is written."""

    def __init__(self, scene: Scene, today: date, reader: Reader, whole: Whole) -> None:
        project = scene.holding.project
        self.scene, self.today = scene, today
        self.plan: Plan = standing_plan(project)
        self.dated: DatedPlan = schedule_of(project, today)
        plan = self.plan
        self.reader, self.whole = reader, whole
        self.places = {place.key: capfirst(reader.text(place.text)) for place in plan.places}
        self.works = sorted((task for task in plan.tasks if not task.milestone_of), key=self._start)

    def all(self) -> Brief:
        trades = list(dict.fromkeys(task.trade for task in self.works))
        return Brief(
            facts=tuple(self._facts()),
            steps=tuple(self._steps()),
            gates=tuple(self._gates()),
            questions=tuple(self._questions()),
            cautions=tuple(self._cautions(self.works)),
            let_go=tuple(let_go(self.whole, self.reader)),
            sheets=tuple(self._sheet(trade) for trade in trades),
        )

    def _start(self, task: Task) -> tuple[date, str]:
        dates = self.dated.tasks.get(task.key)
        return (dates.early_start if dates else date.max, task.key)

    def _facts(self) -> Iterator[Fact]:
        found = {fact["key"]: fact for fact in self.whole["facts"]}
        for key in ABOUT:
            if key in found:
                fact = found[key]
                words = capfirst(self.reader.text(fact["text"])) or key
                known = fact["state"] == "known"
                value = fact["typed"] or ("" if fact["value"] is None else str(fact["value"]))
                yield Fact(words, value if fact["state"] != "unknown" else _("not known"), known)

    def _steps(self) -> Iterator[Step]:
        for package in sorted(self.plan.packages, key=lambda each: each.order):
            tasks = [task for task in self.works if task.package == package.key]
            if tasks:
                trades = dict.fromkeys(trade_words(task.trade) for task in tasks)
                yield Step(capfirst(self.reader.text(package.text)), self._span(tasks), ", ".join(trades))

    def _span(self, tasks: Iterable[Task]) -> str:
        dates = [self.dated.tasks[task.key] for task in tasks if task.key in self.dated.tasks]
        if not dates:
            return ""
        first, last = min(each.early_start for each in dates), max(each.early_last_day for each in dates)
        return _("%(first)s to %(last)s") % {
            "first": self.reader.day(first.isoformat()),
            "last": self.reader.day(last.isoformat()),
        }

    def _gates(self) -> Iterator[tuple[str, str]]:
        for gate in self.plan.gates:
            day = self.dated.gates.get(gate.key)
            yield self.reader.text(gate.text), self.reader.day(day.isoformat()) if day else ""

    def _questions(self) -> Iterator[Asking]:
        days = needed_by(self.scene.holding.project, self.today)
        open_now = {each["fact"] for each in self.whole["questions"]}
        asked = [each for each in self.plan.questions if each.fact in open_now]
        for question in sorted(asked, key=lambda each: (days.get(each.fact, self.today), each.fact)):
            by = days.get(question.fact, self.today)
            yield Asking(
                self.reader.text(question.text),
                party_words(question.decides),
                self.reader.day(by.isoformat()),
                self.reader.text(question.safe_default) if question.safe_default else "",
            )

    def _cautions(self, tasks: Iterable[Task]) -> Iterator[str]:
        keys = dict.fromkeys(key for task in tasks for key in task.cautions)
        return (self.reader.text(self.plan.cautions[key]) for key in keys if key in self.plan.cautions)

    def _sheet(self, trade: str) -> TradeSheet:
        tasks = [task for task in self.works if task.trade == trade]
        company, phone = self.scene.holding.company_of(trade)
        because = {fact for task in tasks for fact in task.because}
        because |= {fact for task in tasks for need in task.requirements for fact in need.because}
        asked = [each for each in self.plan.questions if each.fact in because]
        sources: dict[str, int] = {}
        dimensions = tuple(self._dimensions({task.place for task in tasks}, sources))
        return TradeSheet(
            name=capfirst(trade_words(trade)),
            company=company,
            phone=phone,
            works=tuple(self._work(task) for task in tasks),
            dimensions=dimensions,
            sources=tuple(sources),
            cautions=tuple(self._cautions(tasks)),
            open_questions=tuple(self.reader.text(question.text) for question in asked),
            let_go=tuple(let_go(self.whole, self.reader, about=of_tasks({task.key for task in tasks}))),
        )

    def _work(self, task: Task) -> Work:
        return Work(
            name=capfirst(self.reader.text(task.text)),
            place=self.places.get(task.place, task.place),
            first_line=self.reader.text(task.first_line),
            days=self._span([task]),
            provisional=task.provisional,
            needs=tuple(self._need(need) for need in task.requirements),
            passed_to="; ".join(self._receivers(task)),
        )

    def _need(self, need: Requirement) -> Need:
        by = need.release or need.accepts or ""
        return Need(
            kind=kind_words(need.kind),
            text=self.reader.text(need.text),
            tolerance=self.reader.tolerance(need.low, need.high, need.unit)
            if need.unit not in COUNTED
            else "",
            looked_at=party_words(by) if by else "",
        )

    def _receivers(self, task: Task) -> Iterator[str]:
        """To whom it is passed on, with what they need to know of it."""
        trade_of = {each.key: each.trade for each in self.plan.tasks}
        for link in self.plan.links:
            if link.handoff and link.before == task.key:
                note = self.reader.text(link.receiver_note)
                yield ": ".join(filter(None, [trade_words(trade_of[link.after]), note]))

    def _dimensions(self, places: set[str], sources: dict[str, int]) -> Iterator[tuple[str, str, int]]:
        """What, value, and the number of its source; a new source is added."""
        for item in self.plan.quantities:
            if item.place in places and item.value is not None:
                what = f"{capfirst(self.reader.text(item.text))}, {self.places.get(item.place, item.place)}"
                source = source_words(vars(item.source), self.reader)
                number = sources.setdefault(source, len(sources) + 1)
                yield what, self.reader.value(item.value, item.unit), number
