"""Calendar feeds: read by calendar programs at private addresses, asked for and taken back by people."""

import hashlib
from datetime import datetime
from typing import Any
from uuid import UUID

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse, HttpResponseNotModified
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.http import http_date
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from coordination.access import actions
from coordination.access.calendar_scopes import (
    CalendarScope,
    calendars_of,
    companies_coordinated_by,
    coordinated_by,
    scope_of_calendar,
)
from coordination.access.refusals import LinkRefused, LinkUnknown, NotVisible, TooManyAttempts
from coordination.dates.calendar_feed import tell
from coordination.dates.calendar_format import as_icalendar, newest
from coordination.dates.models import CalendarEntry
from coordination.gates.calendars import local_day
from coordination.record.queries import heads
from coordination.web.guards import guard, person_of
from coordination.web.mail import address_of_feed
from coordination.web.network_address import address_of
from coordination.web.refused import in_words
from coordination.web.shapes.feed_entries import feed_entries
from coordination.web.unchanged import code_version

Fresh = dict[str, str]


@require_safe
def feed(request: HttpRequest, token: str) -> HttpResponse:
    """The calendar behind a private address, or in a plain sentence why there is none."""
    now = timezone.now()
    try:
        link = actions.open_link(token, now, address=address_of(request), purposes=("calendar",))
    except LinkRefused as refusal:
        return _plain(in_words(refusal), 404 if isinstance(refusal, LinkUnknown) else 410)
    except TooManyAttempts as refusal:
        return _plain(in_words(refusal), 429)
    scope = scope_of_calendar(link, settings.LANGUAGE_CODE)
    if scope is None:
        return _plain([_("The standing on which this calendar was asked for has ended.")], 410)
    tag = _tag(scope, now)
    if tag in request.headers.get("If-None-Match", ""):
        return _marked(HttpResponseNotModified(), tag)
    with translation.override(scope.language):
        return _marked(_written(scope, now), tag)


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
@login_required
def calendars(request: HttpRequest) -> HttpResponse:
    """A person's own calendars: the visits of all their sites, or one company over all of them."""
    person = person_of(request)
    assert person is not None  # noqa: S101 - login_required
    fresh = _asked_for(request) if request.method == "POST" else None
    now = timezone.now()
    context: dict[str, Any] = {
        "fresh": fresh,
        "own": calendars_of(person, now),
        "companies": companies_coordinated_by(person),
        "coordinates": coordinated_by(person).exists(),
    }
    return render(request, "feeds/calendars.html", context)


@require_POST
@login_required
def take_back(request: HttpRequest, link: UUID) -> HttpResponse:
    """Close one of one's own calendars."""
    person = person_of(request)
    assert person is not None  # noqa: S101 - login_required
    actions.take_back_calendar(person, timezone.now(), link)
    messages.success(request, _("The address was taken back; it shows nothing any more."))
    return redirect("calendars")


@require_POST
@never_cache
def my_calendar(request: HttpRequest, project: UUID) -> HttpResponse:
    """A calendar of the visitor's own company on one project; its address is shown once."""
    visitor = guard(request, project, "take dates along")
    _link, token = actions.take_dates_along(visitor.project, visitor, timezone.now())
    fresh = _fresh(token, f"{visitor.company_name}, {visitor.project.name}")
    return render(request, "feeds/mine.html", {"fresh": fresh})


def _asked_for(request: HttpRequest) -> Fresh:
    person, now, company = person_of(request), timezone.now(), request.POST.get("company", "")
    assert person is not None  # noqa: S101 - the view has looked
    if not company:
        return _fresh(actions.calendar_of_visits(person, now)[1], _("Visits on all your sites"))
    try:
        uid = UUID(company)
    except ValueError:
        raise NotVisible from None
    link, token = actions.calendar_of_company(person, uid, now)
    return _fresh(token, _("%(company)s on all your sites") % {"company": link.company})


def _fresh(token: str, words: str) -> Fresh:
    address = address_of_feed(token)
    return {"address": address, "subscribe": f"webcal:{address.partition(':')[2]}", "words": words}


def _written(scope: CalendarScope, now: datetime) -> HttpResponse:
    entries = tell(f"{scope.audience} {scope.language}", scope.projects, feed_entries(scope, now), now)
    content = as_icalendar(_name(scope), entries, [_page_of(entry, scope) for entry in entries])
    response = HttpResponse(content, content_type="text/calendar; charset=utf-8")
    response.headers["Content-Disposition"] = 'inline; filename="dates.ics"'
    if at := newest(entries):
        response.headers["Last-Modified"] = http_date(at.timestamp())
    return response


def _name(scope: CalendarScope) -> str:
    whose = scope.link.company.name if scope.link.company else _("Visits")
    return f"{whose}, {scope.link.project.name}" if scope.link.project else whose


def _page_of(entry: CalendarEntry, scope: CalendarScope) -> str:
    """The page of the work, for whoever has come in already: an address in a calendar lets nobody in."""
    kind, _space, uid = entry.subject.partition(" ")
    project = next(each.uid for each in scope.projects if each.pk == entry.project_id)
    if kind == "task":
        return settings.SITE_ADDRESS + reverse("my-task", args=[project, uid])
    return settings.SITE_ADDRESS + reverse("visits", args=[project])


def _tag(scope: CalendarScope, now: datetime) -> str:
    """Names everything that the entries can depend on: the decisions and the day of each project, words and code."""
    known = heads([project.stream for project in scope.projects])
    told = (
        str(scope.link.uid),
        *((known.get(each.stream), local_day(each, now).isoformat()) for each in scope.projects),
        sorted(scope.trades),
        scope.language,
        code_version(),
    )
    return f'"{hashlib.sha256(repr(told).encode()).hexdigest()[:32]}"'


def _marked(response: HttpResponse, tag: str) -> HttpResponse:
    response.headers["ETag"] = tag
    response.headers["Cache-Control"] = "private, no-cache"
    response.headers["X-Robots-Tag"] = "noindex"
    return response


def _plain(reasons: list[str], status: int) -> HttpResponse:
    return HttpResponse("\n".join(reasons) + "\n", status=status, content_type="text/plain; charset=utf-8")
