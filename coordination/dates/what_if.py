"""What a change would do to the gates and visits, before anybody makes it. Nothing here is kept.

Now and then are forecast with the same draws, task by task: what differs is the change.
"""

from collections.abc import Iterable, Mapping
from copy import copy
from dataclasses import asdict, dataclass, field
from datetime import date
from typing import Any, Literal

from coordination.access.models import Project
from coordination.dates.dating import DatedPlan, reckon
from coordination.dates.forecasting import Outlook, outlook_of, supposed_outlook
from coordination.dates.models import OwnLink
from coordination.dates.networks import Rows, rows_of
from coordination.dates.visiting import WORK
from coordination.projects import models
from coordination.scheduling.forecast import END
from coordination.siteprep.plan import Plan, Task

Kind = Literal["gate", "visit", "end"]
OWN = ("own_duration", "not_before", "done_by", "begun_on", "remaining", "finished_on")
SURE = 0.8


@dataclass(frozen=True)
class Supposed:
    """What is supposed: people's own columns of tasks by key, own links more and fewer, facts of the calendar.

    ``work`` are tasks and milestones that people would add; ``links`` may lead to them. ``package_days`` are days by
    which packages are to be done, None for a day taken back.
    """

    tasks: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    links: tuple[OwnLink, ...] = ()
    without: frozenset[int] = frozenset()
    facts: Mapping[str, Any] = field(default_factory=dict)
    work: tuple[models.Task, ...] = ()
    package_days: Mapping[str, date | None] = field(default_factory=dict)


@dataclass(frozen=True)
class Move:
    """A gate, a visit or the last day of work: its day now and then, None where that plan has none.

    ``days`` and ``sure_days`` are working days of the site, later is positive; None where one of the days is
    missing. ``sure_now`` and ``sure_then`` are the days that eight of ten runs keep.
    """

    kind: Kind
    key: str
    now: date | None
    then: date | None
    days: int | None
    sure_now: date | None
    sure_then: date | None
    sure_days: int | None

    @property
    def moves(self) -> bool:
        return (self.now, self.sure_now) != (self.then, self.sure_then)


@dataclass(frozen=True)
class Comparison:
    """Every gate and visit side by side, as they stand and as they would be."""

    now: Outlook
    then: Outlook
    moves: tuple[Move, ...]

    @property
    def alters(self) -> bool:
        """Whether any day is another one."""
        return any(move.moves for move in self.moves)


def what_if(project: Project, today: date, supposed: Supposed) -> Comparison:
    """Every gate and visit of the project with ``supposed``. Raises NetworkError, OutOfHorizon."""
    rows = suppose(rows_of([project])[project.pk], supposed)
    return compare(outlook_of(project, today), supposed_outlook(reckon(rows, today)))


def suppose(rows: Rows, supposed: Supposed) -> Rows:
    """``rows`` with what is supposed; the rows given stay as they are."""
    return Rows(
        tasks=[
            *(_altered(task, supposed.tasks.get(task.key, {})) for task in rows.tasks),
            *supposed.work,
        ],
        links=rows.links,
        calendars=rows.calendars,
        facts={**rows.facts, **supposed.facts},
        answer_hours=rows.answer_hours,
        own_links=[own for own in rows.own_links if own.pk not in supposed.without] + [*supposed.links],
        package_days=_with_days(rows.package_days, supposed.package_days),
        order=rows.order,
    )


def _with_days(days: Mapping[str, date], supposed: Mapping[str, date | None]) -> dict[str, date]:
    """The days of packages with those that are supposed."""
    return {package: day for package, day in {**days, **supposed}.items() if day is not None}


def dates_under(project: Project, plan: Plan, today: date) -> DatedPlan:
    """The dated plan that ``plan`` would have: people's own days, their links and what was done stay as they are."""
    standing = rows_of([project])[project.pk]
    by_key = {row.key: row for row in standing.tasks}
    numbers = {task.key: number for number, task in enumerate(plan.tasks, 1)}
    added, leading = _added(standing, plan, numbers)
    proposed = Rows(
        tasks=[*(_proposed(task, numbers[task.key], by_key) for task in plan.tasks), *added],
        links=[
            *leading,
            *(
                models.Link(
                    before_id=numbers[link.before],
                    after_id=numbers[link.after],
                    kind=link.kind,
                    lag=link.lag,
                    unit=link.unit,
                )
                for link in plan.links
            ),
        ],
        calendars=standing.calendars,
        facts=standing.facts,
        answer_hours={numbers[task.key]: _longest_answer(task) for task in plan.tasks},
        own_links=standing.own_links,
        package_days=standing.package_days,
        order=standing.order,
    )
    return reckon(proposed, today)


