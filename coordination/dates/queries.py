"""When it can happen: dates, gates, needed-by days, visits, over one project or many."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from coordination.access.models import Project
from coordination.dates.baselines import Drift, dates_of
from coordination.dates.dating import DatedPlan, dated_plans, day_before
from coordination.dates.models import Baseline, Visit
from coordination.projects.models import Question

__all__ = ["DatedPlan", "SiteDates", "drift", "needed_by", "portfolio", "schedule_of", "visits"]


@dataclass(frozen=True)
class SiteDates:
    """One site among many: its dates, its next gate and visit, and the questions that are due or overdue."""

    project: Project
    dated: DatedPlan
    next_gate: tuple[str, date] | None
    next_visit: Visit | None
    needed_by: Mapping[str, date]


def schedule_of(project: Project, today: date) -> DatedPlan:
    """The dates of the project as they stand on ``today``. Raises NetworkError, OutOfHorizon."""
    return dated_plans([project], today)[project.pk]


def needed_by(project: Project, today: date) -> dict[str, date]:
    """For each open question the last working day before the first task that waits for its answer.

    A question that no single task waits for is needed before the first task to come.
    """
    questions = Question.objects.filter(project=project, retired_in__isnull=True).order_by("pk")
    return _needed_by(schedule_of(project, today), questions, today)


def visits(project: Project) -> list[Visit]:
    """Standing bookings, by day."""
    return list(Visit.objects.filter(project=project, moved_at__isnull=True).order_by("day", "pk"))


def portfolio(projects: Iterable[Project], today: date) -> list[SiteDates]:
    """Each site's dates, in the order given; the same number of queries however many sites."""
    listed = list(projects)
    dated = dated_plans(listed, today)
    to_come = Visit.objects.filter(project__in=listed, moved_at__isnull=True, day__gte=today)
    next_visit = {visit.project_id: visit for visit in to_come.order_by("-day", "-pk")}
    questions: dict[int, list[Question]] = {project.pk: [] for project in listed}
    for question in Question.objects.filter(project__in=listed, retired_in__isnull=True).order_by("pk"):
        questions[question.project_id].append(question)
    return [
        SiteDates(
            project,
            dated[project.pk],
            _next_gate(dated[project.pk]),
            next_visit.get(project.pk),
            _needed_by(dated[project.pk], questions[project.pk], today),
        )
        for project in listed
    ]


def drift(project: Project, today: date, *, since: int | None = None) -> list[Drift]:
    """How far each task has moved since a baseline (the newest unless ``since`` numbers it), the furthest first.

    Empty where there is no baseline; tasks that one of the two does not know are left out.
    """
    baselines = Baseline.objects.filter(project=project).order_by("-number")
    baseline = (baselines if since is None else baselines.filter(number=since)).first()
    if baseline is None:
        return []
    now = schedule_of(project, today).tasks
    moved = [
        Drift(key, last, now[key].early_last_day)
        for key, (_first, last) in dates_of(baseline).items()
        if key in now
    ]
    return sorted((each for each in moved if each.days), key=lambda each: (-each.days, each.task))


def _next_gate(dated: DatedPlan) -> tuple[str, date] | None:
    """The gate that comes first among those that were not cleared."""
    tasks = dated.schedule.network.tasks
    waiting = {task.key for task in tasks if task.milestone and task.finished is None}
    to_come = [(day, gate) for gate, day in dated.gates.items() if dated.milestones[gate] in waiting]
    if not to_come:
        return None
    day, gate = min(to_come)
    return gate, day


def _needed_by(dated: DatedPlan, questions: Iterable[Question], today: date) -> dict[str, date]:
    tasks = dated.schedule.network.tasks
    to_come = {task.key: dated.tasks[task.key].early_start for task in tasks if task.started is None}
    found = {}
    for question in questions:
        waiting = question.derived["tasks"]
        starts = [to_come[key] for key in waiting if key in to_come]
        if not waiting:
            starts = list(to_come.values())
        found[question.fact] = day_before(dated, min(starts)) if starts else today
    return found
