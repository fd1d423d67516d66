"""Pictures and papers that were handed in: small copies for whoever may see the task, originals for few."""

from http import HTTPStatus
from pathlib import PurePath
from uuid import UUID

from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseNotModified
from django.shortcuts import render
from django.utils.http import content_disposition_header
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from coordination.access.permissions import Scope, may
from coordination.evidence.models import Design, Evidence, Rendition
from coordination.evidence.queries import item_of
from coordination.evidence.strangers_words import BEING_MADE, COPY_LOST, COPY_NAMED, NOT_GIVEN
from coordination.files.for_strangers import Given, given_of
from coordination.files.keeping import OriginalLost, open_blob, verify
from coordination.files.models import Blob
from coordination.gates.sentences import of_requirement
from coordination.projects.models import Task
from coordination.web.guards import guard
from coordination.web.shapes.hints import hints_for
from coordination.web.shapes.photos import SIZES, SMALL, Figure, figure, given_up_on, is_picture, state_of
from coordination.web.shapes.scopes import scope_of

# What was uploaded is never run: no script, no form, no frame, no origin of its own.
SANDBOX = "default-src 'none'; img-src 'self'; sandbox; frame-ancestors 'none'"
EXTENSIONS = {
    "image/jpeg": "jpg",
    "image/png": "png",
    "image/webp": "webp",
    "image/heic": "heic",
    "application/pdf": "pdf",
}


@require_safe
def picture(request: HttpRequest, evidence: UUID, size: str) -> HttpResponse:
    """A copy (small, large) or the original. A copy that is not made yet is not there."""
    row = seen_evidence(request, evidence)
    if size == "original":
        return _original(request, row)
    if size not in SIZES:
        raise Http404
    copy = Rendition.objects.filter(evidence=row, size=SIZES[size]).select_related("blob").first()
    if copy is None:
        raise Http404
    return send_blob(request, copy.blob, age=3600)


@require_safe
def figure_of(request: HttpRequest, evidence: UUID) -> HttpResponse:
    """The figure of a photo, for a page that waits for its small copy."""
    row = seen_evidence(request, evidence)
    if not is_picture(row):
        raise Http404
    item = item_of(row)
    small = item.renditions.get(SMALL)
    shown = figure(
        row,
        small,
        of_requirement(row.requirement),
        state=state_of(item),
        failed=given_up_on([] if small else [row]),
        turn=turn_of(request),
        hints=hints_for([row], request.visitor).get(row.pk, ()),  # type: ignore[attr-defined]
        marks=item.marks,
    )
    return figure_answer(request, shown)


def turn_of(request: HttpRequest) -> int:
    """How often a page has asked for the figure already."""
    turn = request.GET.get("turn", "")
    return int(turn) if turn.isdecimal() and len(turn) < 4 else 0


def figure_answer(request: HttpRequest, shown: Figure) -> HttpResponse:
    """The figure alone, to take the place of the one that waits."""
    answer = render(request, "components/photo.html", {"photo": shown})
    answer.headers["Cache-Control"] = "private, no-store"
    return answer


@require_safe
def design(request: HttpRequest, paper: UUID) -> HttpResponse:
    """A calculation that is kept beside a task, for whoever may see the task."""
    row = Design.objects.select_related("blob", "task__project").filter(uid=paper).first()
    if row is None:
        raise Http404
    visitor = guard(request, row.task.project.uid)
    if not may(visitor, "see a task", scope_of(row.task)):
        raise Http404
    return send_original(request, row.blob, row.file_name)


def seen_evidence(request: HttpRequest, uid: UUID) -> Evidence:
    """The evidence, for whoever may see its task. Http404 for everybody else."""
    rows = Evidence.objects.select_related("blob", "requirement__task__project")
    row = rows.filter(uid=uid).first()
    if row is None or row.blob is None:
        raise Http404
    task = row.requirement.task
    visitor = guard(request, task.project.uid)
    if not may(visitor, "see a task", scope_of(task)):
        raise Http404
    return row


