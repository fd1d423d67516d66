"""What a calendar feed says of work and visits: when, what, where, in which state, what it waits for and from whom.

No telephone and no other company's work: an address of a calendar is copied to servers that nobody here knows.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext as _

from coordination.access.calendar_scopes import CalendarScope
from coordination.access.models import Project
from coordination.dates.calendar_feed import Wanted
from coordination.dates.models import Visit
from coordination.dates.queries import DatedPlan, portfolio
from coordination.gates.calendars import local_day
from coordination.gates.queries import Scene, scenes
from coordination.gates.sentences import of_task
from coordination.projects.models import Task
from coordination.projects.queries import standing_plans
from coordination.projects.trade_words import in_words_of
from coordination.siteprep.plan import Plan
from coordination.web.missing import missing_lines
from coordination.web.shapes.task_sheets import place_words
from coordination.web.shapes.visit_lines import NAMES
from coordination.web.texts import on_day, said
from coordination.web.words import LOOKS

SHOWN = 6
MOST = 380


@dataclass(frozen=True)
class _Site:
    """Everything of one project that its entries are made from."""

    project: Project
    scene: Scene
    dated: DatedPlan
    plan: Plan
    visits: tuple[Visit, ...]


def feed_entries(scope: CalendarScope, at: datetime) -> list[Wanted]:
    """The entries of all projects of the scope; the same number of queries however many there are."""
    return [entry for site in _sites(scope, at) for entry in _entries(site, scope)]


def _sites(scope: CalendarScope, at: datetime) -> Iterator[_Site]:
    projects = scope.projects
    seen, plans = scenes(projects, at), standing_plans(projects)
    booked: dict[int, list[Visit]] = {project.pk: [] for project in projects}
    if scope.visits:
        for visit in Visit.objects.filter(project__in=projects, moved_at__isnull=True).order_by("pk"):
            booked[visit.project_id].append(visit)
    days = {project.pk: local_day(project, at) for project in projects}
    for day in sorted(set(days.values())):
        for dates in portfolio([project for project in projects if days[project.pk] == day], day):
            key = dates.project.pk
            yield _Site(dates.project, seen[key], dates.dated, plans[key], tuple(booked[key]))


def _entries(site: _Site, scope: CalendarScope) -> Iterator[Wanted]:
    for task in site.scene.holding.tasks:
        own = (site.project.pk, task.trade) in scope.trades
        if own and not task.is_gate and task.retired_in is None and task.key in site.dated.tasks:
            yield _work(task, site)
    for visit in site.visits:
        yield _visit(visit, site)
        if scope.link.company_id is None and visit.confirm_by < visit.day:
            yield _confirm_by(visit, site)


def _work(task: Task, site: _Site) -> Wanted:
    """A milestone may be told of as ending on the evening before its first morning: then it is that one day."""
    dates = site.dated.tasks[task.key]
    name = f"{of_task(task)}, {place_words(task, site.plan)} ({site.project.name})"
    return Wanted(
        project=site.project,
        subject=f"task {task.uid}",
        first=dates.early_start,
        last=max(dates.early_start, dates.early_last_day),
        summary=name[:MOST],
        place=site.project.place,
        text=_text(task, site),
        tentative=task.provisional and task.begun_on is None,
    )


def _text(task: Task, site: _Site) -> str:
    ready = site.scene.ready(task)
    lines = [said(task.derived.get("first_line", {})), _state(task, site)]
    waiting = missing_lines(ready.start_missing, site.scene.holding) if ready.state == "held" else []
    if waiting:
        lines.append(_("Waits for:"))
    for line in waiting[:SHOWN]:
        lines.append(f"- {line.sentence}" + (f" ({line.owner})" if line.owner else ""))
    if len(waiting) > SHOWN:
        lines.append(_("- and %(number)s more") % {"number": len(waiting) - SHOWN})
    if task.derived.get("cautions"):
        lines.append(
            in_words_of(
                site.project.code_set,
                _("“Ready” is no permission to enter the {hoistway} or to energize anything."),
            )
        )
    return "\n".join(filter(None, lines))


def _state(task: Task, site: _Site) -> str:
    word = str(LOOKS[site.scene.ready(task).state].word)
    return _("As it stands: %(state)s") % {"state": word}


def _visit(visit: Visit, site: _Site) -> Wanted:
    summary = _("Visit: %(visit)s (%(site)s)") % _names(visit, site)
    text = _("Confirm by %(day)s.") % {"day": on_day(visit.confirm_by)}
    return Wanted(site.project, f"visit {visit.key}", visit.day, visit.day, summary, site.project.place, text)


def _confirm_by(visit: Visit, site: _Site) -> Wanted:
    summary = _("Confirm or call off: %(visit)s (%(site)s)") % _names(visit, site)
    text, day = _("The visit is on %(day)s.") % {"day": on_day(visit.day)}, visit.confirm_by
    return Wanted(site.project, f"confirm {visit.key}", day, day, summary, site.project.place, text)


def _names(visit: Visit, site: _Site) -> dict[str, str]:
    name = in_words_of(site.project.code_set, str(NAMES.get(visit.key, visit.key)))
    return {"visit": name, "site": site.project.name}
