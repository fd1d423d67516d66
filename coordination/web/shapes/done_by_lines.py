"""The contractor's own days: the table to download, what a file would alter, and what that does to the gates."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from coordination.access.models import Project
from coordination.access.queries import assignments
from coordination.dates.done_by import DayChange, Effect, package_days
from coordination.dates.queries import DatedPlan
from coordination.projects.models import Task
from coordination.projects.queries import PackageView, packages, standing_plan
from coordination.web.shapes.companies import trade_names
from coordination.web.shapes.due_words import behind_words
from coordination.web.texts import on_day, said

Value = date | int | None


@dataclass(frozen=True)
class ChangeLine:
    """One alteration in words: whose, which column, as it was and as it will be; empty is none."""

    line: int
    name: str
    what: str
    was: str
    now: str


@dataclass(frozen=True)
class EffectLine:
    """A gate, or the last day of work, now and with the file; ``behind`` says which day it cannot keep."""

    name: str
    now: str
    then: str
    move: str
    later: bool
    behind: str


def table_rows(project: Project, dated: DatedPlan) -> Iterator[tuple[Any, ...]]:
    """The rows of the download: each package, then its tasks and gates in the plan's order."""
    plan, days, companies = standing_plan(project), package_days(project), assignments(project)
    places = {place.key: said(place.text) for place in plan.places}
    trades = trade_names(project, everybody=True)
    for package in packages(project):
        dates = [dated.tasks[task.key] for task in package.tasks if task.key in dated.tasks]
        first = min((each.early_start for each in dates), default=None)
        last = max((each.early_last_day for each in dates), default=None)
        yield (
            "package",
            package.key,
            said(package.text),
            "",
            "",
            "",
            first,
            last,
            days.get(package.key),
            None,
            None,
        )
        for task in package.tasks:
            company = companies.get(task.trade)
            own = dated.tasks.get(task.key)
            yield (
                "gate" if task.is_gate else "task",
                task.key,
                said(task.derived["text"]),
                places.get(task.place, ""),
                trades.get(task.trade, task.trade),
                company.name if company else "",
                own.early_start if own else None,
                own.early_last_day if own else None,
                task.done_by,
                task.not_before,
                task.own_duration,
            )


def change_lines(changes: Sequence[DayChange], names: Mapping[str, str]) -> list[ChangeLine]:
    """Each alteration as a line."""
    columns = {
        "done_by": _("done by"),
        "not_before": _("not before"),
        "own_duration": _("working days"),
    }
    return [
        ChangeLine(
            each.line, names.get(each.key, each.key), columns[each.field], _words(each.was), _words(each.now)
        )
        for each in changes
    ]


def day_change_words(changes: Sequence[DayChange], names: Mapping[str, str]) -> list[str]:
    """Each alteration as a sentence, before and after."""
    return [
        _("%(task)s: %(what)s: %(before)s → %(after)s")
        % {
            "task": line.name,
            "what": line.what,
            "before": line.was or _("no day"),
            "after": line.now or _("no day"),
        }
        for line in change_lines(changes, names)
    ]


def names_of(listed: Sequence[PackageView]) -> dict[str, str]:
    """Packages and tasks by key in the reader's words."""
    names = {package.key: said(package.text) for package in listed}
    return names | {task.key: said(task.derived["text"]) for each in listed for task in each.tasks}


def effect_lines(effect: Effect, gates: Sequence[Task], names: Mapping[str, str]) -> list[EffectLine]:
    """Every gate by day, then the end."""
    now, then = effect.now, effect.then
    rows = sorted(gates, key=lambda row: (then.tasks[row.key].early_last_day, row.key))
    lines = [
        _line(
            said(row.derived["text"]),
            now.tasks[row.key].early_last_day,
            then.tasks[row.key].early_last_day,
            behind_words(then, row.key, lambda key: names.get(key, key)),
        )
        for row in rows
    ]
    return [*lines, _line(_("Last day of work"), now.end, then.end, "")]


def behind_lines(
    dated: DatedPlan, names: Mapping[str, str], only: Collection[str] | None = None
) -> list[str]:
    """The tasks that end after the day they are to be done by, the latest first; ``only`` those of these keys."""
    late = []
    for task in dated.schedule.network.tasks:
        last = dated.tasks[task.key].early_last_day
        if task.due and task.finished is None and last > task.due and (only is None or task.key in only):
            told = {"task": names.get(task.key, task.key), "last": _words(last), "day": _words(task.due)}
            sentence = _("“%(task)s” ends on %(last)s; it is to be done by %(day)s") % told
            late.append((task.due - last, task.key, sentence))
    return [sentence for _days, _key, sentence in sorted(late)]


def _line(name: str, now: date | None, then: date | None, behind: str) -> EffectLine:
    days = (then - now).days if now and then else 0
    return EffectLine(name, _words(now), _words(then), _move(days), days > 0, behind)


def _move(days: int) -> str:
    if not days:
        return _("the same day")
    if days > 0:
        return ngettext("%(days)s day later", "%(days)s days later", days) % {"days": days}
    return ngettext("%(days)s day earlier", "%(days)s days earlier", -days) % {"days": -days}


def _words(value: Value) -> str:
    if isinstance(value, date):
        return f"{on_day(value)} {value.year}"
    return "" if value is None else str(value)
