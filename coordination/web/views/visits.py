"""One visit of the crew: go or no-go, what each day would cost, on what it is booked, the word to come."""

from datetime import date
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coordination.access.permissions import may
from coordination.access.refusals import Refusal
from coordination.access.visitors import Visitor
from coordination.dates.actions import call_off_visit
from coordination.dates.forecasting import outlook_of
from coordination.dates.models import Confirmation, Visit
from coordination.dates.visit_terms import days_of, set_terms, terms_of
from coordination.dates.visiting import WORK
from coordination.gates.actions import confirm_visit
from coordination.gates.calendars import local_day
from coordination.gates.queries import look_at
from coordination.gates.visits import newest_statement
from coordination.web.forms.visits import TermsForm, VisitForm, terms_form
from coordination.web.guards import guard
from coordination.web.refused import refusal_context
from coordination.web.shapes.visit_page import VisitPage


@require_http_methods(["GET", "HEAD", "POST"])
def show(request: HttpRequest, project: UUID, visit: str) -> HttpResponse:
    """The page of one visit; ``?day=`` asks what a trip on that day would cost. ``doing`` says which form was sent."""
    if visit not in WORK:
        raise Http404
    if request.method != "POST":
        return _page(request, guard(request, project, "see the project"), visit)
    visitor = guard(request, project, "book a visit")
    doing = {"terms": _terms, "confirm": _confirm, "call off": _call_off}.get(request.POST.get("doing", ""))
    if doing is None:
        raise Http404
    return doing(request, visitor, visit)


def _terms(request: HttpRequest, visitor: Visitor, visit: str) -> HttpResponse:
    form = TermsForm(request.POST, auto_id="id_terms_%s")
    if not form.is_valid():
        return _page(request, visitor, visit, terms=form)
    everywhere = form.cleaned_data["for_all_sites"]
    set_terms(visitor.project, visitor, timezone.now(), visit, form.agreed(), for_all_sites=everywhere)
    messages.success(request, _("Entered; the days below are worked out with it."))
    return redirect("visit", visitor.project.uid, visit)


def booking_of(request: HttpRequest, visitor: Visitor, visit: str) -> UUID:
    """The booking that was sent, of this visit and project; Http404 for any other."""
    try:
        uid = UUID(request.POST.get("booking", ""))
    except ValueError:
        raise Http404 from None
    if not Visit.objects.filter(project=visitor.project, key=visit, uid=uid).exists():
        raise Http404
    return uid


def _call_off(request: HttpRequest, visitor: Visitor, visit: str) -> HttpResponse:
    call_off_visit(visitor.project, visitor, timezone.now(), booking_of(request, visitor, visit))
    messages.success(request, _("The visit is called off; the record keeps the day it was booked for."))
    return redirect("visit", visitor.project.uid, visit)


def _confirm(request: HttpRequest, visitor: Visitor, visit: str) -> HttpResponse:
    uid = booking_of(request, visitor, visit)
    try:
        confirm_visit(visitor.project, visitor, timezone.now(), uid)
    except Refusal as refusal:
        refused = refusal_context(refusal, visitor, timezone.now())
        return _page(request, visitor, visit, refused=refused)
    messages.success(request, _("The visit is confirmed: the crew comes."))
    return redirect("visit", visitor.project.uid, visit)


def page_of(visitor: Visitor, visit: str) -> VisitPage:
    """What the page of a visit and its statement are made from."""
    site, now = visitor.project, timezone.now()
    today = local_day(site, now)
    rows = list(Visit.objects.filter(project=site).select_related("project").order_by("pk"))
    agreed = terms_of([site])[site.pk, visit]
    scene, outlook = look_at(site, now), outlook_of(site, today)
    return VisitPage(visit, scene, outlook, agreed=agreed, rows=rows, today=today)


def _page(
    request: HttpRequest,
    visitor: Visitor,
    visit: str,
    *,
    terms: TermsForm | None = None,
    refused: dict[str, Any] | None = None,
) -> HttpResponse:
    page = page_of(visitor, visit)
    booked = page.booked
    confirmation = Confirmation.objects.filter(visit=booked).first() if booked else None
    day = _day(request.GET.get("day", ""), page.today)
    chosen = page.chosen(day) if day else None
    context: dict[str, Any] = {
        "page": page,
        "cells": page.cells(confirmation),
        "gates": page.gates(),
        "missing_lines": page.missing(),
        "statement": page.statement(newest_statement(booked) if booked else None),
        "confirmation": confirmation,
        "cheapest": page.cheapest(),
        "pictures": page.pictures(),
        "days": page.days(),
        "day": day,
        "chosen": chosen,
        "wrong_day": bool(request.GET.get("day") and not chosen),
        "may_book": may(visitor, "book a visit"),
        "terms": terms or terms_form(page.agreed),
        "form": terms,
        "refused": refused,
        "booking": _booking(page, day),
    }
    return render(request, "visits/show.html", context, status=422 if terms or refused else 200)


def _booking(page: VisitPage, chosen: date | None) -> VisitForm | None:
    """The form that books or moves the visit: the chosen day, else what stands, else the cheapest day."""
    if page.over or page.advice is None:
        return None
    standing = page.booked.day if page.booked else page.advice.cheapest.day
    day = chosen or standing
    confirm = max(page.today, days_of(page.outlook, page.agreed, day).confirm_by)
    cents = page.agreed.wasted_trip_cents
    initial = {"day": day, "confirm_by": min(confirm, day), "cost": f"{cents / 100:.2f}" if cents else ""}
    return VisitForm(initial=initial, auto_id="id_booking_%s")


def _day(typed: str, today: date) -> date | None:
    """A day to come of the next two years; anything else is none."""
    try:
        day = date.fromisoformat(typed)
    except ValueError:
        return None
    return day if 0 <= (day - today).days <= 730 else None
