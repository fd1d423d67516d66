"""Papers and remarks, shaped for screens."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from django.db.models import Exists, F, OuterRef

from coordination.access.models import Project
from coordination.background.queries import WAITS, Progress, progress_of
from coordination.evidence.models import Evidence, Rendition
from coordination.evidence.outcomes import is_authority_document
from coordination.files.for_strangers import PDF, Given, given_of_all
from coordination.files.images.renditions import SIZES
from coordination.files.models import Blob
from coordination.gates.models import Clearing
from coordination.handover.models import Remark, RemarkTaken, Report
from coordination.handover.papers_wanted import wished_of

COPY_FOR_STRANGERS = max(SIZES)


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


def paper_with_code(project: Project, code: str) -> Paper:
    """One report of this project by the code that is printed on it. Raises Report.DoesNotExist."""
    row = Report.objects.select_related("clearing__gate", "blob").get(
        code=code, clearing__gate__task__project=project
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
    clearing_uid: UUID
    uid: UUID | None = None
    task_uid: UUID | None = None


def remarks(project: Project) -> list[RemarkView]:
    rows = Remark.objects.filter(clearing__gate__task__project=project).select_related("clearing__gate")
    taken = dict(RemarkTaken.objects.filter(task__project=project).values_list("remark_id", "task__uid"))
    return [
        RemarkView(
            row.clearing.gate.key,
            row.name,
            row.body,
            row.at,
            row.clearing.uid,
            row.uid,
            taken.get(row.pk),
        )
        for row in rows.order_by("-at")
    ]


@dataclass(frozen=True)
class Coming:
    """A report that was asked for and is not there yet."""

    language: str
    paper: str
    making: Progress


@dataclass(frozen=True)
class Round:
    """One clearing of a gate with its papers.

    ``superseded_by`` is the first paper of the gate's next round, None while there is none. ``making`` says how far
    its paper is where there is none yet.
    """

    clearing_uid: UUID
    gate_uid: UUID
    gate_key: str
    gate_text: dict[str, str]
    number: int
    cleared_at: datetime
    reopened_at: datetime | None
    because: tuple[dict[str, object], ...]
    papers: tuple[Paper, ...]
    superseded_by: Paper | None
    making: Progress
    coming: tuple[Coming, ...] = ()

    @property
    def stuck(self) -> bool:
        """The paper failed too often; a person must look after it."""
        return self.making.state == "given up"


def rounds(project: Project) -> list[Round]:
    """Every clearing of a project, the newest first; a constant number of queries."""
    made: dict[UUID, list[Paper]] = {}
    for paper in papers(project):
        made.setdefault(paper.clearing_uid, []).append(paper)
    making, wished = progress_of("reports"), wished_of(project)
    rows = Clearing.objects.filter(gate__task__project=project).select_related("gate__task").defer("snapshot")
    found: list[Round] = []
    next_of: dict[str, Paper | None] = {}
    for row in rows.order_by("-cleared_at", "-pk"):
        own = tuple(made.get(row.uid, ()))
        found.append(
            Round(
                clearing_uid=row.uid,
                gate_uid=row.gate.uid,
                gate_key=row.gate.key,
                gate_text=row.gate.derived.get("text", {}),
                number=row.round,
                cleared_at=row.cleared_at,
                reopened_at=row.reopened_at,
                because=tuple(row.reopened_because),
                papers=own,
                superseded_by=next_of.get(row.gate.key),
                making=making.get(str(row.uid), WAITS),
                coming=tuple(
                    Coming(each.language, each.paper, making.get(each.key, WAITS))
                    for each in wished.get(str(row.uid), ())
                ),
            )
        )
        next_of[row.gate.key] = own[0] if own else None
    return found


@dataclass(frozen=True)
class OfficialResult:
    """An authority's own document, with its number and date: the result that counts.

    ``copy`` is what strangers get: a copy without location and device data, or a signed PDF itself; None until it is
    made, and where nothing can be given, see ``how`` (of PDFs alone, as in ``files.for_strangers``).
    """

    uid: UUID
    authority: str
    text: dict[str, str]
    number: str
    dated: date
    file_name: str
    sha256: str
    received_at: datetime
    blob: Blob
    copy: Blob | None
    how: str

    @property
    def is_picture(self) -> bool:
        return self.blob.media_type.startswith("image/")


def official_results(project: Project) -> list[OfficialResult]:
    """The authorities' own documents that stand, the newest first."""
    rows = (
        Evidence.objects.filter(
            requirement__task__project=project,
            requirement__retired_in=None,
            requirement__task__retired_in=None,
            terms_sha=F("requirement__terms_sha"),
            withdrawn_at=None,
        )
        .exclude(requirement__release="")
        .select_related("requirement", "blob")
        .order_by("-dated", "-pk")
    )
    copies = Rendition.objects.filter(evidence__in=rows, size=COPY_FOR_STRANGERS).select_related("blob")
    copy_of = {row.evidence_id: row.blob for row in copies}
    given = given_of_all(row.blob for row in rows if row.blob is not None and row.blob.media_type == PDF)
    untold = Given(None, "")
    return [
        OfficialResult(
            uid=row.uid,
            authority=row.requirement.release,
            text=row.requirement.terms.get("text", {}),
            number=row.number,
            dated=row.dated,
            file_name=row.file_name,
            sha256=row.blob.sha256,
            received_at=row.received_at,
            blob=row.blob,
            copy=copy_of.get(row.pk) or given.get(row.blob.pk, untold).blob,
            how=given.get(row.blob.pk, untold).how,
        )
        for row in rows
        if is_authority_document(row) and row.blob is not None and row.dated is not None
    ]


def official_result(project: Project, uid: UUID) -> OfficialResult | None:
    """One of the authorities' documents that the handover page names; None for any other paper."""
    return next((result for result in official_results(project) if result.uid == uid), None)


def clearings_without_report() -> Iterator[str]:
    """Uids of clearings whose first report is still to be made: the background work finds itself here."""
    made = Report.objects.filter(clearing=OuterRef("pk"))
    for uid in Clearing.objects.filter(~Exists(made)).order_by("cleared_at").values_list("uid", flat=True):
        yield str(uid)
