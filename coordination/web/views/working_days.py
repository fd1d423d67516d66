"""Working days that people set beside those of the site facts: a shutdown, a Saturday that is worked."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coordination.access.permissions import may
from coordination.access.visitors import Visitor
from coordination.gates.calendars import local_day
from coordination.projects.actions import set_calendar
from coordination.projects.refusals import DatesRefused
from coordination.web.forms.working_days import CalendarForm
from coordination.web.guards import guard
from coordination.web.refused import in_words
from coordination.web.shapes.working_days import CalendarLine, calendar_lines, end_words


@require_http_methods(["GET", "HEAD", "POST"])
def index(request: HttpRequest, project: UUID) -> HttpResponse:
    """The calendars of the job, and a form for each."""
    if request.method != "POST":
        return _page(request, guard(request, project, "see the project"))
    visitor = guard(request, project, "set a date")
    form = CalendarForm(request.POST, auto_id=f"id_{request.POST.get('calendar', '')}_%s")
    if not form.is_valid():
        return _page(request, visitor, form)
    told, now = form.cleaned_data, timezone.now()
    try:
        set_calendar(
            visitor.project,
            visitor,
            now,
            told["calendar"],
            weekdays=told["weekdays"] or None,
            closed=told["closed"],
            opened=told["opened"],
        )
    except DatesRefused as refusal:
        return _page(request, visitor, form, in_words(refusal))
    end = end_words(visitor.project, local_day(visitor.project, now))
    messages.success(request, f"{_('The dates follow these days from now on.')} {end}".strip())
    return redirect("working-days", project)


def _page(
    request: HttpRequest, visitor: Visitor, sent: CalendarForm | None = None, reasons: list[str] | None = None
) -> HttpResponse:
    key = sent.data.get("calendar", "") if sent else ""
    context = {
        "lines": [
            (line, sent if sent and line.key == key else _form(line))
            for line in calendar_lines(visitor.project)
        ],
        "form": sent,
        "opened": key,
        "reasons": reasons,
        "may_set": may(visitor, "set a date"),
    }
    return render(request, "working_days/index.html", context, status=422 if sent else 200)


def _form(line: CalendarLine) -> CalendarForm:
    return CalendarForm(initial={**line.standing, "calendar": line.key}, auto_id=f"id_{line.key}_%s")
