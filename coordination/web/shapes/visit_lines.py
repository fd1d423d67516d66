"""The visits of the lift crew: which work each is for, the gate in front of it, when it can be, what is booked."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext as _now
from django.utils.translation import gettext_lazy as _

from coordination.dates.forecasting import Outlook
from coordination.dates.models import Visit
from coordination.dates.queries import DatedPlan
from coordination.dates.visiting import WORK
from coordination.gates.queries import Scene
from coordination.gates.visits import gates_ahead
from coordination.web.addresses import address_of
from coordination.web.missing import MissingLine, missing_lines
from coordination.web.texts import on_day, said

NAMES: Final[Mapping[str, str | Promise]] = {
    "rails": _("Rails, jack and doors"),
    "return": _("Return to adjust, and joint pre-test"),
    "inspection": _("Inspection day"),
}
SHOWN = 4
DAYS_TO_CONFIRM = 3  # working days before the visit; only proposed, common practice without a source


@dataclass(frozen=True)
class GateAhead:
    """A gate that must be cleared before the visit's work, with what is missing."""

    name: str
    state: str
    day: date | None
    missing: tuple[MissingLine, ...]
    more: int
    href: str


@dataclass(frozen=True)
class VisitLine:
    """One visit. ``earliest`` is the first day its work can begin by the plan; ``over`` that its work is done."""

    key: str
    name: str
    earliest: date | None
    over: bool
    booked: Visit | None
    moved_from: tuple[date, ...]
    too_early: bool
    confirm_now: bool
    gates: tuple[GateAhead, ...]
    propose_day: date | None
    propose_confirm: date | None
    sure: str = ""
    href: str = ""

    @property
    def cost(self) -> str:
        """What a wasted trip costs, without a currency: the job's own."""
        return f"{self.booked.wasted_trip_cents / 100:,.2f}" if self.booked else ""


def visit_lines(scene: Scene, outlook: Outlook, visits: Iterable[Visit], today: date) -> list[VisitLine]:
    """Every visit of the job in order; a booking under another name comes last."""
    dated = outlook.dated
    rows = list(visits)
    keys = [*WORK, *dict.fromkeys(row.key for row in rows if row.key not in WORK)]
    lines = [_line(key, scene, dated, [row for row in rows if row.key == key], today) for key in keys]
    return [replace(line, **_more(line, scene, outlook)) for line in lines]


def _more(line: VisitLine, scene: Scene, outlook: Outlook) -> dict[str, str]:
    """How sure the day is on which it finds everything ready, and the page of the visit."""
    href = address_of("visit", scene.holding.project.uid, line.key) if line.key in WORK else ""
    sure = outlook.of_visit(line.key)
    if sure is None:
        return {"href": href}
    day = outlook.first_crew_day(sure.at(0.8).last_day)
    words = _now("8 of 10 runs are ready for the crew by %(day)s") % {"day": f"{on_day(day)} {day.year}"}
    return {"href": href, "sure": words}


def _line(key: str, scene: Scene, dated: DatedPlan, rows: list[Visit], today: date) -> VisitLine:
    tasks = [
        task for task in scene.holding.tasks if task.entry in WORK.get(key, ()) and task.key in dated.tasks
    ]
    to_do = [task for task in tasks if task.finished_on is None]
    earliest = min((dated.tasks[task.key].early_start for task in to_do), default=None)
    booked = next((row for row in rows if row.moved_at is None), None)
    calendar = dated.schedule.network.calendars["site"]
    day = max(earliest, today) if earliest else None
    return VisitLine(
        key=key,
        name=str(NAMES.get(key, key)),
        earliest=earliest,
        over=bool(tasks) and not to_do,
        booked=booked,
        moved_from=tuple(row.day for row in rows if row.moved_at is not None),
        too_early=bool(booked and earliest and today <= booked.day < earliest),
        confirm_now=bool(booked and to_do and booked.confirm_by <= today <= booked.day),
        gates=tuple(_gates(key, scene, dated)),
        propose_day=day,
        propose_confirm=max(today, calendar.add(day, -DAYS_TO_CONFIRM)) if day else None,
    )


def _gates(key: str, scene: Scene, dated: DatedPlan) -> Iterable[GateAhead]:
    """The gates that lead straight to the work of the visit, in their order."""
    for gate in gates_ahead(scene.holding, key):
        task, readiness = scene.holding.task[gate.task_id], scene.assessment.gates[gate.key]
        yield GateAhead(
            name=said(task.derived["text"]),
            state=readiness.state,
            day=dated.gates.get(gate.key),
            missing=tuple(missing_lines(readiness.missing[:SHOWN], scene.holding)),
            more=max(0, len(readiness.missing) - SHOWN),
            href=address_of("gate", scene.holding.project.uid, task.uid),
        )
