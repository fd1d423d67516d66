"""Gates: what each waits for, who owes it, who signs; signing and clearing."""

from datetime import datetime
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_POST, require_safe

from coordination.access.permissions import may
from coordination.access.refusals import Refusal
from coordination.access.visitors import Visitor
from coordination.dates.forecasting import outlook_of
from coordination.dates.queries import schedule_of
from coordination.gates.actions import clear_gate, sign_gate, take_back_gate
from coordination.gates.calendars import local_day
from coordination.gates.queries import Scene, look_at
from coordination.handover.queries import rounds
from coordination.projects.models import Gate
from coordination.projects.queries import standing_plan
from coordination.web.forms.gates import SignForm
from coordination.web.guards import guard
from coordination.web.missing import sheet_of
from coordination.web.refused import refusal_context
from coordination.web.shapes import gates as shapes
from coordination.web.shapes.gate_met import met_lines
from coordination.web.shapes.gate_missing import by_owner, if_all_were_accepted
from coordination.web.shapes.gate_rounds import round_lines
from coordination.web.shapes.gate_signers import may_sign, signer_lines
from coordination.web.shapes.supposed_conditions import supposing_of
from coordination.web.shapes.sureness import Surely
from coordination.web.shapes.unheard_lines import UnheardLine, unheard_here
from coordination.web.shapes.witness_lines import witness_lines
from coordination.web.standing_cells import Cell
from coordination.web.texts import on_day, said
from coordination.web.unchanged import unchanged
from coordination.web.words import ROLES

VERBS = ("sign", "clear", "take-back")
MOST_REASON = 300
DONE = {
    "sign": gettext_lazy("Signed; it is in the record."),
    "clear": gettext_lazy("The gate is cleared; its report is being made."),
    "take-back": gettext_lazy("The gate was taken back; it holds nothing any more."),
}


@unchanged
@require_safe
def index(request: HttpRequest, project: UUID) -> HttpResponse:
    """All gates in their order."""
    site, now = guard(request, project, "see the project").project, timezone.now()
    days = schedule_of(site, local_day(site, now)).gates
    context = {
        "lines": shapes.gate_lines(look_at(site, now), days),
        "may_add": may(request.visitor, "add a gate"),  # type: ignore[attr-defined]
    }
    return render(request, "gates/index.html", context)


@unchanged
@require_safe
def show(request: HttpRequest, project: UUID, task: UUID) -> HttpResponse:
    """One gate."""
    return _page(request, guard(request, project, "see the project"), task)


@require_POST
def do(request: HttpRequest, project: UUID, task: UUID, verb: str) -> HttpResponse:
    """Sign or clear a gate. An owner signs on their own page and comes back to it."""
    visitor = guard(request, project, "see the project", "see the owner's page")
    gate = Gate.objects.filter(task__uid=task, task__project=visitor.project).first()
    if verb not in VERBS or gate is None:
        raise Http404
    try:
        if verb == "sign":
            told = request.POST
            sign_gate(
                visitor.project,
                visitor,
                timezone.now(),
                gate.uid,
                statement=told.get("statement", "")[:2000],
                role=told.get("role", ""),
            )
        elif verb == "take-back":
            why = request.POST.get("reason", "")[:MOST_REASON]
            take_back_gate(visitor.project, visitor, timezone.now(), gate.uid, why)
        else:
            clear_gate(visitor.project, visitor, timezone.now(), gate.uid)
    except Refusal as refusal:
        if not may(visitor, "see the project"):
            raise
        context = refusal_context(refusal, visitor, timezone.now())
        return _page(request, visitor, task, status=422, refused=context)
    messages.success(request, DONE[verb])
    return redirect("gates", project) if verb == "take-back" else redirect(_where(visitor, task))


def _where(visitor: Visitor, task: UUID) -> str:
    if may(visitor, "see the project"):
        return reverse("gate", args=[visitor.project.uid, task])
    return reverse("standing", args=[visitor.project.uid])


