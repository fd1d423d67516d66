"""Packages with the state of their work, who holds each up, and the tasks of the one that is opened."""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from uuid import UUID

from django.utils.translation import gettext as _

from coordination.dates.queries import DatedPlan
from coordination.gates.queries import Scene
from coordination.gates.sentences import names_of
from coordination.projects.models import Task
from coordination.projects.queries import PackageView
from coordination.web.forms.days import PackageDayForm, TaskDaysForm, package_form
from coordination.web.missing import MissingLine, missing_lines
from coordination.web.ready_lines import UNDER_WAY
from coordination.web.shapes.due_words import behind_words
from coordination.web.texts import on_day, said
from coordination.web.words import LOOKS

ORDER = (*UNDER_WAY, "held", "accepted", "done")
OVER = ("accepted", "done")
SHOWN = 2


@dataclass(frozen=True)
class TaskLine:
    """A task of the opened package. ``late`` says that it ends after the day it is to be done by."""

    uid: UUID
    name: str
    place: str
    state: str
    owner: str
    phone: str
    days: str
    done_by: date | None
    late: bool
    behind: str
    href: str
    form: TaskDaysForm | None


@dataclass(frozen=True)
class PackageLine:
    """A package: its states in words, its days, what holds it up. ``state`` is that of what can move first.

    ``done_by`` is the day by which the whole of it is wanted, ``form`` sets it where the reader may.
    """

    key: str
    name: str
    state: str
    counts: str
    days: str
    late: int
    holding: tuple[MissingLine, ...]
    tasks: tuple[TaskLine, ...]
    open: bool
    done_by: date | None = None
    form: PackageDayForm | None = None


class Packaging:
    """What the lines are made from: the scene, the dates, names of places, addresses."""

    def __init__(
        self,
        scene: Scene,
        dated: DatedPlan,
        places: Mapping[str, str],
        address: Callable[[Task], str],
        days: Mapping[str, date],
    ) -> None:
        self.days = days
        self.scene, self.dated, self.places, self.address = scene, dated, places, address
        self.standing = {task.key: task for task in scene.standing.tasks}

    def lines(
        self, packages: Iterable[PackageView], opened: str, form: Callable[[Task], TaskDaysForm | None]
    ) -> list[PackageLine]:
        """One line for each package; only the opened one has its tasks."""
        return [self._package(package, package.key == opened, form) for package in packages]

    def _package(
        self, package: PackageView, is_open: bool, form: Callable[[Task], TaskDaysForm | None]
    ) -> PackageLine:
        tasks = [task for task in package.tasks if task.key in self.scene.assessment.tasks]
        to_do = [task for task in tasks if self._state(task) not in OVER]
        states = Counter(self._state(task) for task in tasks)
        return PackageLine(
            key=package.key,
            name=said(package.text),
            state=min(states, key=ORDER.index, default="done"),
            counts=", ".join(f"{states[state]} {LOOKS[state].word}" for state in ORDER if states[state]),
            days=self._span(to_do or tasks),
            late=sum(self._late(task) for task in to_do),
            holding=self._holding(to_do),
            tasks=tuple(self._task(task, form) for task in tasks) if is_open else (),
            open=is_open,
            done_by=self.days.get(package.key),
            form=package_form(package.key, self.days.get(package.key)) if is_open and to_do else None,
        )

    def _holding(self, to_do: list[Task]) -> tuple[MissingLine, ...]:
        """What the first task to come waits for, or else who is at it."""
        if not to_do:
            return ()
        first = min(to_do, key=self._first)
        if self._state(first) == "held":
            missing = self.scene.assessment.tasks[first.key].start_missing[:SHOWN]
            if missing:
                return tuple(missing_lines(missing, self.scene.holding, self.address))
        standing = self.standing[first.key]
        words = _("%(task)s: %(state)s") % {
            "task": self._name(first.key),
            "state": LOOKS[self._state(first)].word,
        }
        line = MissingLine(words, standing.owner, standing.phone, self.address(first), self._state(first))
        return (line,)

    def _task(self, task: Task, form: Callable[[Task], TaskDaysForm | None]) -> TaskLine:
        standing = self.standing[task.key]
        return TaskLine(
            uid=task.uid,
            name=said(task.derived["text"]),
            place=self.places.get(task.place, ""),
            state=self._state(task),
            owner=standing.owner,
            phone=standing.phone,
            days=self._span([task]),
            done_by=self._wanted(task),
            late=self._state(task) not in OVER and self._late(task),
            behind=self._behind(task),
            href=self.address(task),
            form=form(task) if task.finished_on is None and not task.is_gate else None,
        )

    def _state(self, task: Task) -> str:
        return self.scene.assessment.tasks[task.key].state

    def _first(self, task: Task) -> tuple[date, int, str]:
        dates = self.dated.tasks.get(task.key)
        return (dates.early_start if dates else date.max, ORDER.index(self._state(task)), task.key)

    def _late(self, task: Task) -> bool:
        dates = self.dated.tasks.get(task.key)
        wanted = self._wanted(task)
        return bool(wanted and dates and dates.early_last_day > wanted)

    def _wanted(self, task: Task) -> date | None:
        """Its own day, else that of its package."""
        return task.done_by or (None if task.is_gate else self.days.get(task.package))

    def _behind(self, task: Task) -> str:
        """How far behind, and which day causes it."""
        if task.key not in self.dated.tasks or self._state(task) in OVER:
            return ""
        return behind_words(self.dated, task.key, self._name)

    def _name(self, key: str) -> str:
        return names_of(self.scene).task(key)

    def _span(self, tasks: Iterable[Task]) -> str:
        found = [self.dated.tasks[task.key] for task in tasks if task.key in self.dated.tasks]
        if not found:
            return ""
        first, last = min(d.early_start for d in found), max(d.early_last_day for d in found)
        if first >= last:
            return f"{on_day(last)} {last.year}"
        return f"{on_day(first)} – {on_day(last)} {last.year}"
