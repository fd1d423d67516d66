"""About a dozen packages, who holds each up, and on demand their tasks with the days they are to be done by."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from coordination.access.permissions import may
from coordination.access.sentences import sentence
from coordination.access.visitors import Visitor
from coordination.dates.done_by import package_days
from coordination.dates.queries import schedule_of
from coordination.dates.what_if import Supposed, what_if
from coordination.gates.calendars import local_day
from coordination.gates.queries import look_at
from coordination.projects.actions import set_task_dates
from coordination.projects.actions.days import check_task_dates
from coordination.projects.models import Task
from coordination.projects.queries import packages, standing_plan
from coordination.projects.refusals import DatesRefused
from coordination.projects.sentences import SENTENCES
from coordination.web.addresses import address_of
from coordination.web.forms.days import TaskDaysForm, days_form
from coordination.web.guards import guard
from coordination.web.missing import sheet_of
from coordination.web.previews import confirmed, preview
from coordination.web.shapes.packages import Packaging
from coordination.web.shapes.supposing import task_words
from coordination.web.texts import said
from coordination.web.unchanged import unchanged


@unchanged
@require_GET
def index(request: HttpRequest, project: UUID) -> HttpResponse:
    """The packages in order; ``?package=`` opens one."""
    visitor = guard(request, project, "see the project")
    return _page(request, visitor, request.GET.get("package", ""))


@require_POST
def set_dates(request: HttpRequest, project: UUID, task: UUID) -> HttpResponse:
    """Set or take back the days and the duration that people want of a task."""
    visitor = guard(request, project, "set a date")
    row = Task.objects.filter(project=visitor.project, uid=task, retired_in__isnull=True)
    row = row.select_related("project").first()
    if row is None:
        raise Http404
    today = local_day(visitor.project, timezone.now())
    form = days_form(row, schedule_of(visitor.project, today), today, request.POST)
    if not form.is_valid():
        return _page(request, visitor, row.package, form, row)
    try:
        if altered := _altered(row, form) if not confirmed(request) else None:
            check_task_dates(row, **altered)
            return _effect(request, visitor, row, altered)
        set_task_dates(visitor.project, visitor, timezone.now(), task, **form.days)
    except DatesRefused as refusal:
        for reason in refusal.reasons:
            form.add_error(None, sentence(reason, SENTENCES))
        return _page(request, visitor, row.package, form, row)
    messages.success(request, _("The days of “%(task)s” were set.") % {"task": said(row.derived["text"])})
    return redirect(_place(row))


def _place(row: Task) -> str:
    return f"{reverse('packages', args=[row.project.uid])}?package={row.package}#task-{row.uid}"


def _altered(row: Task, form: TaskDaysForm) -> dict[str, Any]:
    return {name: value for name, value in form.days.items() if value != getattr(row, name)}


def _effect(request: HttpRequest, visitor: Visitor, row: Task, altered: dict[str, Any]) -> HttpResponse:
    """What the days would do to gates and visits."""
    site = visitor.project
    comparison = what_if(site, local_day(site, timezone.now()), Supposed(tasks={row.key: altered}))
    return preview(request, site, comparison, told=task_words(row, altered), back=_place(row))


def _page(
    request: HttpRequest,
    visitor: Visitor,
    opened: str,
    sent: TaskDaysForm | None = None,
    task: Task | None = None,
) -> HttpResponse:
    site, now = visitor.project, timezone.now()
    today = local_day(site, now)
    scene, dated = look_at(site, now), schedule_of(site, today)
    may_set = may(visitor, "set a date")

    def form(row: Task) -> TaskDaysForm | None:
        if task is not None and row.pk == task.pk:
            return sent
        return days_form(row, dated, today) if may_set else None

    places = {place.key: said(place.text) for place in standing_plan(site).places}
    packaging = Packaging(scene, dated, places, sheet_of(scene.holding), package_days(site))
    context = {
        "packages": packaging.lines(packages(site), opened, form),
        "form": sent,
        "sent_task": task.uid if task else None,
        "today": today,
        "facts_href": address_of("facts", site.uid),
        "may_set": may_set,
        "may_add_work": may(visitor, "add work"),
    }
    return render(request, "packages/index.html", context, status=422 if sent else 200)
