"""Papers of one site: each kind with where it is opened, taken along, or asked for."""

from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from coordination.access.permissions import may
from coordination.access.refusals import Refusal
from coordination.access.visitors import Visitor
from coordination.background.queries import given_up
from coordination.files.keeping import OriginalLost, open_blob
from coordination.gates.calendars import local_day
from coordination.gates.queries import look_at
from coordination.handover.brief import brief_order
from coordination.handover.contact_sheets import place_name, places_with_evidence
from coordination.handover.models import Pack
from coordination.handover.packs import KINDS, ask_for_pack, file_name_of, pack_of, packs_of
from coordination.handover.papers_wanted import usual_paper
from coordination.handover.sheet_paper import pdf_of, reader_of
from coordination.handover.weekly import week_pdf
from coordination.handover.whole import values_of
from coordination.projects.models import Task
from coordination.projects.queries import standing_facts
from coordination.web.guards import guard
from coordination.web.refused import in_words
from coordination.web.shapes.calculated import calculated
from coordination.web.shapes.recall_facts import TASK, recall_form
from coordination.web.shapes.test_sheets import has_test_sheet, test_sheet
from coordination.web.shapes.trade_papers import file_name
from coordination.web.texts import language_read
from coordination.web.views.handover import SANDBOX


@dataclass(frozen=True)
class PackLine:
    """One kind of packed folder: what it is, and how far the newest one is."""

    kind: str
    name: str
    about: str
    pack: Pack | None
    stuck: bool


@require_safe
@never_cache
def index(request: HttpRequest, project: UUID) -> HttpResponse:
    """Every kind of paper that the visitor may have."""
    return _page(request, guard(request, project, "read the papers"))


@require_safe
@never_cache
def week(request: HttpRequest, project: UUID) -> HttpResponse:
    """The week on one page; without telephones and companies for whoever may not see the project."""
    visitor = guard(request, project, "read the papers")
    site, now = visitor.project, timezone.now()
    made = week_pdf(
        look_at(site, now),
        local_day(site, now),
        language=language_read(),
        paper=usual_paper(site.code_set),
        for_owner=not may(visitor, "see the project"),
    )
    return pdf_answer(made, file_name(site.name, "week", str(local_day(site, now))))


@require_safe
@never_cache
def brief(request: HttpRequest, project: UUID) -> HttpResponse:
    """The site-preparation brief, a sheet for each trade."""
    visitor = guard(request, project, "see the project")
    site, now = visitor.project, timezone.now()
    scene = look_at(site, now)
    if not scene.holding.plan_number:
        raise Http404
    phones = may(visitor, "see phone numbers")
    told: dict[str, Any] = {
        "language": language_read(),
        "paper": usual_paper(site.code_set),
        "phones": phones,
    }
    return pdf_answer(pdf_of(brief_order(scene, local_day(site, now), **told)), file_name(site.name, "brief"))


@require_safe
@never_cache
def recall_test(request: HttpRequest, project: UUID) -> HttpResponse:
    """The joint recall test with what is known of the site, to be filled in by hand."""
    site = guard(request, project, "see the project").project
    if not _has_recall(site.pk):
        raise Http404
    form = recall_form(standing_facts(site))
    found = calculated(form)
    if not has_test_sheet(found):
        raise Http404
    made = test_sheet(timezone.now(), form, found, project=", ".join(filter(None, [site.name, site.place])))
    return pdf_answer(made, file_name(site.name, "recall-test"))


@require_POST
def ask(request: HttpRequest, project: UUID, kind: str) -> HttpResponse:
    """Ask for a folder to be packed; it shows itself on the page when it is done."""
    visitor = guard(request, project, "have papers packed")
    if kind not in KINDS:
        raise Http404
    try:
        ask_for_pack(visitor.project, visitor, timezone.now(), kind=kind, language=language_read())
    except Refusal as refusal:
        return _page(request, visitor, reasons=in_words(refusal), status=422)
    messages.success(request, _("It is being packed; it shows here by itself when it is done."))
    return redirect("papers", project)


@require_safe
def take(request: HttpRequest, project: UUID, pack: UUID) -> FileResponse:
    """A packed folder, streamed from the disk."""
    visitor = guard(request, project, "have papers packed")
    found = pack_of(visitor, pack)
    if found is None or found.blob is None:
        raise Http404
    try:
        file = open_blob(found.blob)
    except OriginalLost:
        raise Http404 from None
    answer = FileResponse(
        file, as_attachment=True, filename=file_name_of(found), content_type="application/zip"
    )
    answer.headers["X-Content-Type-Options"] = "nosniff"
    answer.headers["Content-Security-Policy"] = SANDBOX
    answer.headers["Cache-Control"] = "private, no-transform"
    return answer


def pdf_answer(made: bytes, name: str) -> HttpResponse:
    """A PDF to be stored, and never to be run in the page's own name."""
    response = HttpResponse(made, content_type="application/pdf")
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    response.headers["Content-Security-Policy"] = SANDBOX
    return response


def _page(request: HttpRequest, visitor: Visitor, *, status: int = 200, **context: object) -> HttpResponse:
    site, now = visitor.project, timezone.now()
    context |= {
        "sees_all": may(visitor, "see the project"),
        "reads_reports": may(visitor, "read reports"),
        "recall": may(visitor, "see the project") and _has_recall(site.pk),
        "packs": _packs(visitor) if may(visitor, "have papers packed") else [],
        "originals": may(visitor, "see photo originals"),
    }
    if may(visitor, "see evidence sheets"):
        whole = values_of(look_at(site, now))
        reader = reader_of(whole, language_read())
        context["places"] = [(key, place_name(whole, reader, key)) for key in places_with_evidence(whole)]
    return render(request, "papers/index.html", context, status=status)


def _packs(visitor: Visitor) -> list[PackLine]:
    newest = {pack.kind: pack for pack in reversed(packs_of(visitor)) if pack.language == language_read()}
    stuck = set(given_up().filter(kind="packs").values_list("key", flat=True))
    words = {
        "folder": (
            _("The final handover as a folder"),
            _(
                "Opens without this program: a page, the list, photos behind each wall, papers, and the hashes of all."
            ),
        ),
        "archive": (
            _("All that was handed in, by place"),
            _("Every file once, under a readable name, with the hashes under which it was received."),
        ),
    }
    return [
        PackLine(kind, *words[kind], newest.get(kind), kind in newest and str(newest[kind].uid) in stuck)
        for kind in ("folder", "archive")
    ]


def _has_recall(project: int) -> bool:
    return Task.objects.filter(project=project, entry=TASK, retired_in=None).exists()
