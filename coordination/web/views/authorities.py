"""Who inspects, under which permit, how many days ahead to ask, and which inspections come in which order."""

from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coordination.access.permissions import may
from coordination.access.visitors import Visitor
from coordination.gates.queries import look_at
from coordination.projects.actions import AuthorityInput, set_authority
from coordination.projects.models import PlanChange
from coordination.projects.queries import standing_plan
from coordination.projects.refusals import DatesRefused, FactsRefused
from coordination.web.forms.authorities import AuthorityForm, authority_form
from coordination.web.guards import guard
from coordination.web.refused import in_words
from coordination.web.shapes.authorities import AuthorityLine, authority_lines
from coordination.web.shapes.inspections import InspectionLine, inspection_lines
from coordination.web.texts import said


@require_http_methods(["GET", "HEAD", "POST"])
def index(request: HttpRequest, project: UUID) -> HttpResponse:
    """Every authority with what is known of it, and a form for each."""
    if request.method != "POST":
        return _page(request, guard(request, project, "see the project"))
    visitor = guard(request, project, "answer a question")
    form = AuthorityForm(request.POST, auto_id=f"id_{request.POST.get('kind', '')}_%s")
    if not form.is_valid():
        return _page(request, visitor, form)
    try:
        change = _set(visitor, form.cleaned_data)
    except DatesRefused as refusal:
        return _page(request, visitor, form, in_words(refusal))
    except FactsRefused as refusal:
        language = (get_language() or "en")[:2]
        return _page(
            request, visitor, form, ["{}; {}".format(*fault.says(language)) for fault in refusal.reasons]
        )
    messages.success(request, _("What is known of this authority is kept."))
    if change is not None:
        messages.success(request, _("The plan changes with it: the change waits to be looked at."))
    return redirect("authorities", project)


def _set(visitor: Visitor, told: dict[str, Any]) -> PlanChange | None:
    """Only what differs from what stands is said, so that nobody's word becomes somebody else's."""
    [line] = [line for line in authority_lines(visitor.project) if line.kind == told["kind"]]
    return set_authority(
        visitor.project,
        visitor,
        timezone.now(),
        line.kind,
        name=told["name"] if told["name"] != line.name else "",
        permit=told["permit"] if told["permit"] != line.permit else "",
        notice_days=told["notice"] if told["notice"] != line.notice else None,
        particulars=AuthorityInput(told["phone"], told["permit_on"], told["inspections"]),
    )


def _page(
    request: HttpRequest,
    visitor: Visitor,
    sent: AuthorityForm | None = None,
    reasons: list[str] | None = None,
) -> HttpResponse:
    lines = authority_lines(visitor.project)
    kind = sent.data.get("kind", "") if sent else ""
    context = {
        "lines": [(line, _form(line, sent if line.kind == kind else None)) for line in lines],
        "form": sent,
        "opened": kind,
        "reasons": reasons,
        "may_set": may(visitor, "answer a question"),
        "inspections": _inspections(visitor),
        "may_enter": may(visitor, "attach an authority's document"),
    }
    return render(request, "authorities/index.html", context, status=422 if sent else 200)


def _inspections(visitor: Visitor) -> list[InspectionLine]:
    scene = look_at(visitor.project, timezone.now())
    places = {place.key: said(place.text) for place in standing_plan(visitor.project).places}
    return inspection_lines(scene, places)


def _form(line: AuthorityLine, sent: AuthorityForm | None) -> AuthorityForm:
    return sent or authority_form(line.kind, line.standing)
