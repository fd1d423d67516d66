"""The rows of any number of projects, loaded in a constant number of queries however many there are."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from coordination.access.models import Assignment, Membership, Project
from coordination.evidence.queries import shown_for_projects
from coordination.gates.holding import Holding
from coordination.gates.models import Answer, Clearing, Concession, Offer, Signature, Voice
from coordination.projects.models import (
    Authority,
    Calendar,
    Condition,
    FactEntry,
    Gate,
    Link,
    PlanChange,
    PlanRevision,
    Question,
    Requirement,
    Task,
)


def load(projects: Iterable[Project], today: Callable[[Project], date] | date) -> dict[int, Holding]:
    """By the project's own key. ``today`` is each project's local date."""
    every = list(projects)
    found = {row.pk: Holding(row, today if isinstance(today, date) else today(row)) for row in every}
    _load_plan(found)
    _load_decisions(found)
    _load_people(found)
    _load_shown(found, every)
    return found


def _load_plan(found: Mapping[int, Holding]) -> None:
    keys = list(found)
    for task in Task.objects.filter(project__in=keys).order_by("place_order", "key"):
        found[task.project_id].tasks.append(task)
    home = {task.pk: holding for holding in found.values() for task in holding.tasks}
    live = {"retired_in__isnull": True}
    _spread(
        home,
        "requirements",
        "task_id",
        Requirement.objects.filter(task__project__in=keys, **live).order_by("order", "key"),
    )
    _spread(home, "links", "before_id", Link.objects.filter(before__project__in=keys, **live).order_by("pk"))
    _spread(home, "gates", "task_id", Gate.objects.filter(task__project__in=keys).order_by("order", "key"))
    gates = {gate.pk: holding for holding in found.values() for gate in holding.gates}
    conditions = Condition.objects.filter(gate__task__project__in=keys, **live).order_by("kind", "subject")
    _spread(gates, "conditions", "gate_id", conditions)
    projects = dict(found)
    _spread(projects, "questions", "project_id", Question.objects.filter(project__in=keys, **live))
    _spread(
        projects,
        "changes",
        "project_id",
        PlanChange.objects.filter(project__in=keys, state__in=["open", "replaced"])
        .defer("derived", "summary")
        .select_related("event"),
    )
    _spread(
        projects,
        "revisions",
        "project_id",
        PlanRevision.objects.filter(project__in=keys)
        .defer("derived")
        .select_related("event")
        .order_by("number"),
    )
    _spread(
        projects,
        "entries",
        "project_id",
        FactEntry.objects.filter(project__in=keys).select_related("event").order_by("seq", "pk"),
    )
    _spread(projects, "calendars", "project_id", Calendar.objects.filter(project__in=keys))


def _load_decisions(found: Mapping[int, Holding]) -> None:
    keys = list(found)
    tasks = {task.pk: holding for holding in found.values() for task in holding.tasks}
    gates = {gate.pk: holding for holding in found.values() for gate in holding.gates}
    _spread(tasks, "offers", "task_id", Offer.objects.filter(task__project__in=keys).order_by("round"))
    offers = {offer.pk: holding for holding in found.values() for offer in holding.offers}
    _spread(
        offers, "answers", "offer_id", Answer.objects.filter(offer__task__project__in=keys).order_by("pk")
    )
    clearings = (
        Clearing.objects.filter(gate__task__project__in=keys).defer("snapshot").select_related("event")
    )
    _spread(gates, "clearings", "gate_id", clearings.order_by("round"))
    _spread(
        gates, "signatures", "gate_id", Signature.objects.filter(gate__task__project__in=keys).order_by("pk")
    )
    needs = {row.pk: holding for holding in found.values() for row in holding.requirements}
    concessions = Concession.objects.filter(requirement__task__project__in=keys)
    papers = concessions.select_related("variance__blob").order_by("pk")
    _spread(needs, "concessions", "requirement_id", papers)
    granted = {row.pk: holding for holding in found.values() for row in holding.concessions}
    voices = Voice.objects.filter(concession__requirement__task__project__in=keys).order_by("pk")
    _spread(granted, "voices", "concession_id", voices)


def _load_people(found: Mapping[int, Holding]) -> None:
    keys, projects = list(found), dict(found)
    assigned = Assignment.objects.filter(project__in=keys, ended_at__isnull=True).select_related("company")
    _spread(projects, "assignments", "project_id", assigned)
    members = Membership.objects.filter(project__in=keys, left_at__isnull=True)
    _spread(
        projects,
        "memberships",
        "project_id",
        members.select_related("person", "company").order_by("deputy", "pk"),
    )
    _spread(
        projects, "authorities", "project_id", Authority.objects.filter(project__in=keys).order_by("kind")
    )


def _load_shown(found: Mapping[int, Holding], projects: Sequence[Project]) -> None:
    home = {row.pk: holding for holding in found.values() for row in holding.requirements}
    requirements = [row for holding in found.values() for row in holding.requirements]
    for pk, shown in shown_for_projects(projects, requirements).items():
        home[pk].shown[pk] = shown


def _spread(home: Mapping[int, Holding], name: str, key: str, rows: Iterable[Any]) -> None:
    """Give each row to its project's holding. A row whose owner was left out is left out too."""
    for row in rows:
        if (holding := home.get(getattr(row, key))) is not None:
            getattr(holding, name).append(row)
