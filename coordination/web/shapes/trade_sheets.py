"""Trade sheets: for one trade at one place the drawing, the work in order, what it must show, cautions, sources.

Made from the plan as it stands, with no state in it but what was let go: what is asked, not what was done.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.safestring import SafeString, mark_safe
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from coordination.access.permissions import may
from coordination.access.queries import assignments
from coordination.access.visitors import Visitor
from coordination.dates.queries import DatedPlan, schedule_of
from coordination.evidence import readings
from coordination.gates.building_numbers import drawing_numbers
from coordination.gates.drawing import PlaceState, SheetWords, section_of
from coordination.gates.frozen_concessions import let_go_on
from coordination.gates.own_planned import own_holds, own_planned
from coordination.gates.sentences import trade_words
from coordination.handover.let_go import LetGo, let_go, of_tasks
from coordination.handover.reading import Reader
from coordination.pictures.hoistway import Appearance, hoistway_section
from coordination.pictures.pen import PictureError
from coordination.pictures.section import Section, dimensions_of, name_of
from coordination.projects.changing import newest_revision, plan_in
from coordination.projects.queries import standing_facts
from coordination.siteprep.facts import Facts
from coordination.siteprep.plan import Plan, Requirement, Source, Task
from coordination.web.shapes.calculation_results import confirmed_by
from coordination.web.shapes.enlarged import DRAWN, MATTERS
from coordination.web.shapes.needs import KINDS, ORDER, source_words, tolerance_words
from coordination.web.texts import language_read, on_day, said
from coordination.web.words import AUTHORITIES, ROLES


@dataclass(frozen=True)
class Asked:
    """One thing a task must show. ``source`` is its number among the sheet's sources, 0 where it has none."""

    kind: str
    text: str
    tolerance: str
    stand: str
    authorised: bool
    lift_critical: bool
    looked_at: str
    source: int


@dataclass(frozen=True)
class Work:
    """One task of the sheet. ``holds`` says which of the project's own hold points stand before it or wait for it."""

    name: str
    first_line: str
    days: str
    provisional: bool
    asked: tuple[Asked, ...]
    source: str
    holds: tuple[str, ...] = ()


@dataclass(frozen=True)
class TradeSheet:
    """Everything on one sheet. ``drawing`` is for a screen, ``svg`` for a paper; both empty where a place has none."""

    trade: str
    slug: str
    trade_name: str
    company: str
    phone: str
    place: str
    place_name: str
    works: tuple[Work, ...]
    dimensions: tuple[tuple[str, str, str], ...]
    cautions: tuple[str, ...]
    open_questions: tuple[str, ...]
    sources: tuple[str, ...]
    drawing: SafeString
    svg: bytes
    alt: str
    let_go: tuple[LetGo, ...] = ()

    @property
    def lines(self) -> float:
        """About how many lines of a page it takes."""
        asked = sum(len(item.text + item.stand) / 52 + 1.4 for work in self.works for item in work.asked)
        works = sum(3.2 + len(work.first_line) / 62 + 1.4 * len(work.holds) for work in self.works)
        drawing = max(24 if self.svg else 0, len(self.dimensions) * 1.5)
        return (
            12
            + drawing
            + (asked + works) / 2
            + sum(1 + len(c) / 110 for c in self.cautions)
            + len(self.sources) / 1.6
            + sum(4 + len(row.reason + row.scope + row.found) / 110 for row in self.let_go)
        )


@dataclass(frozen=True)
class SheetLine:
    """One line of the list."""

    place: str
    place_name: str
    tasks: tuple[str, ...]


@dataclass(frozen=True)
class TradeGroup:
    """The sheets of one trade."""

    slug: str
    name: str
    company: str
    lines: tuple[SheetLine, ...]


