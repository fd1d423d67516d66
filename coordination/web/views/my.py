"""The phone pages of a subcontractor and of the lift crew: their own tasks, and nothing else."""

from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from coordination.dates.queries import schedule_of
from coordination.evidence.series import series_of
from coordination.gates.calendars import local_day
from coordination.gates.queries import look_at
from coordination.projects.queries import standing_facts, standing_plan
from coordination.web.forms.series import SeriesForm
from coordination.web.guards import guard
from coordination.web.senders import kept_on_the_phone
from coordination.web.shapes.checking import checked, checked_series
from coordination.web.shapes.enlarged import own_strip
from coordination.web.shapes.handoffs import handoffs_to
from coordination.web.shapes.needs import need_of, system_of
from coordination.web.shapes.own_news import own_news
from coordination.web.shapes.own_tasks import own_tasks, tasks_of
from coordination.web.uploads import takes_files
from coordination.web.views.task_pages import handed_in, own_page, seen_task


@require_safe
@never_cache
@kept_on_the_phone
def tasks(request: HttpRequest, project: UUID) -> HttpResponse:
    """What came back or reopened, what is offered to them, what they can do today, what they wait for."""
    visitor = guard(request, project, "see own tasks")
    site, now = visitor.project, timezone.now()
    scene, plan, facts = look_at(site, now), standing_plan(site), standing_facts(site)
    dated = schedule_of(site, local_day(site, now))
    own = tasks_of(visitor, scene, dated)
    hrefs = {task.place: reverse("my-task", args=[project, task.uid]) for task in reversed(own)}
    context = {
        "own": own_tasks(visitor, scene, plan, dated, own),
        "news": own_news(visitor, scene, now),
        "handoffs": handoffs_to(visitor, scene),
        "strip": own_strip(own, scene, facts, plan, hrefs),
        "any": bool(own),
    }
    return render(request, "my/tasks.html", context)


@require_safe
@never_cache
@kept_on_the_phone
def task(request: HttpRequest, project: UUID, task: UUID) -> HttpResponse:
    """One task: what, where, which dimension on the first line."""
    visitor = guard(request, project, "see own tasks")
    scene = look_at(visitor.project, timezone.now())
    return own_page(request, visitor, scene, seen_task(visitor, scene, task))


@takes_files
@require_POST
def hand_in(request: HttpRequest, project: UUID, requirement: UUID) -> HttpResponse:
    """Photos, a reading, a paper or a signature for one requirement."""
    visitor = guard(request, project, "see own tasks")
    return handed_in(request, visitor, requirement, mine=True)


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def check(request: HttpRequest, project: UUID, requirement: UUID) -> HttpResponse:
    """What is being typed for a reading, judged in words at once; nothing is kept."""
    visitor = guard(request, project)
    scene = look_at(visitor.project, timezone.now())
    row = scene.requirement(requirement)
    seen_task(visitor, scene, scene.holding.task[row.task_id].uid)
    if row.kind != "reading":
        raise Http404
    system = system_of(scene)
    if series_of(row.terms):
        form = SeriesForm(request.POST, need=need_of(row, scene, visitor))
        return render(request, "tasks/check_series.html", {"check": checked_series(row, form, system)})
    return render(request, "tasks/check.html", {"check": checked(row, request.GET.get("typed", ""), system)})
