"""The first sheet of a project: the section drawing with the state of every place, and what holds it up."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from coordination.dates.forecasting import outlook_of
from coordination.dates.queries import portfolio
from coordination.gates.calendars import local_day
from coordination.gates.drawing import SheetWords
from coordination.gates.queries import look_at
from coordination.projects.queries import open_change, questions, standing_facts, standing_plan
from coordination.web.addresses import address_of
from coordination.web.guards import guard
from coordination.web.missing import missing_lines, sheet_of
from coordination.web.places import drawing, place_lines, table_of
from coordination.web.question_lines import question_lines
from coordination.web.ready_lines import ready_lines
from coordination.web.shapes.sureness import Surely
from coordination.web.standing_cells import Cell, drawing_cell, gate_cell, next_gate, visit_cell
from coordination.web.unchanged import unchanged

SHOWN = 6


@unchanged
@require_GET
def show(request: HttpRequest, project: UUID) -> HttpResponse:
    """Where everything stands, for coordinator, contractor and lift crew."""
    site = guard(request, project, "see the project").project
    now = timezone.now()
    scene, plan, facts = look_at(site, now), standing_plan(site), standing_facts(site)
    [dates] = portfolio([site], local_day(site, now))
    lines = place_lines(scene, plan, dates.dated, lambda place: address_of("place", project, place))
    cells = [gate_cell(scene, dates), visit_cell(dates), drawing_cell(plan, scene)]
    words = SheetWords(site.name, _("First sheet"), _three(cells[0]), _three(cells[1]))
    gate = next_gate(scene, dates)
    missing = scene.assessment.gates[gate.key].missing if gate else ()
    sure = Surely(outlook_of(site, local_day(site, now)), scene.holding.task_by_key)
    address = sheet_of(scene.holding)
    asked = question_lines(questions(site), dates.needed_by, local_day(site, now), project)
    context = {
        "lines": lines,
        "table": table_of(lines),
        "sheet": drawing("sheet", lines, facts, plan, words, prefix="sheet"),
        "strip": drawing("strip", lines, facts, plan, words, prefix="strip"),
        "title_cells": cells,
        "gate": cells[0] if gate else None,
        "gate_sure": sure.gate(gate.key) if gate else None,
        "missing": missing_lines(missing[:SHOWN], scene.holding, address),
        "more_missing": max(0, len(missing) - SHOWN),
        "ready": ready_lines(scene, dates.dated, {line.key: line.name for line in lines}, address),
        "questions": asked[:SHOWN],
        "more_questions": max(0, len(asked) - SHOWN),
        "change": open_change(site),
        "change_href": address_of("change", project),
        "facts_href": address_of("facts", project),
        "questions_href": address_of("questions", project),
    }
    return render(request, "sites/first_sheet.html", context)


def _three(cell: Cell) -> tuple[str, str, str]:
    return (cell.label, cell.value, cell.note)
