"""A calculation with the readings of a series: its inputs are filled in, and its result can be kept beside the task."""

import uuid
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from coordination.access.permissions import Scope, require
from coordination.access.visitors import Visitor
from coordination.evidence.models import Evidence
from coordination.evidence.queries import evidence_by_uid
from coordination.gates.sentences import of_task
from coordination.projects.trade_words import in_words_of
from coordination.siteprep.calculations.registry import CALCULATIONS, Calculation
from coordination.siteprep.series_inputs import TooLittleRead
from coordination.web.forms.calculations import (
    CalculationForm,
    Typed,
    typed_from,
    typed_from_given,
    with_row,
    without_empty_rows,
    without_row,
)
from coordination.web.guards import guard
from coordination.web.shapes.calculation_words import CAUTIONS
from coordination.web.shapes.design_needs import DesignTask
from coordination.web.shapes.designs import hand_in_result
from coordination.web.shapes.series_calculations import calculation_of, given_for, source_of
from coordination.web.views.calculators import carried_out, given_again, head_of

LACKING: dict[str, str | Promise] = {
    "line A to line B": gettext_lazy(
        "The distance from line A to line B is not read; without it no width is found."
    ),
    "readings to the walls": gettext_lazy("Too few distances to the walls are read."),
    "two moments": gettext_lazy("Two readings at different hours are needed."),
}


@require_http_methods(["GET", "HEAD", "POST"])
@never_cache
def calculation(request: HttpRequest, project: UUID, evidence: UUID) -> HttpResponse:
    """GET: the result with the inputs of the series. POST: with others; ``given`` ones are kept beside the task."""
    visitor = guard(request, project, "enter for a company")
    row = evidence_by_uid(visitor.project, evidence)
    name = calculation_of(row)
    if not name:
        raise Http404
    require(visitor, "hand in evidence", Scope(trade=row.requirement.task.trade))
    chosen = CALCULATIONS[name]
    if request.method == "POST" and request.POST.keys() & {"add", "drop"}:
        typed = _with_other_rows(request, chosen)
        return _page(request, row, CalculationForm(chosen, typed, visitor.project.code_set))
    try:
        form = CalculationForm(chosen, _typed(request, visitor, row, chosen), visitor.project.code_set)
    except TooLittleRead as lacking:
        return _too_little(request, row, chosen, lacking, visitor.project.code_set)
    found = carried_out(form)
    if found is not None and "given" in request.POST:
        told = {"key": _key(request), "beside": _beside(row), "source": source_of(row), "note": ""}
        hand_in_result(visitor, timezone.now(), form, found, told)
        messages.success(request, _("The calculation is kept with the task."))
        return redirect("task", project, row.requirement.task.uid)
    return _page(request, row, form, found, status=200 if found else 422)


def _typed(request: HttpRequest, visitor: Visitor, row: Evidence, chosen: Calculation) -> Typed:
    """The inputs as they were sent; at first those of the series."""
    if "given" in request.POST:
        return given_again(chosen, request.POST["given"])
    if request.method == "POST":
        return without_empty_rows(chosen.inputs, typed_from(chosen, request.POST))
    return typed_from_given(chosen, given_for(visitor.project, row))


def _with_other_rows(request: HttpRequest, chosen: Calculation) -> Typed:
    typed = typed_from(chosen, request.POST)
    if place := request.POST.get("add"):
        return with_row(chosen.inputs, typed, place)
    return without_row(chosen.inputs, typed, request.POST["drop"])


def _key(request: HttpRequest) -> UUID:
    try:
        return UUID(request.POST.get("key", ""))
    except ValueError:
        raise Http404 from None


def _beside(row: Evidence) -> DesignTask:
    task = row.requirement.task
    return DesignTask(task.uid, of_task(task))


def _page(
    request: HttpRequest, row: Evidence, form: CalculationForm, found: Any = None, *, status: int = 200
) -> HttpResponse:
    task = row.requirement.task
    head = {**head_of(form), "href": request.path, "of_series": True}
    context = {
        "calculator": head,
        "form": form,
        "found": found,
        "key": uuid.uuid4(),
        "source": source_of(row),
        "task": {"name": of_task(task), "href": reverse("task", args=[task.project.uid, task.uid])},
        "cautions": [in_words_of(form.code_set, str(words)) for words in CAUTIONS[form.calculation.name]],
    }
    return render(request, "series/calculation.html", context, status=status)


def _too_little(
    request: HttpRequest, row: Evidence, chosen: Calculation, lacking: TooLittleRead, code_set: str
) -> HttpResponse:
    """The empty form, and which reading is wanting."""
    form = CalculationForm(chosen, {}, code_set)
    form.non_field_errors.append(str(LACKING[lacking.missing]))
    return _page(request, row, form, status=422)
