"""The inspector's page: every report, how to check it, remarks; and the PDF itself."""

from pathlib import PurePath
from uuid import UUID

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from coordination.access.permissions import may
from coordination.access.visitors import Visitor
from coordination.evidence.strangers_words import COPY_NAMED
from coordination.files.keeping import OriginalLost, path_of, verify
from coordination.files.models import Blob
from coordination.gates.models import Clearing
from coordination.gates.queries import look_at
from coordination.gates.sentences import Names
from coordination.handover.actions import EmptyRemark, NoSuchPaper, leave_remark, wish_report
from coordination.handover.models import Report
from coordination.handover.queries import (
    Paper,
    official_result,
    official_results,
    paper_with_code,
    remarks,
    rounds,
)
from coordination.web.forms.handover import RemarkForm
from coordination.web.guards import guard
from coordination.web.refused import in_words
from coordination.web.shapes.handover import file_name_of, result_lines, round_lines, shown_as
from coordination.web.unchanged import unchanged

CHECKS = (
    ("Windows", "certutil -hashfile report.pdf SHA256"),
    ("macOS", "shasum -a 256 report.pdf"),
    ("Linux", "sha256sum report.pdf"),
)
SANDBOX = "sandbox; default-src 'none'; frame-ancestors 'none'"


@unchanged
@require_safe
def index(request: HttpRequest, project: UUID) -> HttpResponse:
    """Every report of the project; what is being made shows itself when it is done."""
    return _page(request, guard(request, project, "read reports"))


@require_safe
def download(request: HttpRequest, project: UUID, code: str) -> FileResponse:
    """The PDF as it was kept, to be stored and never to be run in the page's own name."""
    visitor = guard(request, project, "read reports")
    paper = _paper_or_404(visitor, code)
    return _to_keep(paper.blob, file_name_of(visitor.project, paper))


@require_safe
def result(request: HttpRequest, project: UUID, evidence: UUID) -> FileResponse:
    """The authority's own document that the page names; to strangers without location and device data."""
    visitor = guard(request, project, "read reports")
    found = official_result(visitor.project, evidence)
    blob = shown_as(found, may(visitor, "see photo originals")) if found else None
    if found is None or blob is None:
        raise Http404
    try:
        verify(blob)
    except OriginalLost:
        raise Http404 from None
    name = PurePath(found.file_name or blob.sha256[:12])
    ending = "jpg" if found.is_picture else "pdf"
    return _to_keep(blob, f"{name.stem}-{COPY_NAMED}.{ending}" if blob != found.blob else str(name))


def _to_keep(blob: Blob, name: str) -> FileResponse:
    response = FileResponse(
        path_of(blob).open("rb"), as_attachment=True, filename=name, content_type=blob.media_type
    )
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["Content-Security-Policy"] = SANDBOX
    response.headers["Cache-Control"] = "private, no-transform"
    return response


@require_POST
def wish(request: HttpRequest, project: UUID, clearing: UUID) -> HttpResponse:
    """Ask for the report of one clearing in another language or size; it shows on the page when it is made."""
    visitor = guard(request, project, "read reports")
    language, _sep, paper = request.POST.get("wish", "").partition("/")
    try:
        wish_report(
            visitor.project, visitor, timezone.now(), clearing_uid=clearing, language=language, paper=paper
        )
    except Clearing.DoesNotExist:
        raise Http404 from None
    except NoSuchPaper as refusal:
        return _page(request, visitor, reasons=in_words(refusal), status=422)
    return redirect(reverse("handover", args=[project]) + f"#round-{clearing}")


@require_POST
def remark(request: HttpRequest, project: UUID, code: str) -> HttpResponse:
    """Leave a remark on one report."""
    visitor = guard(request, project, "read reports")
    paper = _paper_or_404(visitor, code)
    form = _form(code, request.POST)
    if not form.is_valid():
        return _page(request, visitor, form=form, code=code, status=422)
    told = form.cleaned_data
    try:
        leave_remark(
            visitor.project,
            visitor,
            timezone.now(),
            clearing_uid=paper.clearing_uid,
            name=told["name"],
            body=told["body"],
        )
    except EmptyRemark as refusal:
        return _page(request, visitor, form=form, code=code, reasons=in_words(refusal), status=422)
    messages.success(request, _("Your remark is kept and marked as unverified."))
    return redirect(reverse("handover", args=[project]) + f"#round-{paper.clearing_uid}")


def _paper_or_404(visitor: Visitor, code: str) -> Paper:
    try:
        return paper_with_code(visitor.project, code)
    except Report.DoesNotExist:
        raise Http404 from None


def _form(code: str, typed: object = None) -> RemarkForm:
    return RemarkForm(typed, auto_id=f"{code}-%s")


def _page(
    request: HttpRequest,
    visitor: Visitor,
    *,
    form: RemarkForm | None = None,
    code: str = "",
    status: int = 200,
    **context: object,
) -> HttpResponse:
    project = visitor.project
    found = rounds(project)
    codes = [paper.code for item in found for paper in item.papers]
    address = {
        key: (reverse("report", args=[project.uid, key]), reverse("remark", args=[project.uid, key]))
        for key in codes
    }
    forms = {key: _form(key) for key in codes} if may(visitor, "leave a remark") else {}
    if form is not None:
        forms[code] = form
    reopened = any(item.because for item in found)
    names = Names(look_at(project, timezone.now()).holding) if reopened else None
    results = result_lines(official_results(project), project, originals=may(visitor, "see photo originals"))
    context |= {
        "lines": round_lines(found, remarks(project), address, forms, names),
        "may_take_up": may(visitor, "take up a remark"),
        "results": results,
        "copies": any(line.given_as and line.given_sha != line.sha256 for line in results),
        "checks": CHECKS,
        "check_address": request.build_absolute_uri(reverse("report-checks")),
        "form": form,
        "opened": code,
    }
    return render(request, "handover/index.html", context, status=status)
