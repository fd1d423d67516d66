"""What was handed in, and what it counts for."""

from collections import defaultdict
from collections.abc import Iterable
from uuid import UUID

from django.db.models import QuerySet

from coordination.access.models import Project
from coordination.access.refusals import NotVisible
from coordination.evidence.models import Evidence, Rendition, Review
from coordination.evidence.outcomes import Item, Shown, shown
from coordination.projects.models import Requirement


def shown_for(requirements: Iterable[Requirement]) -> dict[int, Shown]:
    """By the requirement's own key, what stands for each; three queries however many there are."""
    asked = list(requirements)
    return _shown(asked, Evidence.objects.filter(requirement__in=[row.pk for row in asked]))


def shown_for_projects(projects: Iterable[Project], requirements: Iterable[Requirement]) -> dict[int, Shown]:
    """As ``shown_for``, for ``requirements`` that are all those of ``projects``."""
    keys = [project.pk for project in projects]
    return _shown(requirements, Evidence.objects.filter(requirement__task__project__in=keys))


def evidence_by_uid(project: Project, uid: UUID) -> Evidence:
    """One piece of evidence of a project. Raises NotVisible."""
    rows = Evidence.objects.select_related("blob", "requirement__task")
    row = rows.filter(uid=uid, requirement__task__project=project).first()
    if row is None:
        raise NotVisible
    return row


def _shown(requirements: Iterable[Requirement], rows: QuerySet[Evidence]) -> dict[int, Shown]:
    items = _items(rows)
    return {row.pk: shown(row, items[row.pk]) for row in requirements}


def _items(rows: QuerySet[Evidence]) -> defaultdict[int, list[Item]]:
    """Evidence by requirement, each with its newest review and its renditions."""
    keys = rows.values("pk")
    newest = {
        review.evidence_id: review for review in Review.objects.filter(evidence__in=keys).order_by("pk")
    }
    renditions: defaultdict[int, dict[int, Rendition]] = defaultdict(dict)
    for rendition in Rendition.objects.filter(evidence__in=keys).select_related("blob"):
        renditions[rendition.evidence_id][rendition.size] = rendition
    found: defaultdict[int, list[Item]] = defaultdict(list)
    for row in rows.select_related("blob", "event").order_by("pk"):
        found[row.requirement_id].append(Item(row, newest.get(row.pk), renditions[row.pk]))
    return found
