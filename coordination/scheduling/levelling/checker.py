"""Checks a levelling against its problem, day by day, sharing nothing with the search that made it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from ..calendars import WorkCalendar
from ..network import Link, Task
from .problem import Cost, CrewProblem

ONE = timedelta(days=1)
Kind = Literal["no start", "not a working day", "too early", "moved", "link", "too few crews", "unknown task"]


@dataclass(frozen=True)
class Fault:
    """One thing that an answer does wrong; ``subject`` holds task keys, crews or days."""

    kind: Kind
    subject: tuple[str, ...]


def faults(problem: CrewProblem, starts: Mapping[str, date]) -> tuple[Fault, ...]:
    """Everything that is wrong with ``starts`` (first open days by task key); empty when it can be worked."""
    check = _Check(problem, starts)
    found = [Fault("unknown task", (key,)) for key in starts if key not in problem.network.position]
    found += [Fault("no start", (task.key,)) for task in check.open_tasks if task.key not in starts]
    if found:
        return tuple(found)
    for task in check.open_tasks:
        found += check.day_faults(task)
    found += [
        Fault("link", (link.before, link.after)) for link in problem.network.links if not check.keeps(link)
    ]
    return tuple(found + check.crew_faults())


def cost_of(problem: CrewProblem, starts: Mapping[str, date]) -> Cost:
    """The cost of ``starts``, worked out from the dates alone."""
    check = _Check(problem, starts)
    late, last = 0, problem.network.start
    for task in problem.network.tasks:
        boundary = check.closing(task)
        last = max(last, boundary)
        if task.due and not task.finished:
            late += problem.weights.get(task.key, 0) * max(0, (boundary - task.due - ONE).days)
    return Cost(late, (last - problem.network.start).days)


class _Check:
    def __init__(self, problem: CrewProblem, starts: Mapping[str, date]) -> None:
        self.problem, self.starts, self.network = problem, starts, problem.network
        self.tasks = {task.key: task for task in self.network.tasks}
        self.open_tasks = [task for task in self.network.tasks if not task.finished]

    def calendar(self, task: Task) -> WorkCalendar:
        return self.network.calendars[task.calendar]

    def day_faults(self, task: Task) -> list[Fault]:
        day = self.starts[task.key]
        earliest = max(self.network.start, self.network.data_date or self.network.start)
        if task.not_before and not task.started:
            earliest = max(earliest, task.not_before)
        found = []
        if not self.calendar(task).is_rule_worked(day):
            found.append(Fault("not a working day", (task.key, day.isoformat())))
        if day < earliest:
            found.append(Fault("too early", (task.key, day.isoformat())))
        if self.problem.fixed.get(task.key, day) != day or (
            task.started and day > self._next_worked(task, earliest)
        ):
            found.append(Fault("moved", (task.key, day.isoformat())))
        return found

    def keeps(self, link: Link) -> bool:
        before, after = self.tasks[link.before], self.tasks[link.after]
        if after.finished or (after.started and link.kind in ("FS", "SS")):
            return True
        x = self.finish(before) if link.kind in ("FS", "FF") else before.started or self.starts[before.key]
        reached = self.finish(after) if link.kind in ("FF", "SF") else self.starts[after.key]
        return reached >= self._after_lag(x, link, after)

    def finish(self, task: Task) -> date:
        """The instant of its finish as successors see it."""
        if task.finished:
            return task.finished + ONE
        day = self.starts[task.key]
        for _ in range(self._length(task) - 1):
            day = self._next_worked(task, day + ONE)
        return day + ONE if self._length(task) else day

    def closing(self, task: Task) -> date:
        """The instant of its finish as due dates see it: a milestone is reached the evening before."""
        if task.finished or self._length(task):
            return self.finish(task)
        day = self.starts[task.key]
        while not self.calendar(task).is_rule_worked(day - ONE):
            day -= ONE
        return max(day, self.network.data_date or self.network.start, self.network.start)

    def crew_faults(self) -> list[Fault]:
        used: Counter[tuple[str, date]] = Counter()
        for task in self.open_tasks:
            for name, count in self.problem.needs.get(task.key, {}).items():
                day = self.starts[task.key]
                while day < self.finish(task):
                    used[name, day] += count
                    day += ONE
        over = [(name, day) for (name, day), count in used.items() if count > self._present(name, day)]
        return [Fault("too few crews", (name, day.isoformat())) for name, day in sorted(over)]

    def _present(self, name: str, day: date) -> int:
        crew = self.problem.crews[name]
        return crew.count - crew.away.get(day, 0)

    def _length(self, task: Task) -> int:
        if task.remaining is None and task.started and task.duration and self.network.data_date:
            passed = self.calendar(task).count(task.started, max(self.network.data_date, self.network.start))
            return max(1, task.duration - passed)
        return task.duration if task.remaining is None else task.remaining

    def _after_lag(self, instant: date, link: Link, after: Task) -> date:
        if link.unit == "calendar":
            return instant + timedelta(days=link.lag)
        calendar = self.network.calendars[link.calendar or after.calendar]
        for _ in range(link.lag):
            while not calendar.is_rule_worked(instant):
                instant += ONE
            instant += ONE
        for _ in range(-link.lag):
            instant -= ONE
            while not calendar.is_rule_worked(instant):
                instant -= ONE
        return instant

    def _next_worked(self, task: Task, day: date) -> date:
        while not self.calendar(task).is_rule_worked(day):
            day += ONE
        return day
