"""The dates that a proposed plan would have, reckoned beside the standing ones. Nothing is kept."""

from dataclasses import asdict, dataclass
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.access.models import Project
from coordination.dates.dating import DatedPlan, reckon
from coordination.dates.networks import Rows, rows_of
from coordination.dates.queries import schedule_of
from coordination.projects import models
from coordination.projects.queries import ChangeView
from coordination.siteprep.plan import Plan, Task
from coordination.web.texts import on_day, said

OWN = ("own_duration", "not_before", "done_by", "begun_on", "remaining", "finished_on")


@dataclass(frozen=True)
class Shift:
    """A gate's day now and under the proposed plan; either is empty where that plan has no such gate."""

    name: str
    now: str
    then: str
    move: str
    later: bool

    @property
    def same(self) -> bool:
        return bool(self.now) and self.now == self.then


def dates_under(project: Project, plan: Plan, today: date) -> DatedPlan:
    """The dated plan that ``plan`` would have: people's own days and what was done stay as they are."""
    standing = rows_of([project])[project.pk]
    by_key = {row.key: row for row in standing.tasks}
    numbers = {task.key: number for number, task in enumerate(plan.tasks, 1)}
    proposed = Rows(
        tasks=[_task(task, numbers[task.key], by_key) for task in plan.tasks],
        links=[
            models.Link(
                before_id=numbers[link.before],
                after_id=numbers[link.after],
                kind=link.kind,
                lag=link.lag,
                unit=link.unit,
            )
            for link in plan.links
        ],
        calendars=standing.calendars,
        facts=standing.facts,
        answer_hours={numbers[task.key]: _longest_answer(task) for task in plan.tasks},
    )
    return reckon(proposed, today)


def shifts(standing: Plan, now: DatedPlan, proposed: Plan, then: DatedPlan) -> list[Shift]:
    """Each gate of either plan with its day now and then, in the order of the proposed plan; the end last."""
    names = {gate.key: said(gate.text) for plan in (standing, proposed) for gate in plan.gates}
    keys = [gate.key for gate in proposed.gates]
    keys += [gate.key for gate in standing.gates if gate.key not in keys]
    lines = [_shift(names[key], now.gates.get(key), then.gates.get(key)) for key in keys]
    return [*lines, _shift(_("Last day of work"), now.end, then.end)]


def _shift(name: str, now: date | None, then: date | None) -> Shift:
    days = (then - now).days if now and then else 0
    return Shift(name, _day(now), _day(then), _move(days) if now and then else "", days > 0)


def _move(days: int) -> str:
    if not days:
        return _("the same day")
    if days > 0:
        return ngettext("%(days)s day later", "%(days)s days later", days) % {"days": days}
    return ngettext("%(days)s day earlier", "%(days)s days earlier", -days) % {"days": -days}


def _day(day: date | None) -> str:
    return f"{on_day(day)} {day.year}" if day else ""


def _task(task: Task, number: int, standing: dict[str, models.Task]) -> models.Task:
    row = next((standing[key] for key in (task.key, *task.was) if key in standing), None)
    return models.Task(
        pk=number,
        key=task.key,
        derived=asdict(task),
        is_gate=task.milestone_of is not None,
        **{name: getattr(row, name) if row else None for name in OWN},
    )


def _longest_answer(task: Task) -> int:
    return max((each.answer_hours for each in task.requirements if each.accepts), default=0)


def shifts_of(project: Project, change: ChangeView, today: date) -> list[Shift]:
    """What accepting ``change`` would do to the gates' days."""
    now, then = schedule_of(project, today), dates_under(project, change.proposed, today)
    return shifts(change.standing, now, change.proposed, then)
