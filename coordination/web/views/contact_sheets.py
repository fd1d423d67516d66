"""All evidence of a place or a task: as a page, and as a PDF; copies only, without the place they were taken at."""

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from coordination.access.permissions import Scope, may
from coordination.access.visitors import Visitor
from coordination.evidence.models import Evidence, Rendition
from coordination.files.images.renditions import SIZES
from coordination.handover.contact_sheets import (
    ContactSheet,
    contact_sheet_order,
    sheet_of_place,
    sheet_of_task,
)
from coordination.handover.papers_wanted import usual_paper
from coordination.handover.sheet_paper import pdf_of, reader_of
from coordination.handover.whole import Whole, whole_of
from coordination.projects.models import Task
from coordination.web.guards import guard
from coordination.web.shapes.scopes import scope_of
from coordination.web.shapes.shot_figures import ShotFigure
from coordination.web.shapes.trade_papers import file_name
from coordination.web.texts import language_read
from coordination.web.views.media import send_blob
from coordination.web.views.papers import pdf_answer

VERB = "see evidence sheets"
COPIES = {"small": min(SIZES), "large": max(SIZES)}


@require_safe
@never_cache
def of_place(request: HttpRequest, project: UUID, place: str) -> HttpResponse:
    """Every photo, reading and document of a place."""
    visitor, _whole, sheet = _place(request, project, place)
    pdf = reverse("place-evidence-pdf", args=[project, place])
    return _page(request, visitor, sheet, pdf, Scope())


@require_safe
@never_cache
def of_place_pdf(request: HttpRequest, project: UUID, place: str) -> HttpResponse:
    """The same on paper."""
    visitor, whole, sheet = _place(request, project, place)
    return _pdf(visitor, whole, sheet, place)


@require_safe
@never_cache
def of_task(request: HttpRequest, project: UUID, task: UUID) -> HttpResponse:
    """Every photo, reading and document of a task."""
    visitor, _whole, sheet, row = _task(request, project, task)
    return _page(request, visitor, sheet, reverse("task-evidence-pdf", args=[project, task]), scope_of(row))


@require_safe
@never_cache
def of_task_pdf(request: HttpRequest, project: UUID, task: UUID) -> HttpResponse:
    """The same on paper."""
    visitor, whole, sheet, row = _task(request, project, task)
    return _pdf(visitor, whole, sheet, row.key)


@require_safe
@never_cache
def photo(request: HttpRequest, project: UUID, evidence: UUID) -> HttpResponse:
    """One photo of these sheets, large, with its marks in the picture and in words."""
    visitor, row = _seen(request, project, evidence)
    task = row.requirement.task
    whole = whole_of(visitor.project, timezone.now())
    sheet = sheet_of_task(whole, reader_of(whole, language_read()), task.key)
    shots = [shot for shot in sheet.shots if shot.uid == str(evidence)] if sheet else []
    if not shots:
        raise Http404
    figure = ShotFigure(shots[0], visitor.project.uid, own_page=False) if shots[0].copy else None
    context = {"photo": figure, "shot": shots[0], "back": _sheet_of(visitor, task)}
    return render(request, "papers/photo.html", context)


@require_safe
def copy(request: HttpRequest, project: UUID, evidence: UUID, size: str) -> HttpResponse:
    """A copy of a photo on one of these sheets. It says nothing of where or with what it was taken."""
    _visitor, row = _seen(request, project, evidence)
    if size not in COPIES:
        raise Http404
    found = Rendition.objects.filter(evidence=row, size=COPIES[size]).select_related("blob").first()
    if found is None:
        raise Http404
    return send_blob(request, found.blob, age=3600)


def _seen(request: HttpRequest, project: UUID, uid: UUID) -> tuple[Visitor, Evidence]:
    """The evidence, for whoever may see the sheets of its task; Http404 for everybody else."""
    visitor = guard(request, project)
    rows = Evidence.objects.select_related("requirement__task")
    row = rows.filter(uid=uid, requirement__task__project=visitor.project).first()
    if row is None or not may(visitor, VERB, scope_of(row.requirement.task)):
        raise Http404
    return visitor, row


def _sheet_of(visitor: Visitor, task: Task) -> str:
    """The sheet on which the photo stands: of its place for whoever sees every trade, else of its task."""
    of_place = ("place-evidence", [visitor.project.uid, task.place])
    name, about = of_place if may(visitor, VERB) else ("task-evidence", [visitor.project.uid, task.uid])
    return reverse(name, args=about)


def _place(request: HttpRequest, project: UUID, place: str) -> tuple[Visitor, Whole, ContactSheet]:
    """For whoever may see the evidence of every trade; Http404 for others, and for a place that is not there."""
    visitor = guard(request, project, VERB)
    if not may(visitor, VERB):
        raise Http404
    whole = whole_of(visitor.project, timezone.now())
    sheet = sheet_of_place(whole, reader_of(whole, language_read()), place)
    if sheet is None:
        raise Http404
    return visitor, whole, sheet


def _task(request: HttpRequest, project: UUID, uid: UUID) -> tuple[Visitor, Whole, ContactSheet, Task]:
    visitor = guard(request, project)
    task = Task.objects.filter(project=visitor.project, uid=uid, retired_in=None).first()
    if task is None or not may(visitor, VERB, scope_of(task)):
        raise Http404
    whole = whole_of(visitor.project, timezone.now())
    sheet = sheet_of_task(whole, reader_of(whole, language_read()), task.key)
    if sheet is None:
        raise Http404
    return visitor, whole, sheet, task


def _page(
    request: HttpRequest, visitor: Visitor, sheet: ContactSheet, pdf: str, scope: Scope
) -> HttpResponse:
    own_page = may(visitor, "see a task", scope)
    photos = [
        ShotFigure(shot, visitor.project.uid, own_page) if shot.copy else {"shot": shot}
        for shot in sheet.shots
    ]
    return render(request, "papers/contact_sheet.html", {"sheet": sheet, "photos": photos, "pdf": pdf})


def _pdf(visitor: Visitor, whole: Whole, sheet: ContactSheet, name: str) -> HttpResponse:
    project = visitor.project
    order = contact_sheet_order(whole, sheet, language=language_read(), paper=usual_paper(project.code_set))
    return pdf_answer(pdf_of(order), file_name(project.name, "evidence", name))
