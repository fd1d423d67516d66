"""The two pages of a task, the trade's own and the site's, and handing in, which both of them have."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from coordination.access.visitors import Visitor
from coordination.dates.queries import schedule_of
from coordination.gates.queries import Scene, look_at
from coordination.projects.models import Task
from coordination.projects.queries import standing_facts, standing_plan
from coordination.web.handing_in import Handed, hand_in_posted
from coordination.web.shapes.cards import Card, card_of, cards_of
from coordination.web.shapes.design_lines import design_lines
from coordination.web.shapes.doings import doings_of, words_on
from coordination.web.shapes.enlarged import enlarged
from coordination.web.shapes.needs import need_of
from coordination.web.shapes.neighbours import neighbours_of
from coordination.web.shapes.scopes import may_see
from coordination.web.shapes.task_sheets import TaskSheet, company_entered_for, task_sheet
from coordination.web.shapes.witness_lines import points_on, witness_lines


def own_page(
    request: HttpRequest, visitor: Visitor, scene: Scene, row: Task, *, status: int = 200, **more: Any
) -> HttpResponse:
    """The phone page of a task, also with what was refused on top of it or in one of its cards."""
    context = _context(visitor, scene, row, mine=True, **more)
    return render(request, "my/task.html", context, status=status)


def whole_page(
    request: HttpRequest, visitor: Visitor, scene: Scene, row: Task, *, status: int = 200, **more: Any
) -> HttpResponse:
    """The sheet of a task for those who see the whole site."""
    context = _context(visitor, scene, row, mine=False, **more)
    context["neighbours"] = neighbours_of(row, scene, visitor)
    return render(request, "tasks/show.html", context, status=status)


def _context(
    visitor: Visitor,
    scene: Scene,
    row: Task,
    *,
    mine: bool,
    handed: Mapping[UUID, Handed] | None = None,
    **more: Any,
) -> dict[str, Any]:
    """What both pages show. ``handed`` says by requirement what came of handing in."""
    site = visitor.project
    plan, facts = standing_plan(site), standing_facts(site)
    sheet = task_sheet(row, scene, visitor, plan, schedule_of(site, scene.holding.today), every=not mine)
    return {
        "sheet": sheet,
        "cards": cards_of(sheet, visitor, scene=scene, mine=mine, handed=handed),
        "cautions": sheet.cautions,
        "designs": design_lines(row, site.code_set),
        "picture": enlarged(row, scene, facts, plan, sheet.state),
        "page": "mine" if mine else "",
        "witness": witness_lines(scene, visitor, [row.key])
        if row.derived.get("witness") or points_on(row)
        else [],
        **more,
    }


def handed_in(request: HttpRequest, visitor: Visitor, uid: UUID, *, mine: bool) -> HttpResponse:
    """Hand in what was posted; the answer is the card, or without script the page."""
    now = timezone.now()
    scene = look_at(visitor.project, now)
    row = scene.requirement(uid)
    work = seen_task(visitor, scene, scene.holding.task[row.task_id].uid)
    company = None if row.release else company_entered_for(work, scene, visitor)
    handed = hand_in_posted(request, visitor, need_of(row, scene, visitor), row, now, for_company=company)
    if request.htmx:  # type: ignore[attr-defined]
        return card_answer(request, visitor, uid, handed, mine=mine)
    if handed.well:
        messages.success(request, handed.told)
        for hint in handed.hints:
            messages.warning(request, hint)
        name = "my-task" if mine else "task"
        return redirect(f"{reverse(name, args=[visitor.project.uid, work.uid])}#need-{uid}")
    show, fresh = own_page if mine else whole_page, look_at(visitor.project, now)
    again = seen_task(visitor, fresh, work.uid)
    return show(request, visitor, fresh, again, status=422, handed={uid: handed})


def seen_task(visitor: Visitor, scene: Scene, uid: UUID) -> Task:
    """A live piece of work that the visitor may see. Http404 for everything else."""
    found = next((row for row in scene.holding.tasks if row.uid == uid and row.retired_in is None), None)
    if found is None or found.is_gate or not may_see(visitor, found, scene.holding):
        raise Http404
    return found


def card_answer(
    request: HttpRequest, visitor: Visitor, uid: UUID, handed: Handed, *, mine: bool
) -> HttpResponse:
    """The card as it stands now, and the parts of the page that follow from it."""
    scene = look_at(visitor.project, timezone.now())
    need_row = scene.requirement(uid)
    work = scene.holding.task[need_row.task_id]
    sheet = task_sheet(work, scene, visitor, standing_plan(visitor.project), None)
    need = need_of(need_row, scene, visitor, every=not mine)
    doings = None if mine else doings_of(need, scene, visitor, words_on([uid]).get(uid, ()))
    context = {
        "sheet": sheet,
        "others": _other_cards(handed, sheet, scene, visitor, mine=mine),
        "card": card_of(need, sheet.for_company, visitor, mine=mine, handed=handed, doings=doings),
        "page": "mine" if mine else "",
    }
    return render(request, "tasks/handed.html", context, status=200 if handed.well else 422)


def _other_cards(
    handed: Handed, sheet: TaskSheet, scene: Scene, visitor: Visitor, *, mine: bool
) -> list[Card]:
    """The cards of the same task for which a photo counts besides."""
    asked = {row.requirement.uid for row in handed.others}
    said = {} if mine else words_on(asked)
    return [
        card_of(
            need,
            sheet.for_company,
            visitor,
            mine=mine,
            doings=None if mine else doings_of(need, scene, visitor, said.get(need.uid, ())),
        )
        for need in sheet.needs
        if need.uid in asked
    ]