class Sheets:
    """The standing plan of a project, read once, for as many sheets as are asked for."""

    def __init__(self, visitor: Visitor, today: date) -> None:
        self.visitor, self.project, self.today = visitor, visitor.project, today
        revision = newest_revision(self.project)
        self.number = revision.number if revision else 0
        self.plan: Plan = plan_in(revision, self.project)
        self.facts: Facts = standing_facts(self.project)
        self.dated: DatedPlan = schedule_of(self.project, today)
        self.companies = assignments(self.project)
        self.own, self.holds = own_planned(self.project), own_holds(self.project)
        self.places = {place.key: place for place in self.plan.places}

    @property
    def as_of(self) -> str:
        """Which plan and which drawing it was made from, and on which day."""
        told = {
            "plan": self.number,
            "drawing": self.plan.drawing_revision or _("not yet issued"),
            "day": f"{on_day(self.today)} {self.today.year}",
        }
        return _("As of plan revision %(plan)s, drawing revision %(drawing)s, %(day)s") % told

    @cached_property
    def tasks(self) -> dict[tuple[str, str], list[Task]]:
        """Tasks by trade and place that the visitor may see, in the order in which they can happen."""
        found: dict[tuple[str, str], list[Task]] = {}
        everything = may(self.visitor, "see the project")
        for task in sorted((*self.plan.tasks, *self.own), key=self._start):
            if task.milestone_of is None and (everything or task.trade in self.visitor.trades):
                found.setdefault((task.trade, task.place), []).append(task)
        return found

    def groups(self) -> list[TradeGroup]:
        """The list: by trade, and in each trade the places from the plan's own order."""
        order = list(self.places)
        trades = list(dict.fromkeys(trade for trade, _place in self.tasks))
        return [
            TradeGroup(
                slug_of(trade),
                capfirst(trade_words(trade)),
                self._company(trade)[0],
                tuple(
                    SheetLine(
                        place,
                        self.place_name(place),
                        tuple(said(task.text) for task in self.tasks[trade, place]),
                    )
                    for place in sorted(self.places_of(trade), key=lambda place: _at(order, place))
                ),
            )
            for trade in trades
        ]

    def places_of(self, trade: str) -> list[str]:
        return [place for of, place in self.tasks if of == trade]

    def trade_of(self, slug: str) -> str | None:
        """The trade that an address names, as far as the visitor may see any of its sheets."""
        return next((trade for trade, _place in self.tasks if slug_of(trade) == slug), None)

    def sheet(self, trade: str, place: str) -> TradeSheet | None:
        """One sheet; None where there is no work of the trade there, or none that the visitor may see."""
        tasks = self.tasks.get((trade, place), [])
        if not tasks:
            return None
        sources: dict[str, int] = {}
        works = tuple(self._work(task, sources) for task in tasks)
        section = self._section(tasks, place)
        dimensions = tuple(self._dimensions(section, place))
        company, phone = self._company(trade)
        drawing, svg = drawn(section, place)
        return TradeSheet(
            trade=trade,
            slug=slug_of(trade),
            trade_name=capfirst(trade_words(trade)),
            company=company,
            phone=phone if may(self.visitor, "see phone numbers") else "",
            place=place,
            place_name=self.place_name(place),
            works=works,
            dimensions=dimensions,
            cautions=tuple(self._cautions(tasks)),
            open_questions=tuple(self._questions(tasks)),
            sources=tuple(sources),
            drawing=drawing,
            svg=svg,
            alt=section.words.description if section else "",
            let_go=tuple(self._let_go(tasks)),
        )

    def _let_go(self, tasks: Sequence[Task]) -> Iterable[LetGo]:
        """What was let go of this work, now or before: the trade builds on it."""
        reader = Reader(language_read(), self._system, ZoneInfo(self.project.zone))
        return let_go(self.granted, reader, about=of_tasks({task.key for task in tasks}))

    @cached_property
    def granted(self) -> dict[str, Any]:
        """Everything that was let go on the site."""
        return {**let_go_on(self.project, self.today), "tasks": (), "places": ()}

    def place_name(self, place: str) -> str:
        return said(self.places[place].text) if place in self.places else place

    def _start(self, task: Task) -> tuple[date, str]:
        dates = self.dated.tasks.get(task.key)
        return (dates.early_start if dates else date.max, task.key)

    def _company(self, trade: str) -> tuple[str, str]:
        company = self.companies.get(trade)
        return (company.name, company.phone) if company else ("", "")

    def _work(self, task: Task, sources: dict[str, int]) -> Work:
        needs = sorted(task.requirements, key=lambda need: ORDER.index(need.kind))
        asked = tuple(self._asked(need, sources) for need in needs)
        own = [f"[{number_of(source, sources)}]" for source in task.sources if shown_source(source)]
        return Work(
            name=capfirst(said(task.text)),
            first_line=said(task.first_line),
            days=self._days(task),
            provisional=task.provisional,
            asked=asked,
            source=" ".join(dict.fromkeys(own)),
            holds=tuple(self._holds(task)),
        )

    def _holds(self, task: Task) -> Iterable[str]:
        before, waiting = self.holds.get(task.key, ([], []))
        yield from (_("Hold point before it: %(gate)s") % {"gate": name} for name in before)
        yield from (_("Hold point that waits for it: %(gate)s") % {"gate": name} for name in waiting)

    def _days(self, task: Task) -> str:
        dates = self.dated.tasks.get(task.key)
        if dates is None:
            return ""
        told = {"start": on_day(dates.early_start), "end": on_day(dates.early_last_day)}
        return _("planned %(start)s to %(end)s") % told

    def _asked(self, need: Requirement, sources: dict[str, int]) -> Asked:
        by = need.release or need.accepts or ""
        return Asked(
            kind=str(KINDS[need.kind]),
            text=said(need.text),
            tolerance=tolerance_words(vars(need), self._system),
            stand=said(need.stand),
            authorised=need.authorised,
            lift_critical=need.lift_critical,
            looked_at=str(AUTHORITIES[by] if need.release in AUTHORITIES else ROLES.get(by, by)),
            source=number_of(need.source, sources),
        )

    @property
    def _system(self) -> Any:
        return "metric" if self.facts.units == "metric" else "us"

    def _section(self, tasks: Sequence[Task], place: str) -> Section | None:
        """The building with what the work there is measured by; None where the place has no drawing."""
        kind = self.places[place].kind if place in self.places else ""
        if kind not in DRAWN or not self.facts.landings:
            return None
        states = [
            PlaceState(row.key, row.kind, said(row.text), "held", "", landing=row.landing)
            for row in self.plan.places
        ]
        words = SheetWords(self.project.name, "", ("", "", ""), ("", "", ""))
        matters = frozenset[str]().union(*(MATTERS.get(task.entry, frozenset()) for task in tasks))
        try:
            section = section_of(drawing_numbers(self.facts, self.plan), states, words)
        except PictureError:
            return None
        return replace(section, matters=matters)

    def _dimensions(self, section: Section | None, place: str) -> Iterable[tuple[str, str, str]]:
        if section:
            for item in dimensions_of(section):
                if item.place == place and item.kind not in {"story", "bracket"}:
                    yield name_of(section.words, item), section.words.length(item.value), _("site facts")
        for quantity in self.plan.quantities:
            if quantity.place == place:
                value = readings.shown(quantity.value, quantity.unit, self._system)
                yield said(quantity.text), value, shown_source(quantity.source)

    def _cautions(self, tasks: Sequence[Task]) -> Iterable[str]:
        keys = dict.fromkeys(key for task in tasks for key in task.cautions)
        return (said(self.plan.cautions[key]) for key in keys if key in self.plan.cautions)

    def _questions(self, tasks: Sequence[Task]) -> Iterable[str]:
        """The questions that leave open whether, or by which figure, something here is to be done."""
        because = {fact for task in tasks for fact in task.because}
        because |= {fact for task in tasks for need in task.requirements for fact in need.because}
        return (said(question.text) for question in self.plan.questions if question.fact in because)


