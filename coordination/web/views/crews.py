"""Crews over all sites of a supplier: who goes where when, and what each site's wish costs the others."""

import uuid
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from coordination.access.models import Membership
from coordination.access.queries import coordinator_of
from coordination.access.refusals import NotVisible
from coordination.access.visitors import Visitor
from coordination.dates.crews import (
    ask_for_site,
    end_crew,
    enter_crew,
    enter_way,
    sites,
    trades_with_companies,
)
from coordination.dates.levelling_runs import ask_for_levelling, stop_levelling
from coordination.dates.models import Crew, Levelling, SiteAsks, Way
from coordination.dates.refusals import CrewRefused, LevellingRefused
from coordination.gates.calendars import local_day
from coordination.pictures.time_chart import time_chart
from coordination.web.forms.base import SheetForm
from coordination.web.forms.crews import CrewForm, LevelForm, SiteAsksForm, WayForm
from coordination.web.guards import person_of
from coordination.web.refused import in_words
from coordination.web.shapes.companies import trade_names
from coordination.web.shapes.crew_lines import plan_of

WHOLE_SITE = ("coordinator", "contractor", "lift crew")


@require_GET
@login_required
def show(request: HttpRequest, supplier: UUID) -> HttpResponse:
    """The newest levelling: its picture and table, or how far it has come."""
    return _show(request, _coordinator(request, supplier))


@require_POST
@login_required
def level(request: HttpRequest, supplier: UUID) -> HttpResponse:
    """Have the crews levelled; where that is under way already, nothing is added."""
    visitor, now = _coordinator(request, supplier), timezone.now()
    form = LevelForm(request.POST)
    if not form.is_valid():
        return _show(request, visitor, form)
    try:
        ask_for_levelling(
            visitor, now, seconds=form.cleaned_data["seconds"], today=local_day(visitor.project, now)
        )
    except LevellingRefused as refusal:
        return _show(request, visitor, form, in_words(refusal))
    return redirect("crews", supplier)


@require_POST
@login_required
def stop(request: HttpRequest, supplier: UUID, levelling: UUID) -> HttpResponse:
    """Let a levelling end with the best it has."""
    visitor = _coordinator(request, supplier)
    try:
        stop_levelling(visitor, timezone.now(), levelling)
    except NotVisible:
        raise Http404 from None
    return redirect("crews", supplier)


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
def enter(request: HttpRequest, supplier: UUID) -> HttpResponse:
    """Crews, what the sites ask, and the way between them."""
    visitor = _coordinator(request, supplier)
    if request.method != "POST":
        return _entering(request, visitor)
    doing = request.POST.get("doing", "")
    if doing not in _DOING:
        raise Http404
    sent = _Sent(doing, request.POST.get("subject", ""), _form(doing, visitor, request.POST))
    if sent.form is not None and not sent.form.is_valid():
        return _entering(request, visitor, sent)
    try:
        messages.success(request, _DOING[doing](visitor, sent))
    except CrewRefused as refusal:
        return _entering(request, visitor, sent, in_words(refusal))
    except NotVisible:
        raise Http404 from None
    return redirect("crews-entering", supplier)


class _Sent:
    """A form that was sent: what it does, to which crew or site, and its fields."""

    def __init__(self, doing: str, subject: str, form: Any) -> None:
        self.doing, self.subject, self.form = doing, subject, form

    @property
    def uid(self) -> UUID:
        try:
            return UUID(self.subject)
        except ValueError:
            raise Http404 from None


def _enter_crew(visitor: Visitor, sent: _Sent) -> str:
    enter_crew(visitor, timezone.now(), sent.form.told, uid=sent.uid)
    return _("The crew was entered.")


def _end_crew(visitor: Visitor, sent: _Sent) -> str:
    end_crew(visitor, timezone.now(), sent.uid)
    return _("The crew goes on no site any more.")


def _ask(visitor: Visitor, sent: _Sent) -> str:
    ask_for_site(visitor, timezone.now(), sent.uid, sent.form.told)
    return _("What the site asks was entered.")


def _enter_way(visitor: Visitor, sent: _Sent) -> str:
    told = sent.form.cleaned_data
    enter_way(visitor, timezone.now(), UUID(told["one"]), UUID(told["other"]), told["days"])
    return _("The way between the two sites was entered.")


_DOING = {"crew": _enter_crew, "end": _end_crew, "site": _ask, "way": _enter_way}


def _coordinator(request: HttpRequest, supplier: UUID) -> Visitor:
    try:
        return coordinator_of(person_of(request), supplier, timezone.now())
    except NotVisible:
        raise Http404 from None


