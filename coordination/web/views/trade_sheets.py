"""Trade sheets: the list by trade and place, one sheet, and both as PDF with a page for each sheet."""

from collections.abc import Sequence
from uuid import UUID

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from coordination.gates.calendars import local_day
from coordination.web.guards import guard
from coordination.web.languages import reading_in, wanted_in
from coordination.web.senders import kept_on_the_phone
from coordination.web.shapes.trade_papers import file_name, trade_paper
from coordination.web.shapes.trade_sheet_parts import TradeSheet
from coordination.web.shapes.trade_sheets import Sheets
from coordination.web.views.handover import SANDBOX

VERBS = ("see the project", "see own tasks")


@require_safe
@never_cache
@kept_on_the_phone
def index(request: HttpRequest, project: UUID) -> HttpResponse:
    """Every sheet that the visitor may see, by trade."""
    sheets = _sheets(request, project)
    return render(request, "trade_sheets/index.html", {"groups": sheets.groups(), "as_of": sheets.as_of})


@require_safe
@never_cache
@kept_on_the_phone
def show(request: HttpRequest, project: UUID, trade: str, place: str) -> HttpResponse:
    """One trade at one place."""
    sheets = _sheets(request, project)
    sheet = _sheet(sheets, trade, place)
    context = {"sheet": sheet, "as_of": sheets.as_of, "cautions": sheet.cautions}
    return render(request, "trade_sheets/show.html", context)


@require_safe
@never_cache
def download(request: HttpRequest, project: UUID, trade: str, place: str) -> HttpResponse:
    """The same on one page; ``?language=`` for a crew that reads another language than whoever prints it."""
    with reading_in(wanted_in(request)):
        sheets = _sheets(request, project)
        sheet = _sheet(sheets, trade, place)
        return _pdf(sheets, [sheet], file_name(sheets.project.name, trade, place))


@require_safe
@never_cache
def download_trade(request: HttpRequest, project: UUID, trade: str) -> HttpResponse:
    """All sheets of a trade, a page for each; ``?language=`` as for one."""
    with reading_in(wanted_in(request)):
        sheets = _sheets(request, project)
        found = [_sheet(sheets, trade, place) for place in sheets.places_of(sheets.trade_of(trade) or "")]
        if not found:
            raise Http404
        return _pdf(sheets, found, file_name(sheets.project.name, trade))


def _sheets(request: HttpRequest, project: UUID) -> Sheets:
    visitor = guard(request, project, *VERBS)
    return Sheets(visitor, local_day(visitor.project, timezone.now()))


def _sheet(sheets: Sheets, slug: str, place: str) -> TradeSheet:
    """The sheet; Http404 where there is none, or none that the visitor may see."""
    trade = sheets.trade_of(slug)
    sheet = sheets.sheet(trade, place) if trade else None
    if sheet is None:
        raise Http404
    return sheet


def _pdf(sheets: Sheets, chosen: Sequence[TradeSheet], name: str) -> HttpResponse:
    response = HttpResponse(trade_paper(sheets, chosen, timezone.now()), content_type="application/pdf")
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    response.headers["Content-Security-Policy"] = SANDBOX
    return response
