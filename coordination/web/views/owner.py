"""The owner's page: how far it is, in plain words and a picture, for somebody without an account."""

from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST, require_safe

from coordination.access.refusals import Refusal
from coordination.access.visitors import Visitor
from coordination.dates.queries import SiteDates, portfolio
from coordination.gates.actions import end_concession, grant_concession
from coordination.gates.calendars import local_day
from coordination.gates.drawing import SheetWords
from coordination.gates.queries import Scene, look_at
from coordination.projects.queries import questions, standing_facts, standing_plan
from coordination.projects.trade_words import in_words_of
from coordination.web.forms.gates import SignForm
from coordination.web.forms.owner import LettingGoForm
from coordination.web.guards import guard
from coordination.web.places import PlaceLine, drawing, place_lines
from coordination.web.question_lines import question_lines
from coordination.web.refused import in_words
from coordination.web.shapes import standing as shapes
from coordination.web.standing_cells import Cell, next_gate
from coordination.web.texts import on_day, said
from coordination.web.unchanged import unchanged

SHOWN = 7
MOST_REASON = 300


@unchanged
@require_safe
def standing(request: HttpRequest, project: UUID) -> HttpResponse:
    """Where it stands, what comes next, and what the owner is asked for."""
    return _page(request, guard(request, project, "see the owner's page"))


@require_POST
def concede(request: HttpRequest, project: UUID, requirement: UUID) -> HttpResponse:
    """The owner speaks for going on without a requirement that names them."""
    visitor = guard(request, project, "see the owner's page")
    form = LettingGoForm(request.POST, asks_scope="scope" in request.POST, auto_id=f"{requirement}-%s")
    if not form.is_valid():
        return _page(request, visitor, form=form, about=str(requirement), status=422)
    try:
        grant_concession(
            visitor.project,
            visitor,
            timezone.now(),
            requirement,
            kind=request.POST.get("kind", ""),
            reason=form.cleaned_data["reason"],
            scope=form.cleaned_data.get("scope", ""),
        )
    except Refusal as refusal:
        reasons = in_words(refusal)
        return _page(request, visitor, form=form, about=str(requirement), reasons=reasons, status=422)
    messages.success(request, _("Your word is kept in the record."))
    return redirect("standing", project)


@require_POST
def end(request: HttpRequest, project: UUID, concession: UUID) -> HttpResponse:
    """The owner takes back what they have let go."""
    visitor = guard(request, project, "see the owner's page")
    try:
        end_concession(
            visitor.project, visitor, timezone.now(), concession, request.POST.get("reason", "")[:MOST_REASON]
        )
    except Refusal as refusal:
        return _page(request, visitor, reasons=in_words(refusal), ended=str(concession), status=422)
    messages.success(request, _("Taken back. What rested on it is missing again."))
    return redirect("standing", project)


def _page(
    request: HttpRequest,
    visitor: Visitor,
    *,
    form: LettingGoForm | None = None,
    about: str = "",
    status: int = 200,
    **context: object,
) -> HttpResponse:
    site, now = visitor.project, timezone.now()
    scene, plan, facts = look_at(site, now), standing_plan(site), standing_facts(site)
    [dates] = portfolio([site], local_day(site, now))
    gate = next_gate(scene, dates)
    places = [_quiet(line) for line in place_lines(scene, plan, dates.dated, lambda place: "")]
    cells = [_gate_cell(scene, dates), _visit_cell(scene, dates)]
    words = SheetWords(site.name, _("How far it is"), _three(cells[0]), _three(cells[1]))
    waiting = shapes.waits_for(
        scene,
        scene.assessment.gates[gate.key].missing if gate else (),
        {line.key: line.name for line in places},
    )

    def letting_go(uid: str, asks_scope: bool) -> LettingGoForm:
        return form if form and uid == about else LettingGoForm(asks_scope=asks_scope, auto_id=f"{uid}-%s")

    context |= {
        "in_short": shapes.in_short(scene, dates, gate),
        "heading": in_words_of(site.code_set, _("How far your {lift} is")),
        "lines": shapes.plain_places(places),
        "sheet": drawing("sheet", places, facts, plan, words, prefix="sheet", said_of=shapes.PLAIN),
        "strip": drawing("strip", places, facts, plan, words, prefix="strip", said_of=shapes.PLAIN),
        "cells": cells,
        "gate": said(gate.derived.get("text", {})) if gate else "",
        "waiting": waiting[:SHOWN],
        "more": waiting[SHOWN:],
        "way": shapes.way_there(scene, dates),
        "asked": question_lines(
            shapes.owners_questions(questions(site)), dates.needed_by, local_day(site, now), site.uid
        ),
        "granted": shapes.granted(scene, visitor),
        "askings": shapes.askings(scene, visitor, letting_go),
        "signings": [
            (signing, SignForm(roles=["owner"], auto_id=f"{signing.uid}-%s"))
            for signing in shapes.signings(scene, visitor)
        ],
        "form": form,
        "said_at": now,
        "no_use": in_words_of(site.code_set, _no_use()),
    }
    return render(request, "owner/standing.html", context, status=status)


def _no_use() -> str:
    return _("Until the authority’s certificate is there, nobody but the {lift} crew moves the {car}.")


def _quiet(line: PlaceLine) -> PlaceLine:
    return PlaceLine(line.key, line.kind, line.landing, line.name, line.state, "", "")


def _gate_cell(scene: Scene, site: SiteDates) -> Cell:
    gate = next_gate(scene, site)
    if gate is None or site.next_gate is None:
        return Cell(_("next gate"), _("none left") if scene.holding.gates else _("no plan yet"))
    expected = _("expected about %(day)s") % {"day": on_day(site.next_gate[1])}
    return Cell(_("next gate"), said(gate.derived.get("text", {})), expected)


def _visit_cell(scene: Scene, site: SiteDates) -> Cell:
    if site.next_visit is None:
        over = bool(scene.holding.gates) and next_gate(scene, site) is None
        return Cell(_("next visit"), _("none left") if over else _("not booked yet"))
    return Cell(_("next visit"), on_day(site.next_visit.day))


def _three(cell: Cell) -> tuple[str, str, str]:
    return (cell.label, cell.value, cell.note)
