"""The official result of an inspection: the authority's written report, attached with its number and date."""

import uuid
from collections.abc import Mapping, Sequence
from uuid import UUID

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coordination.access.refusals import Refusal
from coordination.access.visitors import Visitor
from coordination.evidence.arrivals import take_in
from coordination.evidence.items import HandIn
from coordination.gates.actions import enter_result
from coordination.gates.queries import Scene, look_at
from coordination.gates.sentences import TRADES, trade_words
from coordination.projects.queries import standing_plan
from coordination.web.forms.inspections import MOST, ItemForm, ResultForm, item_forms, typed_in
from coordination.web.guards import guard
from coordination.web.refused import in_words
from coordination.web.shapes.inspections import InspectionLine, inspection_lines
from coordination.web.texts import said
from coordination.web.uploads import takes_files


@takes_files
@require_http_methods(["GET", "HEAD", "POST"])
def show(request: HttpRequest, project: UUID, requirement: UUID) -> HttpResponse:
    """Every round of one inspection, and the form for the next report."""
    visitor = guard(request, project, "attach an authority's document")
    scene = look_at(visitor.project, timezone.now())
    line = _line_or_404(scene, requirement)
    if request.method != "POST":
        return _page(request, scene, line, ResultForm(initial={"key": uuid.uuid4()}), _items(scene, None))
    if "more" in request.POST:
        return _with_more_rows(request, scene, line)
    form, items = ResultForm(request.POST, request.FILES), _items(scene, request.POST)
    if not (form.is_valid() and all(each.is_valid() for each in items)):
        return _page(request, scene, line, form, items, reasons=_of_items(items), status=422)
    try:
        _enter(visitor, requirement, form, items)
    except Refusal as refusal:
        return _page(request, scene, line, form, items, reasons=in_words(refusal), status=422)
    messages.success(request, _("The result is in the record, with the report."))
    return redirect("inspection", project, requirement)


def _of_items(items: Sequence[ItemForm]) -> list[str]:
    """What is wrong with which row: its own fields may be folded away."""
    return [
        _("Item %(number)s: %(error)s") % {"number": number, "error": error}
        for number, item in enumerate(items, start=1)
        for errors in item.errors.values()
        for error in errors
    ]


def _with_more_rows(request: HttpRequest, scene: Scene, line: InspectionLine) -> HttpResponse:
    """The same page with everything that was typed and more rows; a chosen file no page can choose again."""
    typed = request.POST.dict()
    form, items = ResultForm(initial=typed_in(typed)), _items(scene, request.POST, more=True)
    return _page(request, scene, line, form, items, again="document" in request.FILES)


def _enter(visitor: Visitor, requirement: UUID, form: ResultForm, items: Sequence[ItemForm]) -> None:
    told = form.cleaned_data
    name = told["document"].name or ""
    arrived = take_in(visitor.project, told["document"], kind="document", file_name=name)
    report = HandIn(
        uuid.uuid5(told["key"], arrived.blob.sha256),
        blob=arrived.blob,
        image=arrived.image,
        file_name=name,
        taken_at=arrived.taken_at,
        number=told["number"],
        dated=told["dated"],
        note=told["note"],
        result=told["result"],
    )
    wishes = [wish for each in items if (wish := each.wish()) is not None]
    now = timezone.now()
    enter_result(visitor.project, visitor, now, requirement, report, items=wishes, again_on=told["again_on"])


def _items(scene: Scene, posted: Mapping[str, str] | None, *, more: bool = False) -> list[ItemForm]:
    plan = standing_plan(scene.holding.project)
    places = [(place.key, said(place.text)) for place in plan.places]
    trades = [(key, trade_words(key)) for key in TRADES]
    return item_forms(posted, places=places, trades=trades, more=more)


def _line_or_404(scene: Scene, requirement: UUID) -> InspectionLine:
    places = {place.key: said(place.text) for place in standing_plan(scene.holding.project).places}
    found = next((line for line in inspection_lines(scene, places) if line.uid == requirement), None)
    if found is None:
        raise Http404
    return found


def _page(
    request: HttpRequest,
    scene: Scene,
    line: InspectionLine,
    form: ResultForm,
    items: Sequence[ItemForm],
    *,
    reasons: Sequence[str] = (),
    again: bool = False,
    status: int = 200,
) -> HttpResponse:
    context = {
        "line": line,
        "form": form,
        "items": items,
        "reasons": reasons,
        "sent": form.is_bound,
        "choose_again": again,
        "may_have_more": len(items) < MOST,
        "site": scene.holding.project,
    }
    return render(request, "authorities/inspection.html", context, status=status)