def _page(
    request: HttpRequest,
    visitor: Visitor,
    task: UUID,
    *,
    status: int = 200,
    refused: dict[str, object] | None = None,
) -> HttpResponse:
    site, now = visitor.project, timezone.now()
    scene = look_at(site, now)
    found = shapes.gate_of(scene, task)
    if found is None:
        raise Http404
    gate = scene.gate(found.uid)
    ready = scene.assessment.gates[gate.key]
    roles = may_sign(scene, gate, visitor)
    typed = request.POST if status == 422 and "statement" in request.POST else None
    plan = standing_plan(site)
    cautions, places = plan.cautions, {place.key: said(place.text) for place in plan.places}
    waiting = any(need.outcome == "handed in" for one in scene.standing.tasks for need in one.requirements)
    context = {
        "gate": gate,
        "uid": task,
        "name": said(gate.derived.get("text", {})),
        "state": shapes.state_of(scene, gate),
        "cells": _cells(scene, gate),
        "cautions": [said(cautions[key]) for key in gate.derived.get("cautions", ()) if key in cautions],
        **_sureness(scene, gate),
        "missing_by_owner": by_owner(ready.unsigned, scene),
        "missing_count": len(ready.unsigned),
        "still_missing": if_all_were_accepted(scene, gate) if waiting and ready.unsigned else None,
        "met": met_lines(scene, gate),
        "signers": signer_lines(scene, gate),
        "sign_form": SignForm(typed, roles=roles) if roles and not ready.unsigned else None,
        "signs_later": bool(roles and ready.unsigned),
        "own": shapes.is_own(scene, gate),
        "may_take_back": shapes.may_take_back(scene, gate, visitor),
        "witness": witness_lines(scene, visitor, shapes.read_by(scene, gate)),
        "clears": ready.state != "cleared" and shapes.may_clear(gate, visitor),
        "clearer": str(ROLES[gate.clears]),
        "may_be_cleared": ready.state == "ready to clear",
        "supposing": supposing_of(scene, gate, request.GET.getlist("met"), places)
        if ready.state == "held"
        else None,
        "rounds": round_lines(scene, gate, rounds(site)),
        "unheard": _unheard(scene, gate, visitor, now),
        "logs": may(visitor, "log a call"),
        "refused": refused,
    }
    return render(request, "gates/show.html", context, status=status)


def _unheard(scene: Scene, gate: Gate, visitor: Visitor, now: datetime) -> list[UnheardLine]:
    """Whom no mail told that it reopened; nobody for those who see no telephones."""
    if shapes.state_of(scene, gate) != "reopened" or not may(visitor, "see phone numbers"):
        return []
    return unheard_here(scene, now, gate)


def _sureness(scene: Scene, gate: Gate) -> dict[str, object]:
    """How sure its day is and what moves it most; nothing once it is cleared."""
    outlook = outlook_of(scene.holding.project, scene.holding.today)
    sure = Surely(outlook, scene.holding.task_by_key, sheet_of(scene.holding))
    line = sure.gate(gate.key)
    return {"sure": [line] if line else [], "drivers": sure.drivers(outlook.of_gate(gate.key))}


def _cells(scene: Scene, gate: Gate) -> list[Cell]:
    holding = scene.holding
    state = shapes.state_of(scene, gate)
    clearing = holding.standing_clearing(gate)
    cells = [Cell(_("state"), "", state=state)]
    if clearing is None:
        day = schedule_of(holding.project, holding.today).gates.get(gate.key)
        cells.append(Cell(_("expected"), on_day(day) if day else _("not dated")))
    else:
        cells.append(Cell(_("cleared"), on_day(local_day(holding.project, clearing.cleared_at))))
    cells.append(Cell(_("round"), str(holding.round_of(gate))))
    cells.append(Cell(_("is cleared by"), capfirst(str(ROLES[gate.clears]))))
    return cells
