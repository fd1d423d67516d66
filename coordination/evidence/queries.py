"""What was handed in, and what it counts for."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet

from coordination.access.models import Project
from coordination.access.refusals import NotVisible
from coordination.evidence.models import (
    Evidence,
    Mark,
    MarkNamed,
    MarkReason,
    MarkTakenBack,
    Rendition,
    Review,
)
from coordination.evidence.outcomes import Item, Shown, StandingMark, shown
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


def item_of(evidence: Evidence) -> Item:
    """One piece of evidence with the newest word on it and its copies."""
    newest = Review.objects.filter(evidence=evidence).order_by("-pk").first()
    return Item(evidence, newest, _CopiesOf(Evidence.objects.filter(pk=evidence.pk)))


def _shown(requirements: Iterable[Requirement], rows: QuerySet[Evidence]) -> dict[int, Shown]:
    items = _items(rows)
    return {row.pk: shown(row, items[row.pk]) for row in requirements}


def standing_marks(evidence: QuerySet[Evidence]) -> list[StandingMark]:
    """The marks over some photos that were not taken back, by number; one query."""
    taken_back = MarkTakenBack.objects.filter(mark=OuterRef("pk"))
    named = Exists(MarkReason.objects.filter(mark=OuterRef("pk"))) | Exists(
        MarkNamed.objects.filter(mark=OuterRef("pk"))
    )
    rows = Mark.objects.filter(~Exists(taken_back), evidence__in=evidence.values("pk"))
    return [
        StandingMark(row, row.is_reason)  # type: ignore[attr-defined]
        for row in rows.annotate(is_reason=named).order_by("evidence", "number")
    ]


class _CopiesOf:
    """The copies of some evidence, and the marks over it.

    Most decisions look at none, so they are fetched when one is asked for.
    """

    def __init__(self, rows: QuerySet[Evidence]) -> None:
        self._rows = rows

    def of(self, evidence: Evidence) -> Mapping[int, Rendition]:
        return self._found.get(evidence.pk, {})

    def marks_on(self, evidence: Evidence) -> Sequence[StandingMark]:
        return self._marks.get(evidence.pk, [])

    @cached_property
    def _marks(self) -> Mapping[int, Sequence[StandingMark]]:
        found: defaultdict[int, list[StandingMark]] = defaultdict(list)
        for mark in standing_marks(self._rows):
            found[mark.row.evidence_id].append(mark)  # type: ignore[attr-defined]
        return found

    @cached_property
    def _found(self) -> Mapping[int, Mapping[int, Rendition]]:
        found: defaultdict[int, dict[int, Rendition]] = defaultdict(dict)
        for row in Rendition.objects.filter(evidence__in=self._rows.values("pk")).select_related("blob"):
            found[row.evidence_id][row.size] = row
        return found


def _items(rows: QuerySet[Evidence]) -> defaultdict[int, list[Item]]:
    """Evidence by requirement, each with its newest review."""
    reviews = Review.objects.filter(evidence__in=rows.values("pk")).order_by("pk")
    newest = {review.evidence_id: review for review in reviews}
    copies = _CopiesOf(rows)
    found: defaultdict[int, list[Item]] = defaultdict(list)
    for row in rows.select_related("blob", "event").order_by("pk"):
        found[row.requirement_id].append(Item(row, newest.get(row.pk), copies))
    return found