def plan_comparison(project: Project, plan: Plan, today: date) -> Comparison:
    """What ``plan`` would do in the place of the standing one."""
    return compare(outlook_of(project, today), supposed_outlook(dates_under(project, plan, today)))


def compare(now: Outlook, then: Outlook) -> Comparison:
    """The gates to come by their day then, the visits to come in their order, and the last day of work."""
    gates = sorted(
        {*_to_come(now), *_to_come(then)},
        key=lambda key: (then.dated.gates.get(key) or now.dated.gates[key], key),
    )
    moves = [_move("gate", key, now, then) for key in gates]
    moves += [_move("visit", key, now, then) for key in WORK if key in now.ready or key in then.ready]
    return Comparison(now, then, (*moves, _move("end", END, now, then)))


def _to_come(outlook: Outlook) -> Iterable[str]:
    return (gate for gate, key in outlook.dated.milestones.items() if key in outlook.sure)


def _move(kind: Kind, key: str, now: Outlook, then: Outlook) -> Move:
    days = _day(kind, key, now), _day(kind, key, then)
    sure = _sure(kind, key, now), _sure(kind, key, then)
    return Move(kind, key, *days, _between(*days, then), *sure, _between(*sure, then))


def _day(kind: Kind, key: str, outlook: Outlook) -> date | None:
    if kind == "gate":
        return outlook.dated.gates.get(key)
    return outlook.ready.get(key) if kind == "visit" else outlook.dated.end


def _sure(kind: Kind, key: str, outlook: Outlook) -> date | None:
    """The day that eight of ten runs keep; of a visit, the first day of the crew's calendar after it."""
    if kind == "visit":
        sure = outlook.of_visit(key)
        return outlook.first_crew_day(sure.at(SURE).last_day) if sure else None
    sure = outlook.of_gate(key) if kind == "gate" else outlook.sure.get(END)
    return sure.at(SURE).last_day if sure else None


def _between(now: date | None, then: date | None, outlook: Outlook) -> int | None:
    if now is None or then is None:
        return None
    return outlook.dated.schedule.network.calendars["site"].count(now, then)


def _altered(task: models.Task, own: Mapping[str, Any]) -> models.Task:
    if not own:
        return task
    supposed = copy(task)
    for name, value in own.items():
        setattr(supposed, name, value)
    return supposed


def _proposed(task: Task, number: int, standing: Mapping[str, models.Task]) -> models.Task:
    row = next((standing[key] for key in (task.key, *task.was) if key in standing), None)
    return models.Task(
        pk=number,
        key=task.key,
        package=task.package,
        derived=asdict(task),
        is_gate=task.milestone_of is not None,
        **{name: getattr(row, name) if row else None for name in OWN},
    )


def _added(
    standing: Rows, plan: Plan, numbers: dict[str, int]
) -> tuple[list[models.Task], list[models.Link]]:
    """The work that people added, with the links whose other end the plan keeps; numbered on in ``numbers``."""
    keys = {row.pk: row.key for row in standing.tasks}
    renamed = {old: task.key for task in plan.tasks for old in task.was}
    work = []
    for row in standing.tasks:
        if row.own:
            numbers[row.key] = len(numbers) + 1
            work.append(copy(row))
            work[-1].pk = numbers[row.key]
    links = []
    for link in standing.links:
        ends = [numbers.get(renamed.get(keys[pk], keys[pk]), 0) for pk in (link.before_id, link.after_id)]
        if link.own and all(ends):
            again = copy(link)
            again.before_id, again.after_id = ends
            links.append(again)
    return work, links


def _longest_answer(task: Task) -> int:
    return max((each.answer_hours for each in task.requirements if each.accepts), default=0)
