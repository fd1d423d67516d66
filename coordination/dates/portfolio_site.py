"""One site's part of a portfolio: its open work, called by the site's name, with what it asks of the crews."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Final

from coordination.access.models import Project
from coordination.access.queries import CompanyView
from coordination.dates.forecasting import Outlook
from coordination.dates.models import Crew, SiteAsks
from coordination.dates.visiting import WORK, work_of
from coordination.projects.models import Task as TaskRow
from coordination.scheduling.network import Link, Task

CERTAINTY = 0.8
# Who has to be there on the same day besides the trade itself (common practice, no source).
TOGETHER: Final[Mapping[str, tuple[str, ...]]] = {
    "joint-pretest": ("electrical", "fire alarm", "general contractor"),
    "acceptance": ("lift", "fire alarm", "general contractor"),
}
# Work of the lift crew that belongs to no visit's list is done on the visit that it leads to or follows.
ON_THE_VISIT: Final[Mapping[str, str]] = {"door-space": "return", "handover": "inspection"}
PAPER = "paper"
NOT_ON_SITE = frozenset({"authority", "maker"})


@dataclass
class SiteWork:
    """One project's open work, called by the site's name, with what it asks of the crews."""

    project: Project
    outlook: Outlook
    companies: Mapping[str, CompanyView]
    rows: Mapping[str, TaskRow]
    asks: SiteAsks
    days: Mapping[str, date]
    crews: Iterable[Crew]

    def __post_init__(self) -> None:
        self.uid, self.network = str(self.project.uid), self.outlook.dated.schedule.network
        self.kinds = {(str(crew.company.uid), crew.trade) for crew in self.crews}
        self.open = [task for task in self.network.tasks if task.finished is None]
        self.calls = {self.name(task.key): kinds for task in self.open if (kinds := self._calls(task))}
        self.booked = {key: day for visit, day in self.days.items() if (key := self._first_of(visit))}

    def name(self, key: str) -> str:
        return f"{self.uid}/{key}"

    def tasks(self, calendars: Mapping[str, str]) -> list[Task]:
        return [self._task(task, calendars[task.calendar]) for task in self.open]

    def links(self, calendars: Mapping[str, str]) -> list[Link]:
        """Links among work to come: what finished or begun work asks is in the earliest days already."""
        begun = {task.key for task in self.network.tasks if task.started is not None}
        return [
            replace(
                link,
                before=self.name(link.before),
                after=self.name(link.after),
                calendar=calendars[link.calendar] if link.calendar else None,
            )
            for link in self.network.links
            if link.after not in begun and (link.before not in begun or self._is_open_end(link))
        ]

    def trips(self) -> dict[str, str]:
        listed = {entry: visit for visit, entries in WORK.items() for entry in entries}
        visit_of = {**listed, **ON_THE_VISIT}
        return {
            key: f"{self.uid}/{visit}"
            for key in self.calls
            if (visit := visit_of.get(key.partition("/")[2].partition("@")[0]))
        }

    def wish(self) -> dict[str, date]:
        """The day on which the site would have the crew come next, as the day of the first task of that visit."""
        if self.asks.wish is None:
            return {}
        coming = [key for visit in WORK if (key := self._first_of(visit))]
        return {coming[0]: self.asks.wish} if coming else {}

    def words(self) -> dict[str, Any]:
        keys = {*self.calls, self.end()}
        return {key: self.rows[key.partition("/")[2]].derived["text"] for key in sorted(keys)}

    def end(self) -> str:
        """The gate of the handover, else the task that is done last."""
        dates = self.outlook.dated.tasks
        last = max(self.open, key=lambda task: (dates[task.key].early_boundary, task.milestone, task.key))
        return self.name(last.key)

    def _is_open_end(self, link: Link) -> bool:
        """Does the link wait for the end of begun work that is still going on?"""
        before = self.network.tasks[self.network.position[link.before]]
        return before.finished is None and link.kind in ("FS", "FF")

    def _calls(self, task: Task) -> tuple[str, ...]:
        row = self.rows.get(task.key)
        if row is None or task.milestone or row.package == PAPER:
            return ()
        own = () if task.calendar in NOT_ON_SITE else (row.trade,)
        trades = dict.fromkeys((*own, *TOGETHER.get(row.entry, ())))
        wanted = [(self._company(trade), trade) for trade in trades]
        return tuple(f"{company}/{trade}" for company, trade in wanted if (company, trade) in self.kinds)

    def _company(self, trade: str) -> str:
        company = self.companies.get(trade)
        return str(company.uid) if company else ""

    def _task(self, task: Task, calendar: str) -> Task:
        dates = self.outlook.dated.tasks[task.key]
        crewed = self.name(task.key) in self.calls
        if task.started is not None:
            goes_on = dates.resumes or dates.early_start
            days = self.network.calendars[task.calendar].count(goes_on, dates.early_boundary)
            if crewed and days:
                return replace(task, key=self.name(task.key), calendar=calendar, remaining=days, due=None)
            return Task(self.name(task.key), max(0, days), calendar, not_before=goes_on)
        release = self._release(task) if crewed else None
        return replace(
            task,
            key=self.name(task.key),
            calendar=calendar,
            not_before=max(filter(None, (dates.early_start, release))),
            due=task.due if crewed else None,
        )

    def _release(self, task: Task) -> date | None:
        """The first day of the crew on which the site is ready for the visit with the certainty we plan with."""
        for visit in WORK:
            sure = self.outlook.of_visit(visit)
            if sure is not None and any(each.key == task.key for each in work_of([task], visit)):
                return self.outlook.first_crew_day(sure.at(CERTAINTY).last_day)
        return None

    def _first_of(self, visit: str) -> str | None:
        """The task with which a visit that has not begun begins."""
        work = [task for task in work_of(self.network.tasks, visit) if task.finished is None]
        if not work or any(task.started for task in work_of(self.network.tasks, visit)):
            return None
        dates = self.outlook.dated.tasks
        first = self.name(min(work, key=lambda task: (dates[task.key].early_start, task.key)).key)
        return first if first in self.calls else None
