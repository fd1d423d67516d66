"""The calendars of a site as lines of a list: whose days, which weekdays, which exceptions."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.dates import WEEKDAYS
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from coordination.access.models import Project
from coordination.dates.queries import schedule_of
from coordination.projects.models import Calendar
from coordination.projects.queries import standing_facts
from coordination.projects.trade_words import spoken
from coordination.siteprep.plan_parts import CALENDARS
from coordination.web.texts import on_day

NAMES: Mapping[str, str | Promise] = {
    "site": gettext_lazy("The trades on site"),
    "lift": spoken(gettext_lazy("The {lift} crew")),
    "authority": gettext_lazy("The authorities"),
    "maker": gettext_lazy("The maker’s works"),
}


@dataclass(frozen=True)
class CalendarLine:
    """``own`` says whether people have set weekdays of their own; else they are those of the facts."""

    key: str
    name: str
    weekdays: str
    own: bool
    closed: tuple[date, ...]
    opened: tuple[date, ...]
    standing: Mapping[str, Any]


def calendar_lines(project: Project) -> list[CalendarLine]:
    """Every calendar, set or not."""
    rows = {row.key: row for row in Calendar.objects.filter(project=project)}
    said = standing_facts(project).reckoned("calendar.working_days")
    site = [int(day) for day in said] if isinstance(said, tuple) else list(range(5))
    return [_line(key, rows.get(key) or Calendar(key=key), site) for key in CALENDARS]


def _line(key: str, row: Calendar, site: list[int]) -> CalendarLine:
    days = row.weekdays if row.weekdays is not None else site if key == "site" else range(5)
    return CalendarLine(
        key=key,
        name=str(NAMES[key]),
        weekdays=", ".join(str(WEEKDAYS[day]) for day in days),
        own=row.weekdays is not None,
        closed=tuple(map(date.fromisoformat, row.closed)),
        opened=tuple(map(date.fromisoformat, row.opened)),
        standing={"weekdays": row.weekdays or [], "closed": row.closed, "opened": row.opened},
    )


def end_words(project: Project, today: date) -> str:
    """The last day of work, as the calendars now have it; empty while there is no plan."""
    end = schedule_of(project, today).end
    return _("Last day of work: %(day)s.") % {"day": f"{on_day(end)} {end.year}"} if end else ""
