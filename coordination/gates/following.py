"""What follows from time or from facts alone, found from state: concessions that ran out, gates that moved."""

from collections.abc import Iterable, Iterator
from datetime import datetime
from uuid import UUID

from coordination.access.models import Project
from coordination.gates.actions import lapse_concessions, reopen_moved_gates
from coordination.gates.calendars import local_day
from coordination.gates.models import Clearing, Concession
from coordination.gates.queries import scenes
from coordination.gates.reopening import moved_in

AT_ONCE = 50


def unsettled(now: datetime) -> list[str]:
    """Uids of projects on which a concession ran out or a standing gate no longer stands for what it read."""
    return sorted({str(project.uid) for project in (*_with_lapsed(now), *_with_moved(now))})


def settle(uid: str, at: datetime) -> None:
    """End and reopen what ``unsettled`` found on one project; harmless when nothing is left."""
    project = Project.objects.select_related("supplier").get(uid=UUID(uid))
    lapse_concessions(project, at)
    reopen_moved_gates(project, at)


def _with_lapsed(now: datetime) -> Iterator[Project]:
    rows = Concession.objects.filter(ended_at__isnull=True, expires_on__isnull=False)
    for row in rows.select_related("requirement__task__project"):
        project = row.requirement.task.project
        if row.expires_on and row.expires_on < local_day(project, now):
            yield project


def _with_moved(now: datetime) -> Iterator[Project]:
    standing = Clearing.objects.filter(reopened_at__isnull=True).values("gate__task__project")
    for some in _in_parts(Project.objects.filter(pk__in=standing).order_by("pk")):
        for scene in scenes(some, now).values():
            if moved_in(scene.holding):
                yield scene.holding.project


def _in_parts(projects: Iterable[Project]) -> Iterator[list[Project]]:
    part: list[Project] = []
    for project in projects:
        part.append(project)
        if len(part) == AT_ONCE:
            yield part
            part = []
    if part:
        yield part
