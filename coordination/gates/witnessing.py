"""Witness points: where a party is told beforehand and may attend. Nothing waits for it: work goes on either way.

Hold point and witness point are the usual words of inspection plans (common practice, no source).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from coordination.access.models import Project
from coordination.gates.calendars import add_days
from coordination.gates.holding import Holding
from coordination.gates.models import Attendance, WitnessNotice, WitnessPoint
from coordination.projects.models import Task


@dataclass(frozen=True)
class Point:
    """One point on one task, with the newest notice and the newest word on whether the party came."""

    task: Task
    key: str
    party: str
    text: Mapping[str, str]
    notice_days: int
    own: WitnessPoint | None
    notice: WitnessNotice | None
    attendance: Attendance | None

    @property
    def state(self) -> str:
        """``none``, ``told``, ``attended`` or ``not attended``; the newest notice counts."""
        if self.notice is None:
            return "none"
        if self.attendance is None:
            return "told"
        return "attended" if self.attendance.attended else "not attended"

    @property
    def short(self) -> bool:
        """Whether the party was told later than its notice time asks."""
        return self.notice is not None and self.notice.for_day < self.notice.earliest


@dataclass(frozen=True)
class _Words:
    """The newest notice by task and point, and the newest word on who came by notice."""

    notices: Mapping[tuple[int, str], WitnessNotice]
    attendance: Mapping[int, Attendance]


def points_of(holding: Holding) -> list[Point]:
    """Every point of the live work, by place and task: those of the plan, then those of the project's own."""
    project = holding.project
    own = list(WitnessPoint.objects.filter(task__project=project, ended_at=None).order_by("pk"))
    words = _words_on(project)
    found = []
    for task in holding.tasks:
        if task.retired_in is not None:
            continue
        for told in task.derived.get("witness", ()):
            found.append(_point(holding, task, told, None, words))
        for row in own:
            if row.task_id == task.pk:
                told = {
                    "key": str(row.uid),
                    "party": row.party,
                    "text": {"en": row.text},
                    "notice_days": row.notice_days,
                }
                found.append(_point(holding, task, told, row, words))
    return found


def earliest_day(holding: Holding, point: Point) -> date:
    """The first day for which the party can be told today, by its notice time."""
    return add_days(holding, "site", holding.today, point.notice_days)


def told_by(holding: Holding, point: Point, begins: date) -> date:
    """The last day on which notice is in time for work that begins on ``begins``."""
    day = begins
    while add_days(holding, "site", day, point.notice_days) > begins:
        day -= timedelta(days=1)
    return day


def _words_on(project: Project) -> _Words:
    notices = WitnessNotice.objects.filter(task__project=project).order_by("pk")
    said = Attendance.objects.filter(notice__task__project=project).order_by("pk")
    return _Words({(row.task_id, row.point): row for row in notices}, {row.notice_id: row for row in said})


def _point(
    holding: Holding,
    task: Task,
    told: Mapping[str, object],
    own: WitnessPoint | None,
    words: _Words,
) -> Point:
    key, party = str(told["key"]), str(told["party"])
    notice = words.notices.get((task.pk, key))
    text = told["text"]
    return Point(
        task=task,
        key=key,
        party=party,
        text=dict(text) if isinstance(text, Mapping) else {},
        notice_days=_notice_days(holding, party, told["notice_days"]),
        own=own,
        notice=notice,
        attendance=words.attendance.get(notice.pk) if notice else None,
    )


def _notice_days(holding: Holding, party: str, usual: object) -> int:
    """An authority's own notice time where it is written down; else that of the point."""
    row = next((row for row in holding.authorities if row.kind == party), None)
    return row.notice_days if row is not None else int(str(usual))
