"""The calculations on their own pages, without a project; a result can be handed in for a task."""

import json
from dataclasses import dataclass
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from coordination.access.models import Project
from coordination.access.queries import sites_of
from coordination.access.refusals import Refusal
from coordination.projects.trade_words import in_words_of
from coordination.siteprep.calculations.inputs import InputErrors
from coordination.siteprep.calculations.registry import CALCULATIONS, Calculation
from coordination.siteprep.calculations.values import OutOfTable
from coordination.web.forms.calculations import (
    CalculationForm,
    Typed,
    blank,
    typed_from,
    typed_from_given,
    with_row,
    without_empty_rows,
    without_row,
)
from coordination.web.forms.handing_in_results import ResultForm
from coordination.web.guards import guard, person_of
from coordination.web.refused import in_words
from coordination.web.shapes.calculated import Calculated, calculated
from coordination.web.shapes.calculation_fields import title_of
from coordination.web.shapes.calculation_words import CAUTIONS, LIMITS
from coordination.web.shapes.design_needs import design_needs, design_tasks
from coordination.web.shapes.designs import hand_in_result
from coordination.web.shapes.test_sheets import CALCULATION, has_test_sheet, test_sheet

MAY_HAND_IN = {"coordinator", "contractor"}


@dataclass(frozen=True)
class CalculatorLine:
    """One line of the list."""

    href: str
    title: str
    about: str


@require_safe
@login_required
def index(request: HttpRequest) -> HttpResponse:
    """All calculations in plain words."""
    words = code_set_for(request)
    lines = [
        CalculatorLine(reverse("calculator", args=[name]), *title_of(name, words)) for name in CALCULATIONS
    ]
    return render(request, "calculators/index.html", {"lines": lines})


@require_http_methods(["GET", "HEAD", "POST"])
@login_required
@never_cache
def show(request: HttpRequest, name: str) -> HttpResponse:
    """The form of one calculation, and under it the result of what was sent."""
    calculation, words = _calculation(name), code_set_for(request)
    if request.method != "POST":
        typed = (
            typed_from_given(calculation, calculation.example)
            if "example" in request.GET
            else blank(calculation)
        )
        return _page(request, CalculationForm(calculation, typed, words))
    typed = typed_from(calculation, request.POST)
    if place := request.POST.get("add"):
        return _page(request, CalculationForm(calculation, with_row(calculation.inputs, typed, place), words))
    if place := request.POST.get("drop"):
        return _page(
            request, CalculationForm(calculation, without_row(calculation.inputs, typed, place), words)
        )
    form = CalculationForm(calculation, without_empty_rows(calculation.inputs, typed), words)
    found = carried_out(form)
    return _page(request, form, found, status=200 if found else 422)


@require_POST
@never_cache
def hand_in(request: HttpRequest, name: str, project: UUID) -> HttpResponse:
    """Choose the task for a result; then make its paper and hand it in."""
    visitor = guard(request, project, "enter for a company")
    calculation = _calculation(name)
    typed = given_again(calculation, request.POST.get("given", ""))
    form = CalculationForm(calculation, typed, visitor.project.code_set)
    found = carried_out(form)
    if found is None:
        return _page(request, form, status=422)
    now = timezone.now()
    needs = design_needs(visitor, now)
    sent = request.POST if "key" in request.POST else None
    chosen = ResultForm(sent, needs=needs, tasks=design_tasks(visitor, now))
    context: dict[str, Any] = {"calculator": head_of(form), "form": chosen, "found": found, "needs": needs}
    if not chosen.is_bound:
        return render(request, "calculators/hand_in.html", context)
    if not chosen.is_valid():
        return render(request, "calculators/hand_in.html", context, status=422)
    try:
        task = hand_in_result(visitor, now, form, found, chosen.cleaned_data)
    except Refusal as refusal:
        context["reasons"] = in_words(refusal)
        return render(request, "calculators/hand_in.html", context, status=422)
    told = chosen.cleaned_data
    kept = _("The calculation is kept with the task.")
    messages.success(request, kept if told["beside"] else _("The calculation was handed in as a paper."))
    return redirect("task", project, task)


@require_POST
@login_required
@never_cache
def recall_test(request: HttpRequest) -> HttpResponse:
    """The test that follows from the alarm calculation, on one page to be filled in by hand."""
    calculation = _calculation(CALCULATION)
    typed = given_again(calculation, request.POST.get("given", ""))
    form = CalculationForm(calculation, typed, code_set_for(request))
    found = carried_out(form)
    if found is None or not has_test_sheet(found):
        return _page(request, form, found, status=422)
    answer = HttpResponse(test_sheet(timezone.now(), form, found, project=""), content_type="application/pdf")
    answer["Content-Disposition"] = 'attachment; filename="recall-test.pdf"'
    return answer


def code_set_for(request: HttpRequest) -> str:
    """The words of the sites that somebody stands on; those of the US where there is none, or both."""
    person = person_of(request)
    uids = [site.uid for site in sites_of(person)] if person else []
    sets = set(Project.objects.filter(uid__in=uids).values_list("code_set", flat=True))
    return sets.pop() if len(sets) == 1 else "us"


def _calculation(name: str) -> Calculation:
    if name not in CALCULATIONS:
        raise Http404
    return CALCULATIONS[name]


def given_again(calculation: Calculation, text: str) -> Typed:
    """The inputs that a page of results carries. Http404 for what no page of ours wrote."""
    try:
        given = json.loads(text)
        return typed_from_given(calculation, given)
    except (ValueError, TypeError, AttributeError, RecursionError):
        raise Http404 from None


def carried_out(form: CalculationForm) -> Calculated | None:
    """The result; None and what is wrong at each field of ``form``."""
    try:
        return calculated(form)
    except InputErrors as wrong:
        form.refuse(wrong)
    except OutOfTable as wrong:
        form.non_field_errors.append(
            _("%(table)s has no entry for %(asked)s; it covers %(covers)s. Nothing is extrapolated.")
            % {"table": wrong.table, "asked": wrong.asked, "covers": wrong.covers}
        )
    return None


def head_of(form: CalculationForm) -> dict[str, Any]:
    name, words = form.calculation.name, form.code_set
    title, about = title_of(name, words)
    return {
        "name": name,
        "title": title,
        "about": about,
        "limits": in_words_of(words, str(LIMITS[name])),
        "href": reverse("calculator", args=[name]),
    }


def _page(
    request: HttpRequest, form: CalculationForm, found: Calculated | None = None, *, status: int = 200
) -> HttpResponse:
    person = person_of(request)
    sites = [site for site in sites_of(person) if MAY_HAND_IN & set(site.roles)] if person and found else []
    name = form.calculation.name
    context = {
        "calculator": head_of(form),
        "form": form,
        "found": found,
        "sites": [(reverse("calculator-hand-in", args=[name, site.uid]), site.name) for site in sites],
        "cautions": [in_words_of(form.code_set, str(words)) for words in CAUTIONS[name]],
        "test_sheet": reverse("recall-test") if name == CALCULATION and has_test_sheet(found) else "",
    }
    return render(request, "calculators/show.html", context, status=status)
