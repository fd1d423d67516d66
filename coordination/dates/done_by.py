"""The contractor's own days: for a package at once, or for many tasks from a file, stored only when confirmed."""

import difflib
import hashlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import require
from coordination.access.refusals import NotVisible, Reason
from coordination.access.visitors import Visitor
from coordination.dates.dating import DatedPlan, reckon
from coordination.dates.done_by_file import WISHES, FileRefused, StatedRow, most_of, read_days
from coordination.dates.models import PackageDay
from coordination.dates.networks import rows_of
from coordination.dates.refusals import DaysMoved
from coordination.projects.actions.days import MOST_DAYS
from coordination.projects.models import Task
from coordination.projects.refusals import DatesRefused
from coordination.projects.stating import FIRST_DAY, LAST_DAY

COLUMN_OF = {field: column for column, field in WISHES.items()}
KINDS = ("package", "task", "gate")


@dataclass(frozen=True)
class DayChange:
    """One day or duration that a file alters: of a package or of a task (or gate), as it was and as it will be."""

    line: int
    kind: str
    key: str
    field: str
    was: date | int | None
    now: date | int | None


@dataclass(frozen=True)
class Effect:
    """The dates as they are and as they would be."""

    now: DatedPlan
    then: DatedPlan


def set_package_day(
    project: Project, visitor: Visitor, at: datetime, package: str, done_by: date | None
) -> None:
    """Want a package done by a day; None takes it back. A task's own day goes before it.

    Raises NotAllowed, NotVisible for a package without tasks, DatesRefused.
    """
    require(visitor, "set a date")
    with deciding(project, visitor, at) as pen:
        if package not in _packages(_tasks(project)):
            raise NotVisible
        check_package_day(done_by)
        if package_days(project).get(package) == done_by:
            pen.leave_as_it_is()
            return
        body = {"done_by": done_by.isoformat() if done_by else None}
        event = pen.write("package day set", subject=package, body=body)
        _keep_package(project, package, done_by, event)


def check_package_day(done_by: date | None) -> None:
    """Raise DatesRefused for a day that no work is ever done by."""
    if done_by is not None and not FIRST_DAY <= done_by <= LAST_DAY:
        raise DatesRefused(Reason("day out of range", _limits(done_by)))


def package_days(project: Project) -> dict[str, date]:
    """The day of each package that has one."""
    rows = PackageDay.objects.filter(project=project, done_by__isnull=False)
    return dict(rows.values_list("package", "done_by"))


def changes_in(project: Project, content: bytes) -> list[DayChange]:
    """What a file alters, in its order. Raises FileRefused with every line that cannot be so."""
    try:
        stated, wrong = read_days(content), list[Reason]()
    except FileRefused as refusal:
        stated, wrong = list(refusal.rows), list(refusal.reasons)
    tasks, days = {task.key: task for task in _tasks(project)}, package_days(project)
    known = [*_packages(tasks.values()), *tasks]
    found = list[DayChange]()
    for row in stated:
        kind = _kind(row.key, tasks, known)
        wrong += _faults(row, kind, tasks.get(row.key), known)
        if kind:
            found += _altered(row, kind, tasks.get(row.key), days)
    if wrong:
        raise FileRefused(*most_of(wrong))
    return found


def effect_of(project: Project, changes: Iterable[DayChange], today: date) -> Effect:
    """What the changes would do to every date; nothing is stored. Raises NetworkError, OutOfHorizon."""
    rows = rows_of([project])[project.pk]
    now = reckon(rows, today)
    by_key = {task.key: task for task in rows.tasks}
    for change in changes:
        if change.kind == "package":
            rows.package_days.pop(change.key, None)
            if isinstance(change.now, date):
                rows.package_days[change.key] = change.now
        else:
            setattr(by_key[change.key], change.field, change.now)
    return Effect(now, reckon(rows, today))


def digest_of(changes: Sequence[DayChange]) -> str:
    """Names exactly these changes: what was shown is what is confirmed."""
    told = [(each.kind, each.key, each.field, str(each.was), str(each.now)) for each in changes]
    return hashlib.sha256(repr(told).encode()).hexdigest()


