"""Calculations kept beside a task as evidence of its design; they hold nothing and release nothing."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import Scope, require
from coordination.access.refusals import NotVisible
from coordination.access.visitors import Visitor
from coordination.evidence.models import Design
from coordination.files.models import Blob
from coordination.projects.models import Task


@dataclass(frozen=True)
class DesignPaper:
    """The paper of a calculation. ``given`` are its inputs as JSON, ``source`` says where those came from."""

    sender_key: UUID
    calculation: str
    given: str
    blob: Blob
    file_name: str
    source: str = ""
    note: str = ""


def attach_design(
    project: Project, visitor: Visitor, at: datetime, task_uid: UUID, paper: DesignPaper
) -> Design:
    """Keep the paper beside the task. The same key again is the same paper.

    Raises NotVisible for a task that does not stand on the project, NotAllowed.
    """
    with deciding(project, visitor, at) as pen:
        task = Task.objects.filter(
            project=project, uid=task_uid, retired_in__isnull=True, is_gate=False
        ).first()
        if task is None:
            raise NotVisible
        require(visitor, "hand in evidence", Scope(trade=task.trade))
        known = Design.objects.filter(sender_key=paper.sender_key, task=task).first()
        if known is not None:
            pen.leave_as_it_is()
            return known
        body = {"calculation": paper.calculation, "sha256": paper.blob.sha256, "source": paper.source}
        event = pen.write("calculation kept", subject=task.key, body={**body, "note": paper.note})
        return Design.objects.create(task=task, at=at, sender_name=visitor.name, event=event, **vars(paper))


def designs_of(task: Task) -> list[Design]:
    """The papers beside a task, newest first."""
    return list(Design.objects.filter(task=task).select_related("blob").order_by("-pk"))
