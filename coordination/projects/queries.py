"""What is known of a project, what is planned, and what is open."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from django.db.models import F, Window
from django.db.models.functions import RowNumber

from coordination.access.models import Project
from coordination.projects.changing import newest_revision, plan_in
from coordination.projects.deriving import empty_plan, read_plan
from coordination.projects.models import (
    Authority,
    FactEntry,
    PlanChange,
    PlanRevision,
    Question,
    SitePosition,
    Task,
)
from coordination.projects.stating import facts_of, newest_entries
from coordination.siteprep.facts import Fact, FactDefinition, Facts
from coordination.siteprep.lengths import UnitSystem
from coordination.siteprep.plan import Plan


@dataclass(frozen=True)
class Statement:
    """A fact with its definition, and who said it when; ``said_on`` None where nobody has said anything."""

    definition: FactDefinition
    fact: Fact
    said_on: date | None


@dataclass(frozen=True)
class MovedUnder:
    """A derived value that a change moves under a value that people set. People's own stays."""

    task: str
    field: str
    own: int
    before: int
    after: int


@dataclass(frozen=True)
class ChangeView:
    """The open change: both plans, the keys that differ, and what moves under people's own values."""

    uid: UUID
    standing: Plan
    proposed: Plan
    summary: Mapping[str, Any]
    moved_under: tuple[MovedUnder, ...]

    @property
    def is_first(self) -> bool:
        """Whether nothing stands yet: the whole plan is new."""
        return not self.standing.tasks


@dataclass(frozen=True)
class QuestionView:
    """An open question: which fact, in which words, who decides, and which tasks wait for it."""

    uid: UUID
    fact: str
    text: Mapping[str, str]
    decides: str
    tasks: tuple[str, ...]
    safe_default: Mapping[str, str] | None
    readings: tuple[Mapping[str, str], ...]


@dataclass(frozen=True)
class PackageView:
    """One of the dozen bundles that the contractor sees first, with its standing tasks."""

    key: str
    text: Mapping[str, str]
    tasks: tuple[Task, ...]


UNITS_FACT = "job.units"


def units_of(project: Project) -> UnitSystem:
    """The units that the trades of this job measure in."""
    return units_from(FactEntry.objects.filter(project=project, key=UNITS_FACT).order_by("-seq").first())


def units_from(entry: FactEntry | None) -> UnitSystem:
    """The units that the newest statement about them gives; feet and inches while nobody has said."""
    return "metric" if entry is not None and entry.value == "metric" else "us"


def site_position(project: Project) -> tuple[float, float] | None:
    """Latitude and longitude in degrees, as said last; None where nobody said it, or took it back."""
    row = SitePosition.objects.filter(project=project).order_by("-pk").first()
    if row is None or row.latitude is None or row.longitude is None:
        return None
    return row.latitude, row.longitude


def standing_facts(project: Project) -> Facts:
    """All facts of the project as they stand; what nobody stated is unknown."""
    return facts_of(project, newest_entries(project))


def statements(project: Project) -> list[Statement]:
    """Every fact that can be asked, in the order of the form, with who said it and when."""
    entries = newest_entries(project)
    facts = facts_of(project, entries)
    said_on = {key: entry.said_on for key, entry in entries.items()}
    return [Statement(facts.definitions[key], fact, said_on.get(key)) for key, fact in facts.items()]


def history_of(project: Project, fact: str) -> list[FactEntry]:
    """Everything that was ever said of one fact, oldest first."""
    return list(FactEntry.objects.filter(project=project, key=fact).order_by("seq"))


def standing_plan(project: Project) -> Plan:
    """The plan that was accepted last; one without anything before the first."""
    return plan_in(newest_revision(project), project)


def standing_plans(projects: Iterable[Project]) -> dict[int, Plan]:
    """The standing plan of each project, by the project's own key; one query however many projects."""
    listed = {project.pk: project for project in projects}
    newest = Window(RowNumber(), partition_by=F("project"), order_by=F("number").desc())
    revisions = PlanRevision.objects.filter(project__in=listed).annotate(place=newest).filter(place=1)
    found = {revision.project_id: read_plan(revision.derived) for revision in revisions}
    return {key: found.get(key) or empty_plan(project.code_set) for key, project in listed.items()}


def open_change(project: Project) -> ChangeView | None:
    """The change that waits to be accepted, if any."""
    change = PlanChange.objects.filter(project=project, state="open").select_related("base").first()
    if change is None:
        return None
    standing, proposed = plan_in(change.base, project), read_plan(change.derived)
    moved = _moved_under(project, standing, proposed)
    return ChangeView(change.uid, standing, proposed, change.summary, moved)


def is_settled(project: Project) -> bool:
    """Whether the standing plan is what the standing facts give: no change waits."""
    return not PlanChange.objects.filter(project=project, state="open").exists()


def questions(project: Project) -> list[QuestionView]:
    """Open questions of the standing plan, in the plan's order."""
    order = {question.fact: n for n, question in enumerate(standing_plan(project).questions)}
    rows = Question.objects.filter(project=project, retired_in__isnull=True)
    return [_question(row) for row in sorted(rows, key=lambda row: order.get(row.fact, len(order)))]


def tasks(project: Project) -> list[Task]:
    """Standing tasks by place, and within it in the plan's order."""
    order = {task.key: n for n, task in enumerate(standing_plan(project).tasks)}
    rows = Task.objects.filter(project=project, retired_in__isnull=True)
    return sorted(rows, key=lambda task: (task.place_order, order.get(task.key, len(order))))


def packages(project: Project) -> list[PackageView]:
    """Packages in order, each with its tasks in the plan's order; a package without tasks is left out."""
    plan = standing_plan(project)
    order = {task.key: n for n, task in enumerate(plan.tasks)}
    rows = Task.objects.filter(project=project, retired_in__isnull=True)
    bundled: dict[str, list[Task]] = {}
    for task in sorted(rows, key=lambda task: order.get(task.key, len(order))):
        bundled.setdefault(task.package, []).append(task)
    return [
        PackageView(package.key, package.text, tuple(bundled[package.key]))
        for package in sorted(plan.packages, key=lambda package: package.order)
        if package.key in bundled
    ]


def authorities(project: Project) -> list[Authority]:
    """Authorities of which anything is known, in the order of ``Authority.KINDS``."""
    return sorted(Authority.objects.filter(project=project), key=lambda row: Authority.KINDS.index(row.kind))


def _question(row: Question) -> QuestionView:
    return QuestionView(
        uid=row.uid,
        fact=row.fact,
        text=row.derived["text"],
        decides=row.decides,
        tasks=tuple(row.derived["tasks"]),
        safe_default=row.derived["safe_default"],
        readings=tuple(row.derived["readings"]),
    )


def _moved_under(project: Project, standing: Plan, proposed: Plan) -> tuple[MovedUnder, ...]:
    """Durations that people set and under which the derived one moves, in the plan's order."""
    own = Task.objects.filter(project=project, own_duration__isnull=False)
    durations = dict(own.values_list("key", "own_duration"))
    before = {task.key: task.duration.likely for task in standing.tasks}
    return tuple(
        MovedUnder(task.key, "duration", durations[old], before[old], task.duration.likely)
        for task in proposed.tasks
        for old in [next((key for key in (task.key, *task.was) if key in before), "")]
        if old in durations and before[old] != task.duration.likely
    )