def _original(request: HttpRequest, row: Evidence) -> HttpResponse:
    if row.blob is None:
        raise Http404
    return original_of(request, row.requirement.task, row.blob, row.file_name)


def original_of(request: HttpRequest, task: Task, blob: Blob, file_name: str) -> HttpResponse:
    """The file as it came, read back first. A picture may say where it was taken: only few may have it.

    So may a PDF that was scanned: whoever else may see the task gets its copy without that.
    """
    visitor = request.visitor  # type: ignore[attr-defined]
    if may(visitor, "see photo originals", Scope(trade=task.trade)):
        return send_original(request, blob, file_name)
    if blob.media_type.startswith("image/"):
        raise Http404
    return _paper_for_strangers(request, blob, file_name)


def _paper_for_strangers(request: HttpRequest, blob: Blob, file_name: str) -> HttpResponse:
    """A PDF without location and device data, called so; in words why it is not given out where it cannot be."""
    given = given_of(blob)
    try:
        verify(given.blob if given and given.blob else blob)
    except OriginalLost as lost:
        if given and given.is_copy:
            return _not_given(request, COPY_LOST, HTTPStatus.NOT_FOUND)
        return _lost(request, lost)
    if given is None:
        return _not_given(request, BEING_MADE, HTTPStatus.NOT_FOUND, wait=True)
    if given.blob is None:
        return _not_given(request, NOT_GIVEN[given.how], HTTPStatus.FORBIDDEN, sha=blob.sha256)
    return send_original(request, given.blob, name_of_copy(file_name, given))


def name_of_copy(file_name: str, given: Given) -> str:
    """What the copy of a document is called when it is taken along; one that goes as it is keeps its name."""
    if not given.is_copy:
        return file_name
    return f"{PurePath(file_name or 'document').stem}-{COPY_NAMED}.pdf"


def send_original(request: HttpRequest, blob: Blob, file_name: str) -> HttpResponse:
    """The stored file under its own name, read back first; in words where it is not what was handed in."""
    try:
        verify(blob)
    except OriginalLost as lost:
        return _lost(request, lost)
    answer = send_blob(request, blob, age=0)
    name = file_name or f"{blob.sha256[:12]}.{EXTENSIONS.get(blob.media_type, 'bin')}"
    answer.headers["Content-Disposition"] = content_disposition_header(True, name) or "attachment"
    return answer


def send_blob(request: HttpRequest, blob: Blob, *, age: int) -> HttpResponse:
    """The stored bytes with headers that let a browser show them and do nothing else."""
    tag = f'"{blob.sha256}"'
    answer: HttpResponse
    if request.headers.get("If-None-Match") == tag:
        answer = HttpResponseNotModified()
    else:
        try:
            answer = FileResponse(open_blob(blob), content_type=blob.media_type)  # type: ignore[assignment]
        except OriginalLost:
            raise Http404 from None
    answer.headers["ETag"] = tag
    answer.headers["Cache-Control"] = f"private, max-age={age}" if age else "private, no-cache"
    answer.headers["Content-Security-Policy"] = SANDBOX
    answer.headers["X-Content-Type-Options"] = "nosniff"
    answer.headers["Cross-Origin-Resource-Policy"] = "same-origin"
    return answer


def _lost(request: HttpRequest, lost: OriginalLost) -> HttpResponse:
    sentences = {
        "missing": _(
            "The original is not in the store any more. Tell the coordinator; its SHA-256 is %(sha)s."
        ),
        "altered": _(
            "What is in the store is not what was handed in, so it is not given out. Tell the coordinator; "
            "the SHA-256 of the original is %(sha)s."
        ),
    }
    why = sentences[lost.how] % {"sha": lost.blob.sha256}
    return _not_given(request, why, HTTPStatus.INTERNAL_SERVER_ERROR)


def _not_given(request: HttpRequest, why: object, status: HTTPStatus, **more: object) -> HttpResponse:
    """``wait`` where it will be; ``sha`` of the original where somebody else may be asked for that."""
    return render(request, "not_given_out.html", {"reasons": [why], **more}, status=status)
