"""What is done with papers: made by the program, remarked on by whoever holds the inspection link."""

import hashlib
import tempfile
from datetime import datetime
from typing import Any
from uuid import UUID

from django.conf import settings

from coordination.access.deciding import deciding
from coordination.access.models import Project
from coordination.access.permissions import require
from coordination.access.refusals import Reason, Refusal
from coordination.access.visitors import Visitor
from coordination.files.keeping import keep
from coordination.files.models import Blob
from coordination.gates.actions.own_tasks import place_work
from coordination.gates.models import Clearing
from coordination.gates.own_work import WorkWish, own_work
from coordination.gates.scene import look_at
from coordination.handover.composing import KIND, Composed, compose_gate_report
from coordination.handover.models import Remark, RemarkTaken, Report, ReportWish
from coordination.handover.papers_wanted import REPORT_LANGUAGES, REPORT_PAPERS
from coordination.paper.rendering import renderer
from coordination.paper.signing import Signing, signed
from coordination.record.models import Event

LARGEST = 2_000_000_000  # bytes; some thousand photos, where the limit of an upload would stop a report at about 130


class NoSuchPaper(Refusal):
    """A language or a size in which no report is made."""


class EmptyRemark(Refusal):
    """A remark without words or without a name."""


def make_gate_report(clearing: Clearing, at: datetime, *, language: str, paper: str) -> Report:
    """Make the report of one clearing, once however often it is asked for, and put its SHA-256 in the record.

    The PDF is rendered and kept before the lock is taken. Repeating after a kill anywhere gives the same report.
    Raises PaperError with everything that was wrong with the paper.
    """
    project = clearing.gate.task.project
    if found := Report.objects.filter(clearing=clearing, kind=KIND, language=language, paper=paper).first():
        return found
    site = settings.SITE_ADDRESS
    composed = compose_gate_report(clearing, language=language, paper=paper, site=site)
    blob, without = _kept(composed, project.supplier.uid)
    with deciding(project, None, at) as pen:
        standing = Report.objects.filter(clearing=clearing, kind=KIND, language=language, paper=paper)
        if found := standing.first():
            pen.leave_as_it_is()
            return found
        event = pen.write(
            "report made",
            subject=f"gate {clearing.gate.key}",
            body={
                "clearing": str(clearing.uid),
                "kind": KIND,
                "language": language,
                "paper": paper,
                "code": composed.code,
                "sha256": blob.sha256,
                "size": blob.size,
                "site": site,
                "renderer": (made_by := renderer()),
                **({"unsigned": without} if without else {}),
            },
        )
        return Report.objects.create(
            clearing=clearing,
            kind=KIND,
            language=language,
            paper=paper,
            code=composed.code,
            blob=blob,
            renderer=made_by,
            site=site,
            unsigned_sha256=without.get("sha256", ""),
            unsigned_size=without.get("size"),
            made_at=at,
            event=event,
        )


def _kept(composed: Composed, supplier: UUID) -> tuple[Blob, dict[str, Any]]:
    """The PDF in the store; SHA-256 and size of what it was before it was signed, where it is."""
    # The file has no name, so a worker that is killed leaves none behind.
    with tempfile.TemporaryFile(dir=settings.FILE_UPLOAD_TEMP_DIR) as file:
        composed.render_to(file)
        file.seek(0)
        if not settings.SIGNING:
            return keep(supplier, file, media_type="application/pdf", limit=LARGEST), {}
        unsigned = file.read()
    content = signed(unsigned, Signing(*settings.SIGNING))
    without = {"sha256": hashlib.sha256(unsigned).hexdigest(), "size": len(unsigned)}
    return keep(supplier, content, media_type="application/pdf", limit=LARGEST), without


def wish_report(
    project: Project, visitor: Visitor, at: datetime, *, clearing_uid: UUID, language: str, paper: str
) -> ReportWish:
    """Ask for the report of a clearing in a language and a size; the background finds the wish and makes it.

    Raises NoSuchPaper, Clearing.DoesNotExist, NotAllowed.
    """
    require(visitor, "read reports")
    if language not in REPORT_LANGUAGES or paper not in REPORT_PAPERS:
        raise NoSuchPaper(Reason("no such paper"))
    with deciding(project, visitor, at) as pen:
        clearing = Clearing.objects.select_related("gate").get(uid=clearing_uid, gate__task__project=project)
        wished = ReportWish.objects.filter(clearing=clearing, language=language, paper=paper)
        if found := wished.first():
            pen.leave_as_it_is()
            return found
        event = pen.write(
            "report asked for",
            subject=f"gate {clearing.gate.key}",
            body={"clearing": str(clearing.uid), "language": language, "paper": paper},
        )
        return ReportWish.objects.create(
            clearing=clearing, language=language, paper=paper, at=at, event=event
        )


def take_up_remark(
    project: Project, visitor: Visitor, at: datetime, remark_uid: UUID, wish: WorkWish
) -> RemarkTaken:
    """Make work of a remark. It moves no gate by that: the work is done and accepted like any other.

    Taken up already, nothing changes. Raises WorkCannotBe, Remark.DoesNotExist, NotAllowed.
    """
    require(visitor, "take up a remark")
    with deciding(project, visitor, at) as pen:
        remark = Remark.objects.get(uid=remark_uid, clearing__gate__task__project=project)
        if taken := RemarkTaken.objects.filter(remark=remark).first():
            pen.leave_as_it_is()
            return taken
        holding = look_at(project, at).holding
        task = place_work(pen, holding, own_work(holding, wish), remark=str(remark.uid))
        event = Event.objects.filter(stream=project.stream).latest("seq")
        return RemarkTaken.objects.create(remark=remark, task=task, event=event)


def leave_remark(
    project: Project, visitor: Visitor, at: datetime, *, clearing_uid: UUID, name: str, body: str
) -> Remark:
    """Write down what somebody remarks on a cleared gate. It is unverified and moves no gate.

    Raises EmptyRemark, Clearing.DoesNotExist, NotAllowed.
    """
    require(visitor, "leave a remark")
    faults = [
        Reason(key)
        for text, key in ((name, "remark without a name"), (body, "remark without words"))
        if not text.strip()
    ]
    if faults:
        raise EmptyRemark(*faults)
    with deciding(project, visitor, at) as pen:
        clearing = Clearing.objects.select_related("gate").get(uid=clearing_uid, gate__task__project=project)
        same = Remark.objects.filter(clearing=clearing, left_by=visitor.identity, body=body.strip())
        if found := same.first():
            pen.leave_as_it_is()
            return found
        event = pen.write(
            "remark left",
            subject=f"gate {clearing.gate.key}",
            body={
                "clearing": str(clearing.uid),
                "name": name.strip(),
                "remark": body.strip(),
                "verified": False,
            },
        )
        return Remark.objects.create(
            clearing=clearing,
            name=name.strip()[:120],
            body=body.strip()[:2000],
            left_by=visitor.identity,
            at=at,
            event=event,
        )
