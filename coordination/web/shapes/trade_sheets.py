"""Trade sheets: for one trade at one place the drawing, the work in order, what it must show, cautions, sources.

Made from the plan as it stands, with no state in it but what was let go: what is asked, not what was done.
"""

from collections.abc import Iterable, Sequence
from datetime import date
from functools import cached_property
from typing import Any
from zoneinfo import ZoneInfo

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from coordination.access.permissions import may
from coordination.access.queries import assignments
from coordination.access.visitors import Visitor
from coordination.dates.queries import DatedPlan, schedule_of
from coordination.gates.frozen_concessions import let_go_on
from coordination.gates.own_planned import own_holds, own_planned
from coordination.gates.sentences import trade_words
from coordination.handover.let_go import LetGo, let_go, of_tasks
from coordination.handover.reading import Reader
from coordination.projects.changing import newest_revision, plan_in
from coordination.projects.queries import standing_facts
from coordination.siteprep.facts import Facts
from coordination.siteprep.lengths import UnitSystem
from coordination.siteprep.plan import Plan, Task
from coordination.web.shapes.trade_sheet_drawing import PlaceDrawing, drawn
from coordination.web.shapes.trade_sheet_parts import SheetLine, TradeGroup, TradeSheet, slug_of
from coordination.web.shapes.trade_sheet_works import PlannedWorks
from coordination.web.texts import language_read, on_day, said


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
        self.own = own_planned(self.project)
        self.places = {place.key: place for place in self.plan.places}
        self.works = PlannedWorks(self.dated, own_holds(self.project), self._system)
        self.drawing = PlaceDrawing(self.project.name, self.plan, self.facts, self._system)

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
        works = tuple(self.works.of(task, sources) for task in tasks)
        section = self.drawing.section(tasks, place)
        dimensions = tuple(self.drawing.dimensions(section, place))
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

    @property
    def _system(self) -> UnitSystem:
        return "metric" if self.facts.units == "metric" else "us"

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
