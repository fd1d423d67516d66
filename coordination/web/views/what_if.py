"""What if: work that slips, a link that is wanted; the effect first, saved only when it is meant."""

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coordination.access.refusals import Refusal
from coordination.access.visitors import Visitor
from coordination.dates.models import OwnLink
from coordination.dates.networks import rows_of
from coordination.dates.own_links import Wish, add_link, end_link, link_of
from coordination.dates.queries import schedule_of
from coordination.dates.refusals import LinkCannotBe
from coordination.dates.what_if import Supposed, what_if
from coordination.gates.calendars import local_day
from coordination.projects.actions import set_task_dates
from coordination.web.forms.base import SheetForm
from coordination.web.forms.what_if import LinkForm, SlipForm
from coordination.web.guards import guard
from coordination.web.previews import confirmed, preview
from coordination.web.refused import in_words
from coordination.web.shapes.supposing import (
    link_lines,
    link_words,
    open_tasks,
    slipped,
    task_names,
    task_words,
)


@require_http_methods(["GET", "HEAD", "POST"])
def show(request: HttpRequest, project: UUID) -> HttpResponse:
    """What can be supposed, and the effect of what was; ``doing`` says which form was sent."""
    visitor = guard(request, project, "set a date")
    if request.method != "POST":
        return _page(request, visitor)
    doing = {"slip": _slip, "link": _link, "unlink": _unlink}.get(request.POST.get("doing", ""))
    if doing is None:
        raise Http404
    return doing(request, visitor)


def _slip(request: HttpRequest, visitor: Visitor) -> HttpResponse:
    site, today = visitor.project, local_day(visitor.project, timezone.now())
    rows = open_tasks(site)
    form = SlipForm(request.POST, tasks=task_names(rows))
    if not form.is_valid():
        return _page(request, visitor, slip=form)
    row = next(row for row in rows if str(row.uid) == form.cleaned_data["task"])
    own = slipped(row, schedule_of(site, today), form.cleaned_data["later"])
    if not confirmed(request):
        comparison = what_if(site, today, Supposed(tasks={row.key: own}))
        return preview(request, site, comparison, told=task_words(row, own), back=_here(visitor))
    try:
        set_task_dates(site, visitor, timezone.now(), row.uid, **own)
    except Refusal as refusal:
        return _page(request, visitor, slip=form, reasons=in_words(refusal))
    messages.success(request, _("The days were set."))
    return redirect("what-if", site.uid)


def _link(request: HttpRequest, visitor: Visitor) -> HttpResponse:
    site, today = visitor.project, local_day(visitor.project, timezone.now())
    rows = open_tasks(site)
    form = LinkForm(request.POST, tasks=task_names(rows))
    if not form.is_valid():
        return _page(request, visitor, link=form)
    keys = {str(row.uid): row.key for row in rows}
    told = form.cleaned_data
    wish = Wish(keys[told["before"]], keys[told["after"]], told["kind"], told["lag"], told["unit"])
    try:
        if confirmed(request):
            add_link(site, visitor, timezone.now(), wish)
            messages.success(request, _("The link stands now."))
            return redirect("what-if", site.uid)
        wanted = link_of(rows_of([site])[site.pk], wish)
    except LinkCannotBe as refusal:
        return _page(request, visitor, link=form, reasons=in_words(refusal))
    comparison = what_if(site, today, Supposed(links=(wanted,)))
    return preview(request, site, comparison, told=[link_words(wanted, rows)], back=_here(visitor))


def _unlink(request: HttpRequest, visitor: Visitor) -> HttpResponse:
    site = visitor.project
    try:
        uid = UUID(request.POST.get("link", ""))
    except ValueError:
        raise Http404 from None
    link = OwnLink.objects.filter(project=site, uid=uid).first()
    if link is None:
        raise Http404
    if confirmed(request) or link.ended_at is not None:
        end_link(site, visitor, timezone.now(), uid)
        messages.success(request, _("The link was taken back."))
        return redirect("what-if", site.uid)
    comparison = what_if(site, local_day(site, timezone.now()), Supposed(without=frozenset({link.pk})))
    told = [_("Taken back: %(link)s") % {"link": link_words(link, open_tasks(site))}]
    return preview(request, site, comparison, told=told, back=_here(visitor))


def _page(
    request: HttpRequest,
    visitor: Visitor,
    *,
    slip: SheetForm | None = None,
    link: SheetForm | None = None,
    reasons: Sequence[str] = (),
) -> HttpResponse:
    site = visitor.project
    rows = open_tasks(site)
    names, sent = task_names(rows), slip or link
    context: dict[str, Any] = {
        "slip": slip or SlipForm(tasks=names, initial={"later": 5, "task": request.GET.get("task", "")}),
        "link": link or LinkForm(tasks=names),
        "links": link_lines(site, rows),
        "form": sent,
        "reasons": reasons,
        "rows": rows,
    }
    return render(request, "dates/supposing.html", context, status=422 if sent else 200)


def _here(visitor: Visitor) -> str:
    return reverse("what-if", args=[visitor.project.uid])
