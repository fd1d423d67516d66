"""Witness points: who may attend where, telling them, saying whether they came. Work waits for none of it."""

from collections.abc import Sequence
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
from coordination.gates import actions
from coordination.gates.queries import look_at
from coordination.web.forms.base import SheetForm
from coordination.web.forms.witness import CameForm, PointForm, TellForm
from coordination.web.guards import guard
from coordination.web.refused import in_words
from coordination.web.shapes.supposing import open_tasks, task_names
from coordination.web.shapes.witness_lines import WitnessLine, witness_lines


@require_http_methods(["GET", "HEAD", "POST"])
def index(request: HttpRequest, project: UUID) -> HttpResponse:
    """Every point; ``doing`` says which form was sent."""
    visitor = guard(request, project, "tell a witness", "see own tasks")
    if request.method != "POST":
        return _page(request, visitor)
    doing = {"tell": _tell, "came": _came, "add": _add, "take-back": _take_back}.get(
        request.POST.get("doing", "")
    )
    if doing is None:
        raise Http404
    form = _form(request, visitor)
    if form is not None and not form.is_valid():
        return _page(request, visitor, form)
    try:
        told = doing(request, visitor, form.cleaned_data if form else {})
    except Refusal as refusal:
        return _page(request, visitor, form, in_words(refusal))
    messages.success(request, told)
    return redirect("witness", project)


def _form(request: HttpRequest, visitor: Visitor) -> SheetForm | None:
    doing, anchor = request.POST["doing"], request.POST.get("anchor", "")
    if doing == "tell":
        return TellForm(request.POST, auto_id=f"{anchor}-tell-%s")
    if doing == "came":
        return CameForm(request.POST, auto_id=f"{anchor}-came-%s")
    return PointForm(request.POST, tasks=task_names(open_tasks(visitor.project))) if doing == "add" else None


def _tell(request: HttpRequest, visitor: Visitor, told: dict[str, Any]) -> str:
    task, point = _uid(request, "task"), request.POST.get("point", "")
    actions.tell_witness(visitor.project, visitor, timezone.now(), task, point, **told)
    return _("It is kept who was told. Work goes on whether or not they come.")


def _came(request: HttpRequest, visitor: Visitor, told: dict[str, Any]) -> str:
    said = {"attended": told["attended"] == "yes", "who": told["who"], "note": told["note"]}
    actions.say_attended(visitor.project, visitor, timezone.now(), _uid(request, "notice"), **said)
    return _("It is kept whether they came.")


def _add(request: HttpRequest, visitor: Visitor, told: dict[str, Any]) -> str:
    more = {name: told[name] for name in ("party", "text", "notice_days")}
    actions.add_witness_point(visitor.project, visitor, timezone.now(), UUID(told["task"]), **more)
    return _("The witness point stands.")


def _take_back(request: HttpRequest, visitor: Visitor, told: dict[str, Any]) -> str:
    actions.take_back_witness_point(visitor.project, visitor, timezone.now(), _uid(request, "own"))
    return _("The witness point was taken back.")


def _uid(request: HttpRequest, name: str) -> UUID:
    try:
        return UUID(request.POST.get(name, ""))
    except ValueError:
        raise Http404 from None


def _page(
    request: HttpRequest, visitor: Visitor, sent: SheetForm | None = None, reasons: Sequence[str] = ()
) -> HttpResponse:
    scene = look_at(visitor.project, timezone.now())
    anchor = request.POST.get("anchor", "") if sent or reasons else ""
    lines = [
        (line, *_forms(line, sent if line.anchor == anchor else None))
        for line in witness_lines(scene, visitor)
    ]
    adds = may(visitor, "add a gate")
    fresh = PointForm(tasks=task_names(open_tasks(visitor.project))) if adds else None
    context = {
        "lines": lines,
        "add": sent if isinstance(sent, PointForm) else fresh,
        "form": sent,
        "reasons": reasons,
        "opened": anchor,
    }
    return render(request, "gates/witness.html", context, status=422 if sent or reasons else 200)


def _forms(line: WitnessLine, sent: SheetForm | None) -> tuple[SheetForm | None, SheetForm | None]:
    tell = sent if isinstance(sent, TellForm) else TellForm(auto_id=f"{line.anchor}-tell-%s")
    came = sent if isinstance(sent, CameForm) else CameForm(auto_id=f"{line.anchor}-came-%s")
    return tell if line.may_tell else None, came if line.may_say else None
