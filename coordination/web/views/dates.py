"""When it can happen: dates of gates and work with the reason for each, and the visits of the lift crew."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from coordination.access.permissions import may
from coordination.access.sentences import sentence
from coordination.access.visitors import Visitor
from coordination.dates.actions import book_visit, move_visit
from coordination.dates.forecasting import Outlook, causes_of, outlook_of, supposed_outlook
from coordination.dates.models import Visit
from coordination.dates.queries import drift
from coordination.dates.refusals import VisitMoved, VisitRefused
from coordination.dates.sentences import SENTENCES
from coordination.gates.calendars import local_day
from coordination.gates.queries import Scene, look_at
from coordination.gates.sentences import Names
from coordination.pictures.time_chart import time_chart
from coordination.projects.queries import standing_plan
from coordination.scheduling.forecast import END
from coordination.web.addresses import address_of
from coordination.web.forms.visits import VisitForm
from coordination.web.guards import guard
from coordination.web.missing import sheet_of
from coordination.web.shapes.companies import trade_names
from coordination.web.shapes.date_lines import Dating
from coordination.web.shapes.order_lines import order_lines
from coordination.web.shapes.sureness import Surely
from coordination.web.shapes.visit_lines import NAMES, visit_lines
from coordination.web.texts import said
from coordination.web.unchanged import unchanged


@unchanged
@require_GET
def show(request: HttpRequest, project: UUID) -> HttpResponse:
    """The gates, the chart, and every task with its float and why its date is what it is."""
    visitor, now = guard(request, project, "see the project"), timezone.now()
    site, today = visitor.project, local_day(visitor.project, now)
    scene, outlook = look_at(site, now), outlook_of(site, today)
    dated = outlook.dated
    dating = Dating(
        scene,
        dated,
        trades=trade_names(site, everybody=True),
        drift=drift(site, today),
        today=today,
        address=sheet_of(scene.holding),
        outlook=outlook,
        places={place.key: said(place.text) for place in standing_plan(site).places},
    )
    chart, work = dating.chart(), dating.tasks()
    context = {
        "dated": dated,
        "gates": dating.gates(),
        "to_come": [line for line in work if not line.done],
        "finished": [line for line in work if line.done],
        "sheet": mark_safe(time_chart(chart, "sheet", prefix="time")) if chart else "",
        "phone": mark_safe(time_chart(chart, "phone", prefix="timephone")) if chart else "",
        "facts_href": address_of("facts", site.uid),
        "may_suppose": may(visitor, "set a date"),
        "order": order_lines(dated, Names(scene.holding).task),
        **_sureness(scene, outlook, apart=request.GET.get("weather") == "apart"),
    }
    return render(request, "dates/show.html", context)


def _sureness(scene: Scene, outlook: Outlook, *, apart: bool) -> dict[str, Any]:
    """How sure the gates and visits are; ``apart`` without the season that all work in the open shares."""
    done = {task.key for task in outlook.dated.schedule.network.tasks if task.finished}
    open_air = causes_of(outlook.dated).keys() - done
    shown = supposed_outlook(outlook.dated, weather=False) if apart and open_air else outlook
    sure = Surely(shown, scene.holding.task_by_key, sheet_of(scene.holding))
    return {
        "sure_gates": sure.gates(),
        "sure_visits": sure.visits(),
        "drivers": sure.drivers(shown.sure.get(END)),
        "samples": f"{shown.samples:,}",
        "correlation": shown.causes,
        "open_air": len(open_air),
        "apart": apart,
    }


@require_http_methods(["GET", "HEAD", "POST"])
def visits(request: HttpRequest, project: UUID) -> HttpResponse:
    """The visits of the job with the gate in front of each; booked and moved by the coordinator."""
    if request.method != "POST":
        return _visits(request, guard(request, project, "see the project"))
    visitor = guard(request, project, "book a visit")
    key, form = request.POST.get("key", ""), VisitForm(request.POST)
    if not form.is_valid():
        return _visits(request, visitor, key, form)
    try:
        _book(visitor, key, request.POST.get("booking", ""), form)
    except (VisitRefused, VisitMoved) as refusal:
        for reason in refusal.reasons:
            form.add_error(None, sentence(reason, SENTENCES))
        return _visits(request, visitor, key, form)
    messages.success(request, _("The visit was booked; the record keeps the earlier day where it was moved."))
    return redirect("visits", project)


def _book(visitor: Visitor, key: str, booking: str, form: VisitForm) -> Visit:
    days = {name: form.cleaned_data[name] for name in ("day", "confirm_by")}
    if not booking:
        if key not in NAMES:
            raise Http404
        cost = form.cents
        return book_visit(visitor.project, visitor, timezone.now(), key=key, wasted_trip_cents=cost, **days)
    try:
        uid = UUID(booking)
    except ValueError:
        raise Http404 from None
    return move_visit(visitor.project, visitor, timezone.now(), uid, **days)


def _visits(
    request: HttpRequest, visitor: Visitor, key: str = "", sent: VisitForm | None = None
) -> HttpResponse:
    site, now = visitor.project, timezone.now()
    today = local_day(site, now)
    scene, outlook = look_at(site, now), outlook_of(site, today)
    rows = Visit.objects.filter(project=site).order_by("pk")
    lines = visit_lines(scene, outlook, rows, today)
    context: dict[str, Any] = {
        "visits": [(line, sent if sent and line.key == key else _form(line)) for line in lines],
        "form": sent,
        "sent_key": key if sent else "",
        "may_book": may(visitor, "book a visit"),
        "today": today,
    }
    return render(request, "dates/visits.html", context, status=422 if sent else 200)


def _form(line: Any) -> VisitForm:
    """The form with what is booked, or with the days that the plan proposes."""
    booked = line.booked
    initial = {
        "day": booked.day if booked else line.propose_day,
        "confirm_by": booked.confirm_by if booked else line.propose_confirm,
    }
    return VisitForm(initial=initial, auto_id=f"id_{line.key}_%s")