def _own_sites(request: HttpRequest, visitor: Visitor) -> dict[str, str]:
    """Names by uid of the sites of this supplier on which whoever asks sees the whole site."""
    standing = Membership.objects.filter(
        person=person_of(request),
        left_at__isnull=True,
        role__in=WHOLE_SITE,
        project__supplier=visitor.project.supplier_id,
    )
    return {str(uid): name for uid, name in standing.values_list("project__uid", "project__name")}


def _show(
    request: HttpRequest, visitor: Visitor, form: SheetForm | None = None, reasons: list[str] | None = None
) -> HttpResponse:
    supplier, now = visitor.project.supplier, timezone.now()
    row = Levelling.objects.filter(supplier=supplier).order_by("-pk").first()
    plan = plan_of(row, _own_sites(request, visitor), local_day(visitor.project, now)) if row else None
    chart = plan.chart if plan else None
    context = {
        "supplier": supplier,
        "plan": plan,
        "form": form or LevelForm(),
        "reasons": reasons,
        "missing": None,
        "sheet": mark_safe(time_chart(chart, "sheet", prefix="crews")) if chart else "",
        "phone": mark_safe(time_chart(chart, "phone", prefix="crewsphone")) if chart else "",
        "has_crews": Crew.objects.filter(supplier=supplier, ended_at__isnull=True).exists(),
    }
    return render(request, "crews/show.html", context, status=422 if form else 200)


def _trades(visitor: Visitor) -> list[tuple[str, str]]:
    names = trade_names(visitor.project, everybody=True)
    return [
        (f"{company.uid}/{trade}", f"{names.get(trade, trade)}: {company.name}")
        for trade, company in trades_with_companies(visitor)
    ]


def _form(doing: str, visitor: Visitor, data: Any) -> SheetForm | None:
    if doing == "crew":
        return CrewForm(data, trades=_trades(visitor), auto_id="id_sent_%s")
    if doing == "site":
        return SiteAsksForm(data, auto_id="id_sent_%s")
    if doing == "way":
        listed = [(str(project.uid), project.name) for project in sites(visitor)]
        return WayForm(data, sites=listed, auto_id="id_sent_%s")
    return None


def _entering(
    request: HttpRequest, visitor: Visitor, sent: _Sent | None = None, reasons: list[str] | None = None
) -> HttpResponse:
    supplier, own = visitor.project.supplier, _own_sites(request, visitor)
    trades = _trades(visitor)
    listed = [project for project in sites(visitor).order_by("name") if str(project.uid) in own]
    asks = {row.project_id: row for row in SiteAsks.objects.filter(project__in=listed)}
    crews = (
        Crew.objects.filter(supplier=supplier, ended_at__isnull=True).select_related("company").order_by("pk")
    )
    ways = Way.objects.filter(one__in=listed, other__in=listed).select_related("one", "other").order_by("pk")
    choices = [(str(project.uid), project.name) for project in listed]
    fresh = str(uuid.uuid4())

    def shown(doing: str, subject: str, form: SheetForm) -> SheetForm:
        same = sent is not None and (sent.doing, sent.subject) == (doing, subject)
        return sent.form if same and sent and sent.form is not None else form

    new = (
        sent.subject
        if sent and sent.doing == "crew" and not any(str(c.uid) == sent.subject for c in crews)
        else fresh
    )
    context = {
        "supplier": supplier,
        "sent": sent,
        "reasons": reasons,
        "missing": None,
        "form": sent.form if sent else None,
        "trades": trades,
        "new": new,
        "new_form": shown("crew", new, CrewForm(trades=trades, auto_id="id_new_%s")),
        "crews": [
            (crew, dict(trades).get(f"{crew.company.uid}/{crew.trade}", crew.company.name),
             shown("crew", str(crew.uid), _crew_form(crew, trades)))
            for crew in crews
        ],
        "asks": [
            (project, row := asks.get(project.pk) or SiteAsks(project=project),
             shown("site", str(project.uid), _asks_form(row)))
            for project in listed
        ],
        "ways": list(ways),
        "way_form": shown("way", "", WayForm(sites=choices, auto_id="id_way_%s")) if len(listed) > 1 else None,
    }  # fmt: skip
    return render(request, "crews/entering.html", context, status=422 if sent else 200)


def _crew_form(crew: Crew, trades: list[tuple[str, str]]) -> CrewForm:
    initial = {
        "of": f"{crew.company.uid}/{crew.trade}",
        "away": ", ".join(crew.away),
        "weekdays": [str(n) for n in crew.weekdays],
        **{name: getattr(crew, name) for name in ("name", "people", "home", "latitude", "longitude")},
    }
    return CrewForm(initial=initial, trades=trades, auto_id=f"id_{crew.uid}_%s")


def _asks_form(row: SiteAsks) -> SiteAsksForm:
    names = ("weight", "wanted_by", "wish", "latitude", "longitude")
    initial = {name: getattr(row, name) for name in names}
    return SiteAsksForm(initial=initial, auto_id=f"id_{row.project.uid}_%s")