def take_days(
    project: Project,
    visitor: Visitor,
    at: datetime,
    content: bytes,
    *,
    shown: str,
    file_name: str = "",
) -> list[DayChange]:
    """Set everything that the file alters, or nothing. ``shown`` is the digest of what the visitor was shown.

    Raises NotAllowed, FileRefused, DaysMoved when somebody has set days since, so that the file alters other things.
    """
    require(visitor, "set a date")
    with deciding(project, visitor, at) as pen:
        changes = changes_in(project, content)
        if digest_of(changes) != shown:
            raise DaysMoved(Reason("days moved since"))
        if not changes:
            pen.leave_as_it_is()
            return []
        body = {"file": file_name, "number": len(changes), "changes": [_told(each) for each in changes]}
        event = pen.write("dates taken from a file", subject=file_name or "days", body=body)
        for change in changes:
            if change.kind == "package":
                _keep_package(project, change.key, change.now, event)
            else:
                Task.objects.filter(project=project, key=change.key).update(**{change.field: change.now})
        return changes


def _tasks(project: Project) -> list[Task]:
    return list(Task.objects.filter(project=project, retired_in__isnull=True).order_by("pk"))


def _packages(tasks: Iterable[Task]) -> list[str]:
    return list(dict.fromkeys(task.package for task in tasks if task.package))


def _keep_package(project: Project, package: str, done_by: Any, event: Any) -> None:
    PackageDay.objects.update_or_create(
        project=project, package=package, defaults={"done_by": done_by, "event": event}
    )


def _kind(key: str, tasks: dict[str, Task], known: Sequence[str]) -> str:
    if key in tasks:
        return "gate" if tasks[key].is_gate else "task"
    return "package" if key in known else ""


def _altered(row: StatedRow, kind: str, task: Task | None, days: dict[str, date]) -> Iterator[DayChange]:
    for field, now in row.wishes.items():
        was = getattr(task, field) if task else days.get(row.key) if field == "done_by" else None
        if was != now:
            yield DayChange(row.line, kind, row.key, field, was, now)


def _faults(row: StatedRow, kind: str, task: Task | None, known: Sequence[str]) -> Iterator[Reason]:
    """Everything wrong with one line, by column."""
    if not kind:
        near = difflib.get_close_matches(row.key, known, 1, 0.5)
        told = {"typed": row.key, "near": near[0] if near else ", ".join(known[:3])}
        yield Reason("no such key", {**_where(row, "key"), **told})
        return
    if row.kind and row.kind != kind:
        yield Reason("another kind", {**_where(row, "kind"), "typed": row.kind, "key": row.key, "kind": kind})
    for field, value in row.wishes.items():
        yield from _wish_faults(row, field, value, kind, task)
    done_by, not_before = (
        row.wishes.get(field, getattr(task, field, None)) for field in ("done_by", "not_before")
    )
    if done_by and not_before and done_by < not_before:
        days = {"done_by": done_by.isoformat(), "not_before": not_before.isoformat()}
        yield Reason("line done by before not before", {**_where(row, "done by"), **days})


def _wish_faults(row: StatedRow, field: str, value: Any, kind: str, task: Task | None) -> Iterator[Reason]:
    where = _where(row, COLUMN_OF[field])
    if value is not None and kind == "package" and field != "done_by":
        yield Reason("a package has a day only", {**where, "key": row.key})
    elif value is not None and kind == "gate" and field == "own_duration":
        yield Reason("a gate has no duration", {**where, "key": row.key})
    elif isinstance(value, date) and not FIRST_DAY <= value <= LAST_DAY:
        yield Reason("line day out of range", {**where, **_limits(value)})
    elif isinstance(value, int) and not 1 <= value <= MOST_DAYS:
        yield Reason("line duration out of range", {**where, "high": MOST_DAYS})
    elif task is not None and task.finished_on is not None and value != getattr(task, field):
        yield Reason("line finished already", {**where, "key": row.key})


def _where(row: StatedRow, column: str) -> dict[str, Any]:
    return {"line": row.line, "column": column}


def _limits(day: date) -> dict[str, str]:
    return {"day": day.isoformat(), "low": FIRST_DAY.isoformat(), "high": LAST_DAY.isoformat()}


def _told(change: DayChange) -> dict[str, Any]:
    values = {"was": change.was, "now": change.now}
    said = {name: day.isoformat() if isinstance(day, date) else day for name, day in values.items()}
    return {"kind": change.kind, "key": change.key, "field": change.field, **said}
