"""Papers and remarks, shaped for screens."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Exists, OuterRef

from coordination.access.models import Project
from coordination.files.models import Blob
from coordination.gates.models import Clearing
from coordination.handover.models import Remark, Report


@dataclass(frozen=True)
class Paper:
    """One report as a list shows it. Superseded is derived: its clearing has reopened."""

    uid: UUID
    gate_key: str
    gate_text: dict[str, str]
    round: int
    cleared_at: datetime
    code: str
    language: str
    paper: str
    sha256: str
    size: int
    superseded: bool
    because: tuple[object, ...]
    made_at: datetime
    clearing_uid: UUID
    blob: Blob


def papers(project: Project) -> list[Paper]:
    """Every report of a project, newest first."""
    rows = (
        Report.objects.filter(clearing__gate__task__project=project)
        .select_related("clearing__gate", "blob")
        .order_by("-clearing__cleared_at", "paper")
    )
    return [_paper(row) for row in rows]


def paper_of(project: Project, uid: UUID) -> Paper:
    """One report of this project. Raises Report.DoesNotExist."""
    row = Report.objects.select_related("clearing__gate", "blob").get(
        uid=uid, clearing__gate__task__project=project
    )
    return _paper(row)


def _paper(row: Report) -> Paper:
    clearing = row.clearing
    return Paper(
        uid=row.uid,
        gate_key=clearing.gate.key,
        gate_text=clearing.gate.derived.get("text", {}),
        round=clearing.round,
        cleared_at=clearing.cleared_at,
        code=row.code,
        language=row.language,
        paper=row.paper,
        sha256=row.blob.sha256,
        size=row.blob.size,
        superseded=clearing.reopened_at is not None,
        because=tuple(clearing.reopened_because),
        made_at=row.made_at,
        clearing_uid=clearing.uid,
        blob=row.blob,
    )


@dataclass(frozen=True)
class RemarkView:
    """A remark as it is shown: unverified."""

    gate_key: str
    name: str
    body: str
    at: datetime


def remarks(project: Project) -> list[RemarkView]:
    rows = Remark.objects.filter(clearing__gate__task__project=project).select_related("clearing__gate")
    return [
        RemarkView(gate_key=row.clearing.gate.key, name=row.name, body=row.body, at=row.at)
        for row in rows.order_by("-at")
    ]


def clearings_without_report() -> Iterator[str]:
    """Uids of clearings whose first report is still to be made: the background work finds itself here."""
    made = Report.objects.filter(clearing=OuterRef("pk"))
    for uid in Clearing.objects.filter(~Exists(made)).order_by("cleared_at").values_list("uid", flat=True):
        yield str(uid)