def _at(order: Sequence[str], place: str) -> int:
    """Where a place stands in the plan's order; one that the plan has dropped comes last."""
    return order.index(place) if place in order else len(order)


def slug_of(trade: str) -> str:
    """A trade as part of an address."""
    return trade.replace(" ", "-")


def shown_source(source: Source) -> str:
    """Document, clause and status, and with whom to confirm what was not read in the text itself."""
    words = source_words({"document": source.document, "clause": source.clause, "status": source.status})
    if not source.confirm_with:
        return words
    return _("%(source)s; confirm with %(whom)s") % {
        "source": words,
        "whom": confirmed_by(source.confirm_with),
    }


def number_of(source: Source, sources: dict[str, int]) -> int:
    """The number of a source on its sheet; a new one is added."""
    words = shown_source(source)
    return sources.setdefault(words, len(sources) + 1) if words else 0


def drawn(section: Section | None, place: str) -> tuple[SafeString, bytes]:
    """The place enlarged, for a screen and for a paper."""
    if section is None:
        return SafeString(""), b""
    try:
        screen = hoistway_section(section, Appearance("trade", "place", focus=place))
        paper = hoistway_section(section, Appearance("trade", "place", focus=place, inks="print"))
    except PictureError:
        return SafeString(""), b""
    return mark_safe(screen), paper.encode()
